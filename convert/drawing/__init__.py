"""Drawings of a pattern: one scene in millimetres, one writer a format."""
