"""How many loops a sheet needs for a wanted size, from the picture's shape."""

import math
from collections.abc import Callable
from functools import cache

import numpy as np

from convert.errors import SizeError
from convert.weave.beads import BeadSize
from convert.weave.lattice import sheet
from convert.weave.spacing import Spacing

# Far above anything that can be woven; keeps a slip of the keyboard from asking for all the memory there is.
MOST_LOOPS_IN_ROW = 10_000
# Above that it is a slip, and the number too long to be told.
_ENDLESS_MM = 1e9
# Any number of rows above one, to measure a sheet across its rows.
_SEVERAL = 2


def sheet_size_mm(
    rows: int, places: int, sizes: tuple[BeadSize, BeadSize], spacing: Spacing, direction: str
) -> tuple[float, float]:
    """Return width and height of a full sheet over the outlines of its beads, without building it.

    Parameters
    ----------
    rows, places : int
        Rows of loops and loops in a row.
    sizes : tuple of BeadSize
        Core and connector.
    spacing : Spacing
        Sides of the loops.
    direction : str
        ``across``: rows of loops run to the right; ``along``: down.
    """
    # Every other row is shifted and every third loop of a row is a core, so the rim of a large sheet is that
    # of a small one, further out: loops of a row lie one pitch apart, rows 1.5 sides.
    few_rows, few_places = min(rows, 2 + rows % 2), min(places, 3 + places % 3)
    width, height = _small_sheet_mm(few_rows, few_places, sizes, spacing, direction)
    more = ((places - few_places) * spacing.pitch_mm, (rows - few_rows) * 1.5 * spacing.side_mm)
    across, down = more if direction == "across" else more[::-1]
    return width + across, height + down


@cache
def _small_sheet_mm(
    rows: int, places: int, sizes: tuple[BeadSize, BeadSize], spacing: Spacing, direction: str
) -> tuple[float, float]:
    left, top, right, bottom = sheet(np.ones((rows, places), bool), sizes, spacing, direction).extent_mm
    return right - left, bottom - top


def _nearest(length_mm: float, step_mm: float, size_mm: Callable[[int], float]) -> int:
    """Return the number, from 1, whose size comes nearest to a length; each one more adds about a step.

    Raises
    ------
    SizeError
        It is larger than can be woven.
    """
    steps = max(0.0, (length_mm - size_mm(1)) / step_mm)
    if not steps < MOST_LOOPS_IN_ROW:
        raise SizeError(
            f"a side of {length_mm:,.0f} mm takes more than {MOST_LOOPS_IN_ROW:,} loops"
            if length_mm < _ENDLESS_MM
            else "a side of this size cannot be woven",
            "choose a smaller size: --width and --height are in mm, --across in loops",
        )
    guess = 1 + int(steps)
    around = range(max(1, guess - 1), guess + 3)
    return min(around, key=lambda number: abs(size_mm(number) - length_mm))


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
        A measure is not positive and finite or far too large, both `width_mm` and `across` are given, or
        neither measure is.
    """
    for name, measure in (("width", width_mm), ("height", height_mm), ("number of loops across", across)):
        if measure is not None and not (math.isfinite(measure) and measure > 0):
            raise SizeError(f"the {name} must be more than 0 and finite, not {measure:g}")
    if width_mm is not None and across is not None:
        raise SizeError("width and loops across say the same thing", "give one of --width and --across")
    if width_mm is None and across is None and height_mm is None:
        raise SizeError("no size is given", "give --width, --height or --across")

    def size_mm(columns: int, lines: int) -> tuple[float, float]:
        rows, places = (lines, columns) if direction == "across" else (columns, lines)
        return sheet_size_mm(rows, places, sizes, spacing, direction)

    if across is not None:
        if across > MOST_LOOPS_IN_ROW:
            raise SizeError(f"{across} loops across are more than can be woven")
        width_mm = size_mm(across, _SEVERAL)[0]
    if fit == "contain" and width_mm is not None and height_mm is not None:
        width_mm, height_mm = min(width_mm, height_mm * aspect), min(height_mm, width_mm / aspect)
    if width_mm is None and height_mm is not None:
        width_mm = height_mm * aspect
    assert width_mm is not None
    steps = (spacing.pitch_mm, 1.5 * spacing.side_mm)
    step, line_step = steps if direction == "across" else steps[::-1]
    columns = across or _nearest(width_mm, step, lambda number: size_mm(number, _SEVERAL)[0])
    if height_mm is None:
        height_mm = size_mm(columns, _SEVERAL)[0] / aspect
    lines = _nearest(height_mm, line_step, lambda number: size_mm(columns, number)[1])
    if lines == 1 and not across:
        # Nothing is shifted in a single row, which is narrower by half a pitch.
        columns = _nearest(width_mm, step, lambda number: size_mm(number, 1)[0])
    return (lines, columns) if direction == "across" else (columns, lines)


def sheet_beads(rows: int, places: int) -> int:
    """Return the number of beads of a full sheet."""
    return 3 * rows * places + 2 * rows + 2 * places - 1
