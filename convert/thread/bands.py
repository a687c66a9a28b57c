"""Bands of loops four rows high, and the zigzag line of beads in the middle of each that the thread follows.

The thread stands in a bead of the line, goes once round the loop beside it (weaving the loop's outer
neighbours inside it), comes back and passes one bead on, where the next loop lies on the other side. That
takes one extra pass for every two loops, the least this manner of work can do: each bead of the line brings
one new loop, which has at most two neighbours that were not within reach before.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.thread.moves import bead_loops, loop_neighbours
from convert.weave.model import IntArray, Weave

BAND_ROWS = 4
# Passes, by experience: to come from the end of one line to the next, and to fetch a loop off the lines.
_TO_NEXT_LINE = 6
_TO_LEFT_OVER = 2


@dataclass(frozen=True, eq=False, slots=True)
class Lines:
    """The lines of beads along which a piece is woven.

    Parameters
    ----------
    on_line : ndarray of shape (B,), bool
        Whether a bead lies on a line.
    left_over : ndarray of shape (L,), bool
        Loops that are neither beside a line nor next to a loop that is.
    cost : int
        Estimate of the extra passes.
    """

    on_line: NDArray[np.bool_]
    left_over: NDArray[np.bool_]
    cost: int


def lines_between(weave: Weave, level: IntArray) -> Lines:
    """Return the best lines for given rows of loops, among those that begin with one to four rows.

    Parameters
    ----------
    weave : Weave
        The piece.
    level : ndarray of shape (L,), int32
        Row, column or round of each loop, from 0; neighbours differ by at most one.
    """
    loops = bead_loops(weave)
    neighbours = loop_neighbours(weave)
    levels = int(level.max()) + 1
    padded = np.append(level, -9)
    low = np.where(np.abs(padded[loops[:, 0]] - padded[loops[:, 1]]) == 1, np.minimum(*padded[loops].T), -9)
    found = []
    for first in range(min(BAND_ROWS, max(levels - 1, 1))):
        rows = list(range(first, levels - 1, BAND_ROWS))
        # Rows beyond the reach of the last line get one more.
        if rows and rows[-1] + 2 < levels - 1:
            rows.append(levels - 2)
        found.append(_lines(loops, neighbours, np.isin(low, rows), len(rows)))
    return min(found, key=lambda lines: lines.cost)


def _lines(loops: IntArray, neighbours: IntArray, on_line: NDArray[np.bool_], rows: int) -> Lines:
    reached = np.zeros(len(neighbours) + 1, bool)
    beside = np.zeros(len(neighbours) + 1, bool)
    beside[loops[on_line]] = True
    beside[-1] = False
    reached[neighbours[beside[:-1]]] = True
    reached |= beside
    left_over = ~reached[:-1]
    cost = int(on_line.sum()) + _TO_NEXT_LINE * rows + _TO_LEFT_OVER * int(left_over.sum())
    return Lines(on_line, left_over, cost)
