"""How many loops a sheet needs for a wanted size, from the picture's shape."""

import math

from convert.errors import SizeError
from convert.weave.beads import BeadSize
from convert.weave.spacing import Spacing

FITS = ("cover", "contain")
# Far above anything that can be woven; keeps a slip of the keyboard from asking for all the memory there is.
MOST_LOOPS_IN_ROW = 100_000


def _places(length_mm: float, overhang_mm: float, pitch_mm: float) -> int:
    """Return how many loops come nearest to a length along a row, at least one."""
    return min(max(1, round((length_mm - overhang_mm) / pitch_mm)), MOST_LOOPS_IN_ROW)


def sheet_loops(
    sizes: tuple[BeadSize, BeadSize],
    spacing: Spacing,
    aspect: float,
    *,
    direction: str,
    width_mm: float | None = None,
    height_mm: float | None = None,
    across: int | None = None,
    fit: str = "cover",
) -> tuple[int, int]:
    """Return rows and loops in a row of the sheet whose finished size comes nearest to what is wanted.

    Parameters
    ----------
    sizes : tuple of BeadSize
        Core and connector.
    spacing : Spacing
        Sides of the loops.
    aspect : float
        Width of the picture divided by its height.
    direction : str
        ``across``: rows of loops run across the picture; ``along``: down it.
    width_mm, height_mm : float, optional
        Wanted finished size; what is missing follows from the picture's shape.
    across : int, optional
        Loops from left to right, instead of `width_mm`.
    fit : str
        With both measures: ``cover`` crops the picture to them, ``contain`` keeps the whole picture inside.

    Raises
    ------
    SizeError
        A measure is not positive, both `width_mm` and `across` are given, or neither measure is.
    """
    for name, measure in (("width", width_mm), ("height", height_mm), ("across", across)):
        if measure is not None and not (math.isfinite(measure) and measure > 0):
            raise SizeError(f"the {name} must be more than 0, not {measure:g}")
    if width_mm is not None and across is not None:
        raise SizeError("width and loops across say the same thing", "give one of --width and --across")
    if width_mm is None and across is None and height_mm is None:
        raise SizeError("no size is given", "give --width, --height or --across")

    # Along a row loops lie one pitch apart and every other row is shifted by half of one; rows lie 1.5 sides
    # apart. Half a bead hangs over at each edge.
    bead_mm = max(size.diameter_mm for size in sizes)
    in_row = (spacing.pitch_mm, spacing.pitch_mm / 2 + bead_mm)
    of_rows = (1.5 * spacing.side_mm, bead_mm)
    along_width, along_height = (in_row, of_rows) if direction == "across" else (of_rows, in_row)
    if across is not None:
        width_mm = across * along_width[0] + along_width[1]
    if fit == "contain" and width_mm is not None and height_mm is not None:
        width_mm, height_mm = min(width_mm, height_mm * aspect), min(height_mm, width_mm / aspect)
    if width_mm is None and height_mm is not None:
        width_mm = height_mm * aspect
    assert width_mm is not None
    columns = across or _places(width_mm, along_width[1], along_width[0])
    if height_mm is None:
        height_mm = (columns * along_width[0] + along_width[1]) / aspect
    lines = _places(height_mm, along_height[1], along_height[0])
    if columns > MOST_LOOPS_IN_ROW:
        raise SizeError(f"{columns} loops across are more than can be woven")
    return (lines, columns) if direction == "across" else (columns, lines)


def sheet_beads(rows: int, places: int) -> int:
    """Return the number of beads of a full sheet."""
    return 3 * rows * places + 2 * rows + 2 * places - 1
