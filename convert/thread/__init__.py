"""The way of the thread through the beads; knows no colour."""
