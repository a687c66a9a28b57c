"""A shelf from a photograph: where the beads lie, what the light did, and which colours they are."""
