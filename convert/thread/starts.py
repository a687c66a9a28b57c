"""Where a piece can be begun, and by which rows, columns or rounds it can be woven from there."""

import numpy as np
from numpy.typing import NDArray

from convert.thread.moves import distances, loop_neighbours
from convert.thread.thrifty import middle_loop
from convert.weave.model import RIM, IntArray, Weave

STARTS = ("corner", "middle", "edge")


def start_loop(weave: Weave, start: str) -> int:
    """Return the loop at which to begin, for one of `STARTS`."""
    if start == "corner":
        return int(np.lexsort((weave.loop_column, weave.loop_row))[0])
    if start == "edge":
        row = np.flatnonzero(weave.loop_row == weave.loop_row.min())
        return int(row[np.argsort(weave.loop_column[row], kind="stable")[(len(row) - 1) // 2]])
    return middle_loop(weave)


def far_ends(weave: Weave) -> list[int]:
    """Return two loops that lie about as far apart as the piece allows."""
    neighbours = loop_neighbours(weave)
    first = int(distances(neighbours, 0).argmax())
    return [first, int(distances(neighbours, first).argmax())]


def levels(weave: Weave, loop: int, start: str) -> list[IntArray]:
    """Return the rows, columns and rounds by which a piece can be woven, the most readable first.

    Neighbouring loops lie at most one level apart, so the columns of a piece made in rounds are left out;
    rounds about the start are of use only where it is not in a corner.
    """
    one, other = weave.side_loop[weave.bead_sides[~weave.rim_beads]].T
    found = [
        level - level.min()
        for level in (weave.loop_row, weave.loop_column)
        if np.abs(level[one] - level[other]).max(initial=0) <= 1
    ]
    if start != "corner":
        found.append(distances(loop_neighbours(weave), loop))
    return found


def start_state(weave: Weave, on_line: NDArray[np.bool_], loop: int) -> int:
    """Return the state to start with: on a line beside a loop, else next to it, else in the loop.

    Parameters
    ----------
    weave : Weave
        The piece.
    on_line : ndarray of shape (B,), bool
        Beads that lie on a line.
    loop : int
        Where to begin.
    """
    twins = weave.side_twin[weave.loop_start[loop] : weave.loop_start[loop + 1]]
    for beside in [loop, *weave.side_loop[twins[twins != RIM]].tolist()]:
        sides = slice(weave.loop_start[beside], weave.loop_start[beside + 1])
        beads = weave.side_bead[sides][on_line[weave.side_bead[sides]]]
        if len(beads):
            return _along_line(weave, on_line, int(beads.min()))
    return 2 * int(weave.side_bead[weave.loop_start[loop]])


def _along_line(weave: Weave, on_line: NDArray[np.bool_], bead: int) -> int:
    """Return the state of a bead from which its line goes on; to the right or down if it does both ways."""
    line = weave.bead_junctions[on_line]
    ends = weave.bead_junctions[bead]
    goes_on = [int((line == end).any(axis=1).sum()) > 1 for end in ends]
    if all(goes_on):
        return 2 * bead + int(weave.bead_ends[bead].sum(axis=1).argmax())
    return 2 * bead + int(goes_on[1])
