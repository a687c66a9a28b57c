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
from convert.weave.model import RIM, IntArray, Weave

BAND_ROWS = 4
NO_LEVEL = -1
# Weights by trial: passes to come from the end of one line to the next, and to fetch a loop off the lines, a
# little dear because it breaks the rhythm.
_TO_NEXT_LINE = 10
_TO_LEFT_OVER = 6


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
    loops, neighbours = bead_loops(weave), loop_neighbours(weave)
    last = int(level.max())
    # The lower level of the two beside each bead; beads within a level and at the rim are on no line.
    one, other = np.append(level, NO_LEVEL)[loops].T
    between = np.where(np.abs(one - other) == 1, np.minimum(one, other), NO_LEVEL)
    found = []
    for first in range(min(BAND_ROWS, max(last, 1))):
        has_line = np.zeros(last + 2, bool)
        has_line[first:last:BAND_ROWS] = True
        # Rows beyond the reach of the last line get one more.
        has_line[last - 1] |= not has_line[max(last - 2, 0) : last].any() and last > 0
        has_line[NO_LEVEL] = False
        found.append(_lines(loops, neighbours, has_line[between], int(has_line.sum())))
    return min(found, key=lambda lines: lines.cost)


def _lines(loops: IntArray, neighbours: IntArray, on_line: NDArray[np.bool_], rows: int) -> Lines:
    reached = np.zeros(len(neighbours) + 1, bool)
    beside = np.zeros(len(neighbours) + 1, bool)
    beside[loops[on_line]] = True
    beside[RIM] = False
    reached[neighbours[beside[:-1]]] = True
    reached |= beside
    left_over = ~reached[:-1]
    cost = int(on_line.sum()) + _TO_NEXT_LINE * rows + _TO_LEFT_OVER * int(left_over.sum())
    return Lines(on_line, left_over, cost)
