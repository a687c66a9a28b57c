"""Heaps in the order a person reads them: by rows from the top, each from left to right, though tilted."""

import numpy as np
from numpy.typing import NDArray

from convert.errors import PictureError
from convert.shelf.heaps import Found

# People lay rows out this straight (degrees); steps in which tilts are tried.
_MOST_TILT = 8.0
_STEP = 0.25
# Rows are apart by more than this share of the size of a heap.
_GAP = 0.5
_CELLS_TOLD = 6
# A heap lies on the grid up to this share of the way to the next place.
_MOST_OFF = 0.35
MOST_IN_GRID = 60


def reading_rows(found: Found) -> list[list[int]]:
    """Return the heaps of each row from left to right, the rows from the top.

    Parameters
    ----------
    found : Found
        The heaps.

    Notes
    -----
    The tilt is the one at which the rows are tidiest; the smaller one breaks ties.
    """
    tilts = sorted(np.arange(-_MOST_TILT, _MOST_TILT + _STEP / 2, _STEP).tolist(), key=abs)
    gap = _GAP * 2 * float(np.median(found.radii))
    turned = _turned(found.centres, min(tilts, key=lambda tilt: _untidiness(found, tilt, gap)))
    order = np.argsort(turned[:, 1], kind="stable")
    ends = np.flatnonzero(np.diff(turned[order, 1]) > gap) + 1
    return [sorted(row.tolist(), key=lambda heap: float(turned[heap, 0])) for row in np.split(order, ends)]


def grid_named(text: str) -> tuple[int, int]:
    """Return rows and columns of a grid written ``5x8``: five rows of eight.

    Raises
    ------
    PictureError
        It is no such text, or too large.
    """
    parts = text.lower().replace("×", "x").split("x")
    if len(parts) == 2 and all(part.strip().isascii() and part.strip().isdigit() for part in parts):
        rows, columns = (int(part[:6]) for part in parts)
        if 1 <= rows <= MOST_IN_GRID and 1 <= columns <= MOST_IN_GRID:
            return rows, columns
    raise PictureError(
        f"--grid {text!r} is not rows and columns from 1 to {MOST_IN_GRID}",
        "write rows x columns: --grid 5x8 for five rows of eight",
    )


def check_grid(found: Found, rows: list[list[int]], grid: tuple[int, int], name: str) -> None:
    """Check that the heaps fill a grid.

    Raises
    ------
    PictureError
        They do not; which places are empty is told.
    """
    if [len(row) for row in rows] == [grid[1]] * grid[0]:
        return
    count, (down, across) = len(found.centres), grid
    told = f"{name}: found {count} heap{'s' * (count != 1)}, not {down}x{across} = {down * across}"
    fits = len(rows) <= down and max(map(len, rows)) <= across and count < down * across
    empty = _empty_places(found, rows, grid) if fits else []
    turned = [len(row) for row in rows] == [down] * across
    if empty:
        places = [f"row {row + 1} place {column + 1}" for row, column in empty[:_CELLS_TOLD]]
        more = f" and {len(empty) - _CELLS_TOLD} more" if len(empty) > _CELLS_TOLD else ""
        told += f"; empty: {', '.join(places)}{more}"
    else:
        told += f"; the rows hold {', '.join(str(len(row)) for row in rows[: _CELLS_TOLD * 2])}"
    raise PictureError(
        told,
        f"rows come first: --grid {across}x{down}"
        if turned
        else "leave --grid out and look at the sheet, or lay the heaps further apart and alike",
    )


def _turned(centres: NDArray[np.float64], tilt: float) -> NDArray[np.float64]:
    """Return places after the page is turned back by a tilt in degrees, clockwise positive."""
    cos, sin = np.cos(np.radians(tilt)), np.sin(np.radians(tilt))
    return np.asarray(centres @ np.array([[cos, -sin], [sin, cos]]))


def _untidiness(found: Found, tilt: float, gap: float) -> float:
    """Return how high the rows are at a tilt, all together, each counted as a gap higher than it is.

    Without that addition many short rows would look tidier than a few long ones.
    """
    steps = np.diff(np.sort(_turned(found.centres, tilt)[:, 1]))
    return float(np.where(steps > gap, gap, steps).sum())


def _empty_places(found: Found, rows: list[list[int]], grid: tuple[int, int]) -> list[tuple[int, int]]:
    """Return the places of a grid, from 0, at which no heap lies; none where heaps lie on no such grid."""
    down, across = grid
    fullest = max(rows, key=len)
    right = found.centres[fullest[-1]] - found.centres[fullest[0]]
    tilt = float(np.degrees(np.arctan2(right[1], right[0]))) if len(fullest) > 1 else 0.0
    turned = _turned(found.centres, tilt)
    low, high = turned.min(axis=0), turned.max(axis=0)
    steps = np.array([across, down]) - 1
    exact = (turned - low) * steps / np.where(high > low, high - low, 1)
    places = np.clip(np.rint(exact), 0, steps).astype(int)
    taken = np.zeros(grid, bool)
    taken[places[:, 1], places[:, 0]] = True
    if taken.sum() < len(places) or np.abs(exact - places).max() > _MOST_OFF:
        return []
    return [(int(row), int(column)) for row, column in np.argwhere(~taken)]
