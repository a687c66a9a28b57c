"""Plane geometry; knows no beads and no colours."""
