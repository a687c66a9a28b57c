"""The steady way: each loop is closed before the next begins, so that at most two are open at any time.

A *route* is a walk from bead to bead along corners of loops. Wherever it comes to a bead, the loops beside
that bead that are not yet woven are woven at once: the thread goes round such a *parent* and comes back to
the bead, leaving it by the same end. Every other loop is a *child* of the first parent next to it: when the
thread has passed the bead they share, it goes round the child and comes back to that bead, then goes on round
the parent. Rounds of parents and children sew each corner once; only the beads of the route itself are extra.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from convert.errors import ThreadPathError
from convert.thread.bands import Lines
from convert.thread.moves import NOWHERE, bead_loops, loop_neighbours, side_states, turns
from convert.weave.model import RIM, IntArray, Weave

NO_SIDE = -1


class _Progress:
    """What of the piece is within reach of the route so far."""

    def __init__(self, weave: Weave, lines: Lines) -> None:
        self.turns = turns(weave).tolist()
        self.bead_loops = bead_loops(weave).tolist()
        self.neighbours = loop_neighbours(weave).tolist()
        self.beside = bytearray(weave.loops + 1)
        # One more element than loops: no loop, which needs nothing.
        self.needs = bytearray(b"\1") * weave.loops + b"\0"
        self.needs_off_line = bytearray(lines.left_over.astype(np.uint8)) + b"\0"
        self.on_line = bytearray(lines.on_line.astype(np.uint8))
        self.left = weave.loops

    def reach(self, state: int) -> None:
        """Count in the loops beside a state's bead and all their neighbours."""
        needs, needs_off_line = self.needs, self.needs_off_line
        for loop in self.bead_loops[state >> 1]:
            if loop != RIM and not self.beside[loop]:
                self.beside[loop] = 1
                self.left -= needs[loop]
                needs[loop] = needs_off_line[loop] = 0
                for beside in self.neighbours[loop]:
                    if needs[beside]:
                        needs[beside] = needs_off_line[beside] = 0
                        self.left -= 1

    def serves(self, state: int) -> bool:
        """Whether a state reaches a new loop, and lies on a line or near a loop off the lines."""
        needs = self.needs if self.on_line[state >> 1] else self.needs_off_line
        for loop in self.bead_loops[state >> 1]:
            if loop != RIM and not self.beside[loop]:
                if needs[loop]:
                    return True
                for beside in self.neighbours[loop]:
                    if needs[beside]:
                        return True
        return False


def route(weave: Weave, lines: Lines, start: int) -> list[int]:
    """Return the states of a route that has every loop beside it or next to a loop that is.

    The route always goes the shortest way to the next bead that serves.

    Parameters
    ----------
    weave : Weave
        The piece.
    lines : Lines
        The lines of beads to follow.
    start : int
        The first state.

    Raises
    ------
    ThreadPathError
        The loops do not hang together.
    """
    progress = _Progress(weave, lines)
    states = [start]
    progress.reach(start)
    while progress.left:
        for state in _shortest_way(progress, states[-1]):
            states.append(state)
            progress.reach(state)
    return states


def _shortest_way(progress: _Progress, start: int) -> list[int]:
    """Return the states on the shortest way to the nearest state that serves."""
    came_from = {start: start}
    queue = [start]
    for state in queue:
        for following in progress.turns[state]:
            if following == NOWHERE or following in came_from:
                continue
            came_from[following] = state
            if progress.serves(following):
                way = [following]
                while (state := came_from[way[-1]]) != start:
                    way.append(state)
                return way[::-1]
            queue.append(following)
    raise ThreadPathError(
        "the loops do not hang together: no thread can weave them as one piece",
        "fill the gaps between the parts, or weave each part as a piece of its own",
    )


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
    for loop in np.argsort(order, kind="stable"):
        if order[loop] < len(states):
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
    parent_state = np.full(weave.loops + 1, NOWHERE, np.int32)
    order = np.full(weave.loops + 1, len(walk), np.int64)
    beside = bead_loops(weave)[walk >> 1][::-1]
    for column in beside.T:
        # Written backwards, the first visit stays; a loop is seldom first and second side of two visits.
        earlier = np.full(weave.loops + 1, len(walk), np.int64)
        earlier[column] = np.arange(len(walk))[::-1]
        better = earlier < order
        order[better] = earlier[better]
    order = order[:-1]
    found = order < len(walk)
    parent_state[:-1][found] = walk[order[found]]
    return parent_state[:-1], order


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
