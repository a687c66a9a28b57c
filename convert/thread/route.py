"""The route of the steady way: a walk from bead to bead that brings every loop within reach.

A route follows lines of beads (see `convert.thread.bands`). It always goes the shortest way to the next bead
that *serves*: a bead of a line that brings a new loop within reach, or a bead beside or next to a loop that
no line reaches. Of several equally near it takes the one that brings most loops within reach and leaves the
rest with the shortest outline, so that nothing is left behind.
"""

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from convert.errors import ThreadPathError
from convert.thread.bands import Lines
from convert.thread.moves import NOWHERE, bead_loops, loop_neighbours, turns
from convert.weave.model import RIM, Weave


class Reach:
    """What of a piece is within reach of a route that is being made.

    A loop is within reach once it lies beside the route or next to a loop that does.

    Parameters
    ----------
    weave : Weave
        The piece.
    """

    def __init__(self, weave: Weave) -> None:
        self.weave = weave
        # Plain flat lists: the route is made state by state, and reading a list is quickest.
        self.first_turn, self.second_turn = turns(weave).T.tolist()
        beside = bead_loops(weave)
        self.first_loop, self.second_loop = np.where(beside == RIM, weave.loops, beside).T.tolist()
        neighbours = np.column_stack([np.arange(weave.loops), loop_neighbours(weave)])
        self.width = neighbours.shape[1]
        self.near = neighbours.ravel().tolist()
        self._near_counts = [*(neighbours < weave.loops).sum(axis=1).tolist(), 0]
        self.begin()

    def begin(self) -> None:
        """Begin another route: no loop is within reach."""
        loops = self.weave.loops
        self.needs = bytearray(b"\1") * loops + b"\0"
        # Loops still to be reached among each loop and its neighbours; the last stands for no loop.
        self.new = self._near_counts.copy()
        self.left = loops

    def take(self, state: int) -> None:
        """Count in the loops beside a state's bead and all their neighbours."""
        new, needs, near, width = self.new, self.needs, self.near, self.width
        for loop in (self.first_loop[state >> 1], self.second_loop[state >> 1]):
            if new[loop]:
                for reached in near[width * loop : width * (loop + 1)]:
                    if needs[reached]:
                        needs[reached] = 0
                        self.left -= 1
                        for other in near[width * reached : width * (reached + 1)]:
                            new[other] -= 1

    def gain(self, bead: int) -> int:
        """Return the loops that a bead brings within reach, less the growth of the outline of those left."""
        needs, near, width = self.needs, self.near, self.width
        brought = {
            loop
            for beside in (self.first_loop[bead], self.second_loop[bead])
            if self.new[beside]
            for loop in near[width * beside : width * (beside + 1)]
            if needs[loop]
        }
        score = len(brought)
        for loop in brought:
            for beside in near[width * loop + 1 : width * (loop + 1)]:
                if beside not in brought:
                    score += -1 if needs[beside] else 1
        return score


def route(reach: Reach, lines: Lines, start: int) -> list[int]:
    """Return the states of a route along lines.

    Parameters
    ----------
    reach : Reach
        What is within reach, of the piece; it is begun anew.
    lines : Lines
        The lines of beads to follow.
    start : int
        The first state.

    Raises
    ------
    ThreadPathError
        The loops do not hang together.
    """
    reach.begin()
    on_line = bytearray(lines.on_line.astype(np.uint8))
    off_line = _beads_near(reach.weave, lines.left_over)
    may_serve = bytearray(on_line)
    for bead in off_line:
        may_serve[bead] = 1
    needs, new = reach.needs, reach.new
    first_loop, second_loop = reach.first_loop, reach.second_loop
    first_turn, second_turn = reach.first_turn, reach.second_turn

    def serves(bead: int) -> bool:
        if on_line[bead]:
            if new[first_loop[bead]] or new[second_loop[bead]]:
                return True
        elif any(needs[loop] for loop in off_line[bead]):
            return True
        # What is within reach stays there, so this bead will not serve later either.
        may_serve[bead] = 0
        return False

    states = [start]
    reach.take(start)
    while reach.left:
        state = states[-1]
        for turned in (first_turn[state], second_turn[state]):
            if turned != NOWHERE and may_serve[turned >> 1] and serves(turned >> 1):
                way = [turned]
                break
        else:
            way = _shortest_way(reach, may_serve, serves, state)
        for state in way:
            states.append(state)
            reach.take(state)
    return states


def _beads_near(weave: Weave, left_over: NDArray[np.bool_]) -> dict[int, list[int]]:
    """Return the beads from which loops off the lines come within reach, each with those loops."""
    near: dict[int, list[int]] = {}
    for loop in np.flatnonzero(left_over).tolist():
        twins = weave.side_twin[weave.loop_start[loop] : weave.loop_start[loop + 1]]
        for beside in [loop, *weave.side_loop[twins[twins != RIM]].tolist()]:
            for bead in weave.side_bead[weave.loop_start[beside] : weave.loop_start[beside + 1]].tolist():
                near.setdefault(bead, []).append(loop)
    return near


def _shortest_way(reach: Reach, may_serve: bytearray, serves: Callable[[int], bool], start: int) -> list[int]:
    """Return the states on the shortest way to the best of the nearest states whose bead serves.

    Parameters
    ----------
    reach : Reach
        What is within reach.
    may_serve : bytearray
        Which beads can still serve: most cannot, and looking here is quicker than asking `serves`.
    serves : callable
        Tells whether such a bead serves now.
    start : int
        The state to go from.
    """
    first_turn, second_turn = reach.first_turn, reach.second_turn
    came_from = {NOWHERE: start, start: start}
    level: Sequence[int] = [start]
    while level:
        following, found = [], []
        for turns_of in (first_turn, second_turn):
            for state in level:
                turned = turns_of[state]
                if turned not in came_from:
                    came_from[turned] = state
                    following.append(turned)
                    if may_serve[turned >> 1] and serves(turned >> 1):
                        found.append(turned)
        if found:
            way = [max(found, key=lambda state: reach.gain(state >> 1))]
            while (state := came_from[way[-1]]) != start:
                way.append(state)
            return way[::-1]
        level = following
    raise ThreadPathError(
        "the loops do not hang together: no thread can weave them as one piece",
        "fill the gaps between the parts, or weave each part as a piece of its own",
    )
