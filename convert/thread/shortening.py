"""Shorter routes where a piece is ragged: walks set out together, and the first to reach every loop wins.

The loops are numbered in the order in which a given route is done with them. Of all walks of a length those
are kept that come furthest in that order without a gap, and of equal ones those that bring most loops within
reach (a beam search); of those that end in one state only the best, and that only if no shorter walk was as
good there. One of them always follows the route: whenever a walk comes upon the route further on and has
left nothing behind, the rest of the route is open to it. So what is found is never longer.
"""

from collections.abc import Sequence
from operator import itemgetter

import numpy as np
from numpy.typing import NDArray

from convert.thread.moves import NOWHERE, bead_loops, loop_neighbours, turns
from convert.weave.model import RIM, Weave

# Loops after which those that every walk has within reach are forgotten, so that numbers stay small.
_FORGET = 128

# States in reverse order, each with those before it.
_Trail = tuple[int, "_Trail | None"]
# Rank, state, loops within reach as bits in the order of the loops, and the trail up to the state.
_Walk = tuple[int, int, int, _Trail]


class Shortening:
    """What there is to know of a piece for shortening its routes.

    Parameters
    ----------
    weave : Weave
        The piece.
    """

    def __init__(self, weave: Weave) -> None:
        self._loops = weave.loops
        # Ranks are a walk's first gap times this, and what is less.
        self._scale = 4 * (weave.loops + 1)
        loops = bead_loops(weave)
        self._beside = np.where(loops == RIM, weave.loops, loops)
        near = np.column_stack([np.arange(weave.loops), loop_neighbours(weave)])
        # The last line stands for no loop.
        self._near = np.vstack([near, np.full(near.shape[1], weave.loops)])
        following = turns(weave)
        # A turn goes round one of the two loops beside a bead; what it comes to is the loop beyond.
        beyond = self._beside[following >> 1].sum(axis=2) - np.repeat(self._beside, 2, axis=0)
        around_first, around_second = zip(following.T.tolist(), beyond.T.tolist(), strict=True)
        turned = zip(zip(*around_first, strict=True), zip(*around_second, strict=True), strict=True)
        self._onward = [pair if pair[1][0] != NOWHERE else pair[:1] for pair in turned]

    def shorten(self, states: Sequence[int], walks_kept: int) -> list[int]:
        """Return the first walk found to reach every loop, which is never longer than the route.

        Parameters
        ----------
        states : sequence of int
            A whole route, from `convert.thread.route.route` or from here: a shorter route orders the loops
            anew, so it can be shortened again.
        walks_kept : int
            Walks of a length; more of them find more and take longer.
        """
        number, needed = self._order(states)
        places: dict[int, list[int]] = {}
        for place, state in enumerate(states):
            places.setdefault(state, []).append(place)
        brings = _Brings(self._near, number)
        first, second = self._beside[states[0] >> 1].tolist()
        reach = brings[first] | brings[second]
        walks: list[_Walk] = [(self._rank(reach, 0), states[0], reach, (states[0], None))]
        seen = [-1] * len(self._onward)
        place = 0
        while self._done(walks[0]) < self._loops:
            best = self._grown(walks, brings, seen)
            place += 1
            for state in best.keys() & places.keys():
                done = self._done(best[state])
                for other in places[state]:
                    if other > place and needed[other] <= done:
                        place = other
            following = sorted(best.values(), key=itemgetter(0), reverse=True)[:walks_kept]
            follower = best[states[place]]
            if follower not in following:
                following.append(follower)
            walks = [(rank, state, reach, (state, trail)) for rank, state, reach, trail in following]
            # The last walk has the lowest rank and so its first gap before all others.
            behind = self._done(walks[-1]) - brings.forgotten
            if behind >= _FORGET:
                brings.forget(behind)
                walks = [(rank, state, reach >> behind, trail) for rank, state, reach, trail in walks]
        return _back(walks[0][3])

    def _grown(self, walks: Sequence[_Walk], brings: "_Brings", seen: list[int]) -> dict[int, _Walk]:
        """Return the best walk to each state that is one step longer and better than any to it before."""
        onward, rank_of, forgotten = self._onward, self._rank, brings.forgotten
        best: dict[int, _Walk] = {}
        for rank, state, reach, trail in walks:
            for turned, loop in onward[state]:
                wider = reach | brings[loop]
                new_rank = rank if wider == reach else rank_of(wider, forgotten)
                if new_rank > seen[turned]:
                    seen[turned] = new_rank
                    best[turned] = (new_rank, turned, wider, trail)
        return best

    def _rank(self, reach: int, forgotten: int) -> int:
        """Rank a walk first by its first gap, then by loops within reach and by its second gap."""
        filled = reach | (reach + 1)
        first_gap, second_gap = (reach ^ (reach + 1)).bit_length(), (filled ^ (filled + 1)).bit_length()
        return (first_gap + forgotten) * self._scale + reach.bit_count() + second_gap + 2 * forgotten

    def _done(self, walk: _Walk) -> int:
        """Return how many loops a walk has within reach before the first that it has not."""
        return walk[0] // self._scale - 1

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
        self.forgotten = 0

    def __missing__(self, loop: int) -> int:
        brought = 0
        for number in self._numbers[loop]:
            if number >= self.forgotten:
                brought |= 1 << number - self.forgotten
        self[loop] = brought
        return brought

    def forget(self, more: int) -> None:
        """Leave out as many more loops as all walks have within reach."""
        self.forgotten += more
        self.clear()


def _back(trail: _Trail) -> list[int]:
    """Return the states of a trail in the order of the walk."""
    states: list[int] = []
    at: _Trail | None = trail
    while at is not None:
        state, at = at
        states.append(state)
    return states[::-1]
