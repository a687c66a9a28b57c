"""The steady way: each loop is closed before the next begins, so that at most two are open at any time.

The thread follows a route (see `convert.thread.route`). Wherever that comes to a bead, the loops beside the
bead that are not yet woven are woven at once: the thread goes round such a *parent* and comes back to the
bead, leaving it by the same end. Every other loop is a *child* of a parent next to it: when the thread has
passed the bead they share, it goes round the child and comes back to that bead, then goes on round the
parent. Rounds of parents and children sew each corner once; only the beads of the route itself are extra.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.thread.moves import NOWHERE, bead_loops, side_states
from convert.weave.model import RIM, IntArray, Weave

NO_SIDE, NO_PLACE = -1, -1


@dataclass(frozen=True, eq=False, slots=True)
class Hosts:
    """Where on a route each loop is woven.

    Parameters
    ----------
    place : ndarray of shape (L,), int64
        Place on the route from which a parent is woven, `NO_PLACE` for a child.
    side : ndarray of shape (L,), int32
        Side at which the thread stands when it sets out round the loop: of a parent in the bead of the route,
        of a child in the bead that it shares with its parent.
    clockwise : ndarray of shape (L,), bool
        Whether the thread goes round the loop clockwise on the page.
    """

    place: NDArray[np.int64]
    side: IntArray
    clockwise: NDArray[np.bool_]


def weave_along(weave: Weave, states: Sequence[int], hosts: Hosts) -> tuple[IntArray, IntArray]:
    """Return the passes of the thread along a route, and the side each pass goes round, -1 on the route.

    Parameters
    ----------
    weave : Weave
        The piece.
    states : sequence of int
        From `route`.
    hosts : Hosts
        Where each loop is woven.
    """
    children = hosts.side[hosts.place == NO_PLACE]
    entered = np.arange(weave.corners, dtype=np.int32)
    entered[children], entered[weave.side_twin[children]] = weave.side_twin[children], children
    onward = np.where(hosts.clockwise[weave.side_loop], weave.side_next, weave.side_previous)
    succeeding, first_sides = onward[entered].tolist(), hosts.side.tolist()
    parents_at: dict[int, list[int]] = {}
    for loop in np.flatnonzero(hosts.place != NO_PLACE).tolist():
        parents_at.setdefault(int(hosts.place[loop]), []).append(first_sides[loop])
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


def first_come(weave: Weave, states: Sequence[int]) -> Hosts:
    """Return the hosts by which each loop is woven as early as can be.

    Parameters
    ----------
    weave : Weave
        The piece.
    states : sequence of int
        A route that has every loop within reach.
    """
    walk = np.asarray(states, np.int32)
    beside = bead_loops(weave)[walk >> 1]
    # One more element, for no loop. Written backwards, the first visit stays.
    order = np.full(weave.loops + 1, len(walk))
    order[beside.ravel()[::-1]] = np.repeat(np.arange(len(walk)), 2)[::-1]
    order = order[:-1]
    is_parent = order < len(walk)
    parent_state = np.full(weave.loops, NOWHERE, np.int32)
    parent_state[is_parent] = walk[order[is_parent]]

    clockwise = np.zeros(weave.loops, bool)
    side = np.full(weave.loops, NO_SIDE, np.int32)
    for states_of, sense in (
        (side_states(weave, clockwise=True), True),
        (side_states(weave, clockwise=False), False),
    ):
        sides = np.flatnonzero(states_of == parent_state[weave.side_loop])
        side[weave.side_loop[sides]] = sides
        clockwise[weave.side_loop[sides]] = sense

    # A child hangs on the first parent beside it, on its first side that meets that parent.
    never = int(order.max()) + 1
    twin = weave.side_twin
    inner = twin != RIM
    when = np.where(inner & is_parent[weave.side_loop[twin]], order[weave.side_loop[twin]], never)
    when = np.where(is_parent[weave.side_loop], never, when)
    key = when * (weave.corners + 1) + np.arange(weave.corners)
    hang = (np.minimum.reduceat(key, weave.loop_start[:-1]) % (weave.corners + 1)).astype(np.int32)
    hang = hang[~is_parent]
    side[weave.side_loop[hang]] = hang
    clockwise[weave.side_loop[hang]] = ~clockwise[weave.side_loop[twin[hang]]]
    return Hosts(np.where(is_parent, order, NO_PLACE), side, clockwise)
