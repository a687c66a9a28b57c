"""A bead of the palette for each place of a weave."""
