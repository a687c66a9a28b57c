"""The bead colours somebody has: the palette, its file, and what of it matches a colour."""
