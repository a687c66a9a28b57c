"""Shorter routes where a piece is ragged: stretch by stretch, a search for another way that does the same.

A stretch may be replaced by any walk between the same two states that brings all those loops within reach
that only this stretch does. Walks are grown step by step, and of all walks of a length only those that bring
most loops are kept (a beam search), so a stretch is shortened often, but not always when it could be.
"""

from collections.abc import Sequence

from convert.thread.moves import NOWHERE
from convert.thread.route import Reach
from convert.weave.model import Weave

# Longer stretches and more walks find little more and take longer.
_STRETCH = 24
_STEP = 8
_WALKS_KEPT = 100
_ROUNDS = 2


def shorten(weave: Weave, states: Sequence[int]) -> list[int]:
    """Return a route that is shorter, if one is found.

    Parameters
    ----------
    weave : Weave
        The piece.
    states : sequence of int
        A whole route, from `convert.thread.route.route`.
    """
    search = _Search(weave)
    found = list(states)
    for state in found:
        search.count(state, 1)
    for _ in range(_ROUNDS):
        before = len(found)
        at = 0
        while at + 2 < len(found):
            # The end of the route need not be kept, only what it reaches.
            end = at + _STRETCH
            goal = found[end] if end < len(found) else NOWHERE
            inner = found[at + 1 : end]
            found[at + 1 : end] = search.replacement(found[at], inner, goal)
            at += _STEP
        if len(found) == before:
            break
    return found


class _Search:
    """Counts how often each loop is within reach, and looks for other ways."""

    def __init__(self, weave: Weave) -> None:
        reach = Reach(weave)
        self.turns = list(zip(reach.first_turn, reach.second_turn, strict=True))
        self.loops = weave.loops
        self.times = [0] * (weave.loops + 1)
        self._reach = reach
        self._near: dict[int, list[int]] = {}

    def near(self, bead: int) -> list[int]:
        """Return the loops beside a bead and their neighbours."""
        if bead not in self._near:
            near, width = self._reach.near, self._reach.width
            beside = (self._reach.first_loop[bead], self._reach.second_loop[bead])
            loops = {
                loop
                for other in beside
                if other < self.loops
                for loop in near[width * other : width * (other + 1)]
            }
            self._near[bead] = sorted(loops - {self.loops})
        return self._near[bead]

    def count(self, state: int, times: int) -> None:
        """Count a state of the route in or out."""
        for loop in self.near(state >> 1):
            self.times[loop] += times

    def replacement(self, start: int, inner: Sequence[int], goal: int) -> Sequence[int]:
        """Return the shortest walk found that does what a stretch does, or the stretch itself.

        Parameters
        ----------
        start : int
            The state before the stretch.
        inner : sequence of int
            The states of the stretch.
        goal : int
            The state after it; `NOWHERE` at the end of the route.
        """
        for state in inner:
            self.count(state, -1)
        needed = {loop for state in inner for loop in self.near(state >> 1) if not self.times[loop]}
        chosen = inner
        # A step brings two new loops within reach at the most.
        if len(inner) - len(needed) / 2 >= 1:
            chosen = self._walk(start, needed, goal, len(inner) - 1) or inner
        for state in chosen:
            self.count(state, 1)
        return chosen

    def _walk(self, start: int, needed: set[int], goal: int, longest: int) -> list[int]:
        """Return a walk of at most a length that has all needed loops within reach, or an empty one."""
        bit = {loop: 1 << number for number, loop in enumerate(sorted(needed))}
        everything = (1 << len(bit)) - 1
        brings: dict[int, int] = {}
        # Walks as (last state, loops within reach), each with the walk before.
        level: dict[tuple[int, int], tuple[int, int]] = {(start, 0): (start, 0)}
        levels = [level]
        for length in range(1, longest + 2):
            following: dict[tuple[int, int], tuple[int, int]] = {}
            for walk in level:
                for state in self.turns[walk[0]]:
                    if state == NOWHERE:
                        continue
                    bead = state >> 1
                    if bead not in brings:
                        brings[bead] = sum(bit.get(loop, 0) for loop in self.near(bead))
                    following.setdefault((state, walk[1] | brings[bead]), walk)
            if goal == NOWHERE:
                ends = [walk for walk in following if walk[1] == everything] if length <= longest else []
                kept = length
            else:
                ends = [walk for walk in following if walk[0] == goal and walk[1] == everything]
                kept = length - 1
            if ends:
                levels.append(following)
                return self._back(levels, ends[0])[:kept]
            if len(following) > _WALKS_KEPT:
                best = sorted(following, key=lambda walk: -walk[1].bit_count())[:_WALKS_KEPT]
                following = {walk: following[walk] for walk in best}
            level = following
            levels.append(level)
        return []

    @staticmethod
    def _back(levels: Sequence[dict[tuple[int, int], tuple[int, int]]], end: tuple[int, int]) -> list[int]:
        """Return the states of a walk, from its end back through the levels."""
        states = []
        for level in reversed(levels[1:]):
            states.append(end[0])
            end = level[end]
        return states[::-1]
