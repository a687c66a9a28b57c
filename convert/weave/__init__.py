"""Beads, loops and junctions of the weave; knows no colour and no thread."""
