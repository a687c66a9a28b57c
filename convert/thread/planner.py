"""The plan of the thread: where to start, which way to go, and where to join a new thread."""

import numpy as np
from numpy.typing import NDArray

from convert.errors import ThreadPathError
from convert.thread.bands import Lines, lines_between
from convert.thread.closing import close_ring, laid_open
from convert.thread.edging import EDGES, edge_round
from convert.thread.joins import join_threads
from convert.thread.rhythm import regular
from convert.thread.route import Reach, route
from convert.thread.shortening import Shortening
from convert.thread.starts import STARTS, far_ends, levels, start_loop, start_state
from convert.thread.steady import NO_SIDE, first_come, weave_along
from convert.thread.steps import Supplies, ThreadPlan, pass_mm
from convert.thread.tails import Sewing, plan_tails
from convert.thread.thrifty import middle_loop, weave_tree
from convert.weave.model import IntArray, Weave

PATHS = ("steady", "thrifty")
BEGINS = ("stop-bead", "loop")
# Share of extra passes above which the regular rows are given up for a shorter way.
RAGGED = 0.1
# Routes to shorten, the best first, until one is not ragged any more.
MOST_SHORTENED = 3
# Walks of a length to keep: few tell which route is the best, many shorten that further.
FEW_WALKS, MANY_WALKS = 8, 48


def plan_thread(
    weave: Weave,
    *,
    path: str = "steady",
    start: str = "corner",
    begin: str = BEGINS[0],
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
    begin : str
        ``stop-bead``, or ``loop`` to go twice round the first loop, so that it holds by itself.
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
    if begin not in BEGINS:
        raise ThreadPathError(f"weaving begins with a {' or '.join(BEGINS)}, not '{begin}'")
    if edge not in EDGES:
        raise ThreadPathError(f"an edge is {' or '.join(EDGES)}, not '{edge}'")
    if path == "thrifty":
        passes, sides = weave_tree(weave, middle_loop(weave))
    else:
        passes, sides = _steadily(weave, start)
    if begin == "loop":
        passes, sides = _held(weave, passes, sides)
    if edge == "points":
        last = edge_round(weave, passes)
        passes = np.concatenate([passes, last])
        sides = np.append(sides, np.full(len(last), NO_SIDE, np.int32))
    sewing = Sewing(weave, passes, supplies)
    joins = join_threads(pass_mm(weave, passes), _ends(weave, passes, sides), supplies, sewing.fits)
    return ThreadPlan(passes, joins, plan_tails(sewing, joins))


def _held(weave: Weave, passes: IntArray, sides: IntArray) -> tuple[IntArray, IntArray]:
    """Return a path that goes once more round a loop as soon as that is whole and no other is begun."""
    at = int(_rests(weave, sides)[0])
    loop = weave.side_loop[sides[at]]
    round_it = passes[: at + 1][(sides[: at + 1] != NO_SIDE) & (weave.side_loop[sides[: at + 1]] == loop)]
    only_on = np.full(len(round_it), NO_SIDE, np.int32)
    return np.insert(passes, at + 1, round_it), np.insert(sides, at + 1, only_on)


def _ends(weave: Weave, passes: IntArray, sides: IntArray) -> list[NDArray[np.int64]]:
    """Return the passes after which a thread can end: the best places, other places, and the last resort."""
    rests = _rests(weave, sides)
    rests = rests[rests < len(passes) - 1]
    at = np.flatnonzero(sides != NO_SIDE)
    closes = np.zeros(weave.loops, np.int64)
    closes[weave.side_loop[sides[at]]] = at
    first = np.zeros(int(passes.max()) + 1, np.int64)
    first[passes[::-1]] = np.arange(len(passes))[::-1]
    picked_up_next = first[passes[rests + 1]] == rests + 1
    return [rests[picked_up_next], rests, np.sort(closes)]


def _rests(weave: Weave, sides: IntArray) -> NDArray[np.int64]:
    """Return the passes after which no loop is open, from the first loop on."""
    at = np.flatnonzero(sides != NO_SIDE)
    loop = weave.side_loop[sides[at]]
    opens = np.zeros(weave.loops, np.int64)
    closes = np.zeros(weave.loops, np.int64)
    opens[loop[::-1]] = at[::-1]
    closes[loop] = at
    change = np.bincount(opens, minlength=len(sides)) - np.bincount(closes, minlength=len(sides))
    # Before anything is woven no loop is open either.
    rests = np.flatnonzero(np.cumsum(change) == 0)
    return np.asarray(rests[rests > 0])


def _steadily(weave: Weave, start: str) -> tuple[IntArray, IntArray]:
    """Return the passes of the steady way, and the side each goes round, -1 where it only goes on."""
    flat = None if weave.seam is None else laid_open(weave)
    if flat is None:
        return _with_fewest_kinds(weave, start)
    passes, sides = _with_fewest_kinds(flat.weave, start)
    passes, sides = flat.beads[passes], np.where(sides == NO_SIDE, NO_SIDE, flat.sides[sides])
    more, more_sides = close_ring(weave, passes)
    return np.concatenate([passes, more]), np.concatenate([sides, more_sides])


def _with_fewest_kinds(weave: Weave, start: str) -> tuple[IntArray, IntArray]:
    states = _steady(weave, start)
    return weave_along(weave, states, regular(weave, states, first_come(weave, states)))


def _steady(weave: Weave, start: str) -> list[int]:
    """Return the route of the steady way: along regular rows, or a shorter one where those take too long."""
    loop = start_loop(weave, start)
    lines = [lines_between(weave, level) for level in levels(weave, loop, start)]
    lines.sort(key=lambda of_level: of_level.cost)
    reach = Reach(weave)
    states = route(reach, lines[0], start_state(weave, lines[0].on_line, loop))
    if len(states) <= RAGGED * weave.corners:
        return states
    loops = [loop, *(far_ends(weave) if start == "corner" else [])]
    return _short_route(reach, lines, loops, states)


def _short_route(reach: Reach, lines: list[Lines], loops: list[int], first: list[int]) -> list[int]:
    """Return a short route for a ragged piece: from several loops along several lines, the best shortened.

    The route from the first of the loops along the first of the lines is there already.
    """
    weave = reach.weave
    ways = dict.fromkeys(
        (of_level, start_state(weave, of_level.on_line, loop)) for of_level in lines for loop in loops
    )
    routes = sorted([first, *(route(reach, *way) for way in list(ways)[1:])], key=len)
    shortening = Shortening(weave)
    shortest = routes[0]
    for states in routes[:MOST_SHORTENED]:
        shortest = min(shortest, shortening.shorten(states, FEW_WALKS), key=len)
        if len(shortest) <= RAGGED * weave.corners:
            break
    return shortening.shorten(shortest, MANY_WALKS)
