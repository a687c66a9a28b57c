"""The order of work as data and in words, for every output that tells it."""
