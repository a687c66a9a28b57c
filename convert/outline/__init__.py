"""Outlines in which a sheet is cut: drawn here, or read from a file."""
