"""Shorter routes where a piece is ragged: walks set out together, and the first to reach every loop wins.

The loops are numbered in the order in which a given route is done with them. Of all walks of a length those
are kept that come furthest in that order without a gap, and of equal ones those that bring most loops within
reach (a beam search). One of them always follows the route: whenever a walk comes upon the route further on
and has left nothing behind, the rest of the route is open to it. So what is found is never longer.
"""

from collections.abc import Sequence
from operator import itemgetter

import numpy as np
from numpy.typing import NDArray

from convert.thread.moves import NOWHERE, bead_loops, loop_neighbours, turns
from convert.weave.model import RIM, Weave

# Walks of a length; more of them find little more and take longer.
_WALKS_KEPT = 48
# A shorter route orders the loops anew, so it can be shortened again.
_ROUNDS = 2
# Loops after which those that every walk has within reach are forgotten, so that numbers stay small.
_FORGET = 128

# States in reverse order, each with those before it.
_Trail = tuple[int, "_Trail | None"]
# Rank, state, loops within reach as bits in the order of the loops, and the trail up to the state.
_Walk = tuple[int, int, int, _Trail]


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
    for _ in range(_ROUNDS):
        shorter = search.shorter(found)
        if len(shorter) == len(found):
            break
        found = shorter
    return found


class _Search:
    """What there is to know of a piece for setting out on walks."""

    def __init__(self, weave: Weave) -> None:
        self._loops = weave.loops
        loops = bead_loops(weave)
        self._beside = np.where(loops == RIM, weave.loops, loops)
        near = np.column_stack([np.arange(weave.loops), loop_neighbours(weave)])
        # The last line stands for no loop.
        self._near = np.vstack([near, np.full(near.shape[1], weave.loops)])
        following = turns(weave)
        # A turn goes round one of the two loops beside a bead; what it comes to is the loop beyond.
        beyond = self._beside[following >> 1].sum(axis=2) - np.repeat(self._beside, 2, axis=0)
        self._onward = [
            [tuple(turn) for turn in pair if turn[0] != NOWHERE]
            for pair in np.stack([following, beyond], axis=2).tolist()
        ]

    def shorter(self, states: Sequence[int]) -> list[int]:
        """Return the first walk found to reach every loop, which is never longer than the route.

        Parameters
        ----------
        states : sequence of int
            A whole route.
        """
        number, needed = self._order(states)
        places: dict[int, list[int]] = {}
        for place, state in enumerate(states):
            places.setdefault(state, []).append(place)
        brings = _Brings(self._near, number)
        first, second = self._beside[states[0] >> 1].tolist()
        walks: list[_Walk] = [(0, states[0], brings[first] | brings[second], (states[0], None))]
        seen: dict[int, int] = {}
        place = 0
        while True:
            best = self._grown(walks, brings, seen)
            place += 1
            for state in best.keys() & places.keys():
                done = brings.done + _gap(best[state][2])
                for other in places[state]:
                    if other > place and needed[other] <= done:
                        place = other
            ranked = sorted(best.values(), key=itemgetter(0), reverse=True)
            if brings.done + _gap(ranked[0][2]) == self._loops:
                return _back((ranked[0][1], ranked[0][3]))
            following, follower = ranked[:_WALKS_KEPT], best[states[place]]
            if follower not in following:
                following.append(follower)
            walks = [(rank, state, reach, (state, trail)) for rank, state, reach, trail in following]
            # Walks are ranked by their first gap, so that the last has the least.
            behind = _gap(walks[-1][2])
            if behind >= _FORGET:
                brings.forget(behind)
                seen.clear()
                walks = [(0, state, reach >> behind, trail) for _, state, reach, trail in walks]

    def _grown(self, walks: Sequence[_Walk], brings: "_Brings", seen: dict[int, int]) -> dict[int, _Walk]:
        """Return the best walk to each state that is one step longer and better than any to it before."""
        scale = 4 * (self._loops + 1)
        best: dict[int, _Walk] = {}
        for rank, state, reach, trail in walks:
            for turned, loop in self._onward[state]:
                wider = reach | brings[loop]
                if wider == reach and rank:
                    new_rank = rank
                else:
                    # First by the first gap, then by loops within reach and by the second gap.
                    filled = wider | (wider + 1)
                    new_rank = (wider ^ (wider + 1)).bit_length() * scale
                    new_rank += wider.bit_count() + (filled ^ (filled + 1)).bit_length()
                if new_rank > seen.get(turned, 0):
                    seen[turned] = new_rank
                    best[turned] = (new_rank, turned, wider, trail)
        return best

    def _order(self, states: Sequence[int]) -> tuple[NDArray[np.intp], list[int]]:
        """Number the loops in the order in which a route is done with them.

        Returns
        -------
        number : ndarray of shape (L + 1,)
            Number of each loop; the last, for no loop, is -1.
        needed : list of int
            For each place of the route, how many loops have to be within reach so that the rest suffices.
        """
        beside = self._beside[np.asarray(states) >> 1]
        reached = self._near[beside].reshape(len(states), -1)
        last = np.zeros(self._loops + 1, np.intp)
        last[reached.ravel()] = np.repeat(np.arange(len(states)), reached.shape[1])
        order = np.argsort(last[:-1], kind="stable")
        number = np.full(self._loops + 1, -1)
        number[order] = np.arange(self._loops)
        return number, np.searchsorted(last[order], np.arange(len(states))).tolist()


class _Brings(dict[int, int]):
    """The loops that come within reach with each loop, as bits in their order, those forgotten left out."""

    def __init__(self, near: NDArray[np.intp], number: NDArray[np.intp]) -> None:
        self._numbers = number[near].tolist()
        self.done = 0

    def __missing__(self, loop: int) -> int:
        brought = 0
        for number in self._numbers[loop]:
            if number >= self.done:
                brought |= 1 << number - self.done
        self[loop] = brought
        return brought

    def forget(self, more: int) -> None:
        """Leave out as many more loops as all walks have within reach."""
        self.done += more
        self.clear()


def _gap(reach: int) -> int:
    """Return how many loops are within reach before the first that is not."""
    return (reach ^ (reach + 1)).bit_length() - 1


def _back(trail: _Trail) -> list[int]:
    """Return the states of a trail in the order of the walk."""
    states: list[int] = []
    at: _Trail | None = trail
    while at is not None:
        state, at = at
        states.append(state)
    return states[::-1]
