"""Units of length and paper sizes. Everything inside the program is in millimetres."""

from typing import NamedTuple

MM_PER_INCH = 25.4  # exact, international inch of 1959
POINTS_PER_INCH = 72.0  # PostScript and PDF point
MM_PER_POINT = MM_PER_INCH / POINTS_PER_INCH


class Paper(NamedTuple):
    """A sheet of paper, portrait, in millimetres."""

    name: str
    width_mm: float
    height_mm: float


A4 = Paper("a4", 210.0, 297.0)  # ISO 216
LETTER = Paper("letter", 215.9, 279.4)  # ANSI/ASME Y14.1 size A, 8.5 x 11 in
PAPERS = {paper.name: paper for paper in (A4, LETTER)}


def mm_to_pixels(length_mm: float, dots_per_inch: float) -> float:
    """Return a length in pixels at a resolution.

    Parameters
    ----------
    length_mm : float
        Length in millimetres.
    dots_per_inch : float
        Resolution.
    """
    return length_mm / MM_PER_INCH * dots_per_inch
