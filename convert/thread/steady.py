"""The steady way: each loop is closed before the next begins, so that at most two are open at any time.

The thread follows a route (see `convert.thread.route`). Wherever that comes to a bead, the loops beside the
bead that are not yet woven are woven at once: the thread goes round such a *parent* and comes back to the
bead, leaving it by the same end. Every other loop is a *child* of the first parent next to it: when the
thread has passed the bead they share, it goes round the child and comes back to that bead, then goes on round
the parent. Rounds of parents and children sew each corner once; only the beads of the route itself are extra.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from convert.thread.moves import NOWHERE, bead_loops, side_states
from convert.weave.model import RIM, IntArray, Weave

NO_SIDE = -1


def weave_along(weave: Weave, states: Sequence[int]) -> tuple[IntArray, IntArray]:
    """Return the passes of the thread along a route, and the side each pass goes round, -1 on the route.

    Parameters
    ----------
    weave : Weave
        The piece.
    states : sequence of int
        From `route`.
    """
    parent_state, order = _parents(weave, states)
    following, start_side = _rounds(weave, parent_state, order)
    succeeding = following.tolist()
    first_sides = start_side.tolist()
    parents_at: dict[int, list[int]] = {}
    for loop in np.flatnonzero(start_side != NO_SIDE).tolist():
        parents_at.setdefault(int(order[loop]), []).append(first_sides[loop])
    sides: list[int] = []
    places: list[int] = []
    for place in range(len(states)):
        places.append(len(sides))
        sides.append(NO_SIDE)
        for first in parents_at.get(place, ()):
            side = succeeding[first]
            while side != first:
                sides.append(side)
                side = succeeding[side]
            sides.append(first)
    walk = np.array(sides, np.int32)
    passes = weave.side_bead[walk]
    passes[places] = np.asarray(states, np.int32) >> 1
    return passes, walk


def _parents(weave: Weave, states: Sequence[int]) -> tuple[IntArray, NDArray[np.int64]]:
    """Return the state in which the route comes to each loop and its place on the route, if it does."""
    walk = np.asarray(states, np.int32)
    beside = bead_loops(weave)[walk >> 1]
    # One more element, for no loop. Written backwards, the first visit stays.
    order = np.full(weave.loops + 1, len(walk))
    order[beside.ravel()[::-1]] = np.repeat(np.arange(len(walk)), 2)[::-1]
    order = order[:-1]
    parent_state = np.full(weave.loops, NOWHERE, np.int32)
    found = order < len(walk)
    parent_state[found] = walk[order[found]]
    return parent_state, order


def _rounds(weave: Weave, parent_state: IntArray, order: NDArray[np.int64]) -> tuple[IntArray, IntArray]:
    """Return the side that follows each side in the rounds, and the side each parent's round starts from."""
    never = int(order.max()) + 1
    is_parent = parent_state != NOWHERE
    clockwise = np.zeros(weave.loops, bool)
    start_side = np.full(weave.loops, NO_SIDE, np.int32)
    for states, sense in (
        (side_states(weave, clockwise=True), True),
        (side_states(weave, clockwise=False), False),
    ):
        sides = np.flatnonzero(states == parent_state[weave.side_loop])
        start_side[weave.side_loop[sides]] = sides
        clockwise[weave.side_loop[sides]] = sense

    # A child hangs on the first parent beside it, on its first side that meets that parent.
    twin = weave.side_twin
    inner = twin != RIM
    when = np.where(inner & is_parent[weave.side_loop[twin]], order[weave.side_loop[twin]], never)
    when = np.where(is_parent[weave.side_loop], never, when)
    key = when * (weave.corners + 1) + np.arange(weave.corners)
    hang = (np.minimum.reduceat(key, weave.loop_start[:-1]) % (weave.corners + 1)).astype(np.int32)
    hang = hang[~is_parent]
    clockwise[weave.side_loop[hang]] = ~clockwise[weave.side_loop[twin[hang]]]

    entered = np.arange(weave.corners, dtype=np.int32)
    entered[hang], entered[twin[hang]] = twin[hang], hang
    onward = np.where(clockwise[weave.side_loop], weave.side_next, weave.side_previous)
    return onward[entered], start_side
