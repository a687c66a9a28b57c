"""Pictures: read, turned, cropped and toned, their parts and edges, and what of them a polygon shows."""
