"""One piece: its pattern, what it takes, and its file."""
