"""What of a piece is for a student: all that is needed to weave it, and nothing of the shop."""

from dataclasses import replace

from convert.palette.model import Palette
from convert.piece.pattern import Pattern

STUDENT, TEACHER = "student", "teacher"


def for_student(pattern: Pattern) -> Pattern:
    """Return a piece as one person weaves it, without what beads are on hand and what they cost.

    Parameters
    ----------
    pattern : Pattern
        The piece, perhaps for a class.
    """
    figures = pattern.figures
    if figures is not None:
        # Why there are so many colours is told with what they would cost.
        figures = replace(figures, colours_reason=None)
    palette = without_shop(pattern.palette)
    return replace(pattern, palette=palette, currency="", students=0, figures=figures)


def without_shop(palette: Palette) -> Palette:
    """Return a palette that does not say what is on hand and what it costs."""
    entries = tuple(
        replace(entry, on_hand=None, on_hand_g=None, pack_g=None, price=None, currency="")
        for entry in palette.entries
    )
    return Palette(palette.name, entries)
