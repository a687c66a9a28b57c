"""combweave: from a picture to a hexagon angle weave that can be strung and sewn."""

__version__ = "0.1.0"
