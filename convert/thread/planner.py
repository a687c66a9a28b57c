"""The plan of the thread: where to start, which way to go, and where to join a new thread."""

import numpy as np
from numpy.typing import NDArray

from convert.errors import ThreadPathError
from convert.thread.bands import lines_between
from convert.thread.edging import edge_round, tip_length_mm
from convert.thread.joins import join_threads
from convert.thread.moves import distances, loop_neighbours
from convert.thread.steady import NO_SIDE, route, weave_along
from convert.thread.steps import Supplies, ThreadPlan
from convert.thread.thrifty import middle_loop, weave_tree
from convert.weave.model import IntArray, Weave

PATHS = ("steady", "thrifty")
STARTS = ("corner", "middle", "edge")
# A less regular way must save more than this share of all passes.
WORTH_CHANGING = 0.02


def plan_thread(
    weave: Weave,
    *,
    path: str = "steady",
    start: str = "corner",
    edge: str = "plain",
    supplies: Supplies | None = None,
) -> ThreadPlan:
    """Return the order of work for a piece.

    Parameters
    ----------
    weave : Weave
        The piece.
    path : str
        ``steady`` closes each loop before the next begins; ``thrifty`` takes the least thread there can be,
        but leaves more loops open.
    start : str
        ``corner``: the first loop of the first row. ``edge``: the middle of the first row. ``middle``: the
        middle of the piece, which then grows at both ends. The thrifty way starts in the middle at any rate.
    edge : str
        ``plain``, or ``points`` for a last round that sets a small bead on each outer tip.
    supplies : Supplies, optional
        Thread and needle, from which follows where a new thread is joined.

    Raises
    ------
    ThreadPathError
        The loops do not hang together, or a needleful does not reach round a loop.
    """
    supplies = supplies or Supplies()
    if path not in PATHS:
        raise ThreadPathError(f"a thread path is {' or '.join(PATHS)}, not '{path}'")
    if start not in STARTS:
        raise ThreadPathError(f"weaving starts at a {', '.join(STARTS)}, not '{start}'")
    if path == "thrifty":
        passes, sides = weave_tree(weave, middle_loop(weave))
    else:
        passes, sides = _steady(weave, start)
    if edge == "points":
        last = edge_round(weave, passes)
        passes = np.concatenate([passes, last])
        sides = np.append(sides, np.full(len(last), NO_SIDE, np.int32))
    loop_ends, rests = _ends(weave, sides)
    pass_mm = np.append(weave.bead_side_mm, tip_length_mm(weave))[np.minimum(passes, weave.beads)]
    return ThreadPlan(passes, join_threads(pass_mm, loop_ends, rests, supplies))


def _ends(weave: Weave, sides: IntArray) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the passes with which a loop closes and those after which no loop is open."""
    at = np.flatnonzero(sides != NO_SIDE)
    loop = weave.side_loop[sides[at]]
    opens = np.zeros(weave.loops, np.int64)
    closes = np.zeros(weave.loops, np.int64)
    opens[loop[::-1]] = at[::-1]
    closes[loop] = at
    change = np.bincount(opens, minlength=len(sides)) - np.bincount(closes, minlength=len(sides))
    return np.sort(closes), np.flatnonzero(np.cumsum(change)[:-1] == 0)[1:]


def _steady(weave: Weave, start: str) -> tuple[IntArray, IntArray]:
    loop = _start_loop(weave, start)
    lines = [lines_between(weave, level) for level in _levels(weave, loop, start)]
    chosen = lines[0]
    for other in lines[1:]:
        if other.cost < chosen.cost - WORTH_CHANGING * weave.corners:
            chosen = other
    return weave_along(weave, route(weave, chosen, _start_state(weave, chosen.on_line, loop)))


def _start_loop(weave: Weave, start: str) -> int:
    if start == "corner":
        return int(np.lexsort((weave.loop_column, weave.loop_row))[0])
    if start == "edge":
        row = np.flatnonzero(weave.loop_row == weave.loop_row.min())
        return int(row[np.argsort(weave.loop_column[row], kind="stable")[(len(row) - 1) // 2]])
    return middle_loop(weave)


def _levels(weave: Weave, loop: int, start: str) -> list[IntArray]:
    """Return the rows, columns and rounds by which a piece can be woven, the most readable first."""
    neighbours = loop_neighbours(weave)
    found = []
    for level in (weave.loop_row, weave.loop_column):
        step = np.abs(np.append(level, 0)[neighbours] - level[:, None])
        if step[neighbours != weave.loops].max(initial=0) <= 1:
            found.append(level - level.min())
    if start != "corner":
        found.append(distances(neighbours, loop))
    return found


def _start_state(weave: Weave, on_line: NDArray[np.bool_], loop: int) -> int:
    """Return the state to start with: on a line beside the start loop, else next to it, else in the loop."""
    neighbours = loop_neighbours(weave)
    near = [loop, *(int(other) for other in neighbours[loop] if other < weave.loops)]
    for other in near:
        sides = np.arange(weave.loop_start[other], weave.loop_start[other + 1])
        sides = sides[on_line[weave.side_bead[sides]]]
        if len(sides):
            bead = int(weave.side_bead[sides].min())
            return _towards_line(weave, on_line, bead)
    return 2 * int(weave.side_bead[weave.loop_start[loop]])


def _towards_line(weave: Weave, on_line: NDArray[np.bool_], bead: int) -> int:
    """Return the state of a bead from which its line goes on, the way on to the right or down if both do."""
    line = np.flatnonzero(on_line)
    ends = weave.bead_junctions[bead]
    goes_on = [
        bool((np.any(weave.bead_junctions[line] == end, axis=1) & (line != bead)).any()) for end in ends
    ]
    if all(goes_on):
        return 2 * bead + int(weave.junction_xy[ends].sum(axis=1).argmax())
    return 2 * bead + int(goes_on[1])
