"""A shelf from a photograph: where the beads lie on the paper, what the light did, and which colours they are."""
