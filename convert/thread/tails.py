"""Tails: how each end of a working thread is sewn into finished work, where holes have room for it.

A tail is a walk through woven beads by the ordinary rule, from one end of a bead to the other and on round a
loop. It turns both ways, so that it locks, and is hitched round the thread between two pairs of beads on its
way. An old thread is sewn in from the bead that it ends in; a new one before it comes out of that same bead,
the same way. Each adds a pass to every bead of its walk, so walks go where holes are emptiest.
"""

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from convert.thread.moves import NOWHERE, turns
from convert.thread.steps import LEAST_TAIL_BEADS, LEAST_TAIL_MM, Supplies, Tail
from convert.weave.model import IntArray, Weave
from convert.weave.tips import tips_of

# Walks of a length that are kept while the best is looked for, of each number of changes of turn.
_WALKS_KEPT = 16
_CHANGES = 2
# What a pass through a hole without room costs, beside at most 1 for one with room.
_FULL = 1e3


class _Walk(NamedTuple):
    """A walk on its way: cost, last state, changes of turn before the last bead, its turn, and its beads."""

    cost: float
    state: int
    changes: int
    turn: int
    changed: bool
    length_mm: float
    beads: tuple[int, ...]


def plan_tails(sewing: "Sewing", new_threads: IntArray) -> tuple[Tail, ...]:
    """Return the tails of all working threads, in the order in which they are sewn in.

    At each join first the old thread is sewn in, then the new one; the beginning of the first thread and the
    end of the last are sewn in when all is woven.

    Parameters
    ----------
    sewing : Sewing
        The piece, of which no tail is counted in yet.
    new_threads : ndarray of shape (T,), int32
        Passes before which a new thread is joined, the first of them 0.
    """
    tails: list[Tail] = []
    for join in new_threads[1:].tolist():
        tails += sewing.tails_at(join)
        for tail in tails[-2:]:
            sewing.count(tail.beads)
    end = sewing.passes
    for state, before in ((sewing.state_after(end - 1), end), (sewing.state_before_first(), 0)):
        tails.append(Tail(before, True, sewing.walk(state, end).beads))
        sewing.count(tails[-1].beads)
    return tuple(tails)


class Sewing:
    """What is known of holes and ways while tails are planned one after the other.

    Parameters
    ----------
    weave : Weave
        The piece.
    passes : ndarray of shape (P,), int32
        Beads in the order of the thread.
    supplies : Supplies
        Thread and needle.
    """

    def __init__(self, weave: Weave, passes: IntArray, supplies: Supplies) -> None:
        self._weave, self._passes = weave, passes
        self.passes = len(passes)
        first = np.full(weave.beads, len(passes), np.int64)
        at = np.flatnonzero(~tips_of(weave).are(passes))[::-1]
        first[passes[at]] = at
        self._first = first.tolist()
        self._onward = turns(weave).tolist()
        self._side_mm = weave.bead_side_mm.tolist()
        holes_mm = np.array([size.hole_mm for size in weave.sizes])[weave.bead_size]
        woven = np.bincount(passes[at], minlength=weave.beads)
        self._room = (supplies.most_passes(holes_mm) - woven).tolist()

    def count(self, beads: Sequence[int]) -> None:
        """Count in a pass through each of some beads."""
        for bead in beads:
            self._room[bead] -= 1

    def tails_at(self, join: int) -> list[Tail]:
        """Return the two tails where a new thread is joined before a pass."""
        state = self.state_after(join - 1)
        leaving = self.walk(state, join).beads
        self.count(leaving)
        # Looked for backwards, so that the new thread comes out of the bead as the old one did.
        coming = self.walk(state ^ 1, join).beads
        for bead in leaving:
            self._room[bead] += 1
        return [Tail(join, True, leaving), Tail(join, False, (*coming[::-1], state >> 1))]

    def fits(self, last: int) -> bool:
        """Return whether holes have room for both tails if a thread ends with a pass."""
        tails = self.tails_at(last + 1)
        loads = Counter(bead for tail in tails for bead in tail.beads)
        return all(self._room[bead] >= times for bead, times in loads.items())

    def state_after(self, at: int) -> int:
        """Return the state in which the thread is after a pass, in the last bead that is no tip's."""
        while tips_of(self._weave).are(self._passes[at]):
            at -= 1
        bead, before = int(self._passes[at]), at - 1
        while tips_of(self._weave).are(self._passes[before]):
            before -= 1
        entered = np.isin(self._weave.bead_junctions[bead], self._weave.bead_junctions[self._passes[before]])
        return 2 * bead + int(bool(entered[0]))

    def state_before_first(self) -> int:
        """Return the state in which the beginning of the first thread stands, seen from its tail."""
        first, second = self._passes[:2].tolist()
        shared = np.isin(self._weave.bead_junctions[first], self._weave.bead_junctions[second])
        return 2 * int(first) + int(bool(shared[0]))

    def walk(self, state: int, woven_before: int) -> "_Walk":
        """Return the best tail that goes on from a state.

        Parameters
        ----------
        state : int
            Where the thread stands.
        woven_before : int
            Only beads picked up before this pass are there.
        """
        start = _Walk(0.0, state, 0, 0, False, 0.0, ())
        walks = [start]
        whole: list[_Walk] = []
        while walks and len(walks[0].beads) < 4 * LEAST_TAIL_BEADS:
            following: dict[tuple[int, int, int, bool], _Walk] = {}
            for walk in walks:
                for grown in self._grown(walk, woven_before):
                    key = grown[1:5]
                    if key not in following or grown.cost < following[key].cost:
                        following[key] = grown
            ranked = sorted(following.values())
            # Of each number of changes some stay, or the cheapest would all go one way.
            walks = [
                walk
                for changes in range(_CHANGES + 1)
                for walk in [one for one in ranked if min(one.changes, _CHANGES) == changes][:_WALKS_KEPT]
            ]
            whole = [walk for walk in walks if _is_whole(walk)]
            if any(walk.changes >= _CHANGES for walk in whole):
                break
        return min(whole or walks or [start], key=lambda walk: (-min(walk.changes, _CHANGES), walk.cost))

    def _grown(self, walk: _Walk, woven_before: int) -> Sequence[_Walk]:
        found = []
        for column, state in enumerate(self._onward[walk.state]):
            if state == NOWHERE or self._first[state >> 1] >= woven_before:
                continue
            bead = state >> 1
            # Towards its second junction a bead's first loop lies to the right of the thread.
            turn = 1 if (walk.state & 1) ^ column else -1
            changes, changed = walk.changes + walk.changed, walk.turn not in (0, turn)
            room = self._room[bead] - walk.beads.count(bead)
            cost = walk.cost + (1 / room if room > 0 else _FULL)
            length_mm = walk.length_mm + self._side_mm[bead]
            found.append(_Walk(cost, state, changes, turn, changed, length_mm, (*walk.beads, bead)))
        return found


def _is_whole(walk: _Walk) -> bool:
    return len(walk.beads) >= LEAST_TAIL_BEADS and walk.length_mm >= LEAST_TAIL_MM
