"""Arrays of colours, palettes, and fitting one to the other; knows no beads' places."""
