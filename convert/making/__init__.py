"""From a picture, a palette and options to a pattern."""
