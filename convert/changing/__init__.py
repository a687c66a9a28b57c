"""Changes to a piece that there is already: other beads, loops dropped and added."""
