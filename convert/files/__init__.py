"""The text formats, one a module."""
