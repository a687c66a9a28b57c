"""The rows of loops of a sheet as they are drawn, with the way in which each is woven."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.piece.pattern import Pattern
from convert.weave.model import FloatArray, Weave


@dataclass(frozen=True, eq=False, slots=True)
class Rows:
    """The rows of loops, one item a row in each array, shape (R,).

    Parameters
    ----------
    axis : int
        0 where rows run across, 1 where they run down.
    first_mm, last_mm : ndarray of float64
        Where the row begins and ends along `axis`.
    middle_mm : ndarray of float64
        Where it lies across `axis`.
    forward : ndarray of bool
        Whether it is woven towards its end.
    begun_first : int
        The row that is begun first.
    clear_mm : float
        How far to either side of its middle a row is clear of the beads of the rows beside it, where these
        reach further than it does.
    """

    axis: int
    first_mm: FloatArray
    last_mm: FloatArray
    middle_mm: FloatArray
    forward: NDArray[np.bool_]
    begun_first: int
    clear_mm: float


def sides_of_rows(weave: Weave) -> slice:
    """Return the sides of all loops but the one that the piece hangs by."""
    return slice(int(weave.loop_start[-2]) if weave.hanging else weave.corners)


def _row_clear_mm(pattern: Pattern, axis: int, middle_mm: FloatArray) -> float:
    """Return how far from its middle a row is clear of what its neighbours' beads reach into it."""
    weave = pattern.weave
    if pattern.edge == "points":
        return 0.0  # the small beads at the tips stand in the next row
    row_mm = weave.spacing.pitch_mm * math.sqrt(3) / 2
    sides = sides_of_rows(weave)
    beads, rows = weave.side_bead[sides], weave.loop_row[weave.side_loop[sides]]
    reach = np.abs(weave.side_xy[sides, 1 - axis] - middle_mm[rows]) + weave.bead_reach[beads, 1 - axis]
    return max(0.0, row_mm - float(reach.max()))


def rows_of(pattern: Pattern, direction: str) -> Rows:
    """Return the rows of a sheet with the direction in which the thread weaves each."""
    weave = pattern.weave
    axis = 0 if direction == "across" else 1
    in_rows = slice(weave.loops - (weave.hanging > 0))
    along, across = weave.loop_xy[in_rows, axis], weave.loop_xy[in_rows, 1 - axis]
    row, count = weave.loop_row[in_rows], int(weave.loop_row.max()) + 1
    reach = weave.spacing.pitch_mm / 2 + max(size.diameter_mm for size in weave.sizes) / 2
    first, last = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(first, row, along - reach)
    np.maximum.at(last, row, along + reach)

    # A loop is there when the last of its beads has been picked up.
    passes = pattern.thread.passes
    picked_up = np.zeros(len(pattern.bead_colour), np.int64)
    picked_up[passes[::-1]] = np.arange(len(passes))[::-1]
    made = np.maximum.reduceat(picked_up[weave.side_bead], weave.loop_start[:-1])[in_rows]
    loops = np.maximum(np.bincount(row, minlength=count), 1)
    mean_place = np.bincount(row, along, count) / loops
    slope = np.bincount(row, (along - mean_place[row]) * made, count)
    begun = np.full(count, np.iinfo(np.int64).max)
    np.minimum.at(begun, row, made)
    middle = np.bincount(row, across, count) / loops
    return Rows(
        axis, first, last, middle, slope >= 0, int(begun.argmin()), _row_clear_mm(pattern, axis, middle)
    )
