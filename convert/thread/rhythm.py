"""Fewer kinds of loop, at no cost of thread: where on its route the thread weaves which loop.

Most loops can be woven from more than one place: a parent from every bead of the route that lies beside it,
and as the child of any parent next to it. All ways take the same thread. Which beads a loop finds there
already, and so of which kind it is (`convert.instructions.kinds`), depends on the choice. One loop after the
other takes the place by which kinds that are common become more common, until none does.
"""

import math
from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np

from convert.thread.moves import side_states
from convert.thread.steady import NO_PLACE, Hosts
from convert.weave.model import RIM, Weave

# Rounds over all loops: the second finds little, a third next to nothing.
_ROUNDS = 3
# Larger pieces have many loops of each kind, and would take long.
MOST_LOOPS = 2_500
# What a kind more costs, beside the loss of order by which kinds are weighed.
_KIND = 2.0
_PLACES = 64

_Choice = tuple[int, int, bool]
_Kind = tuple[bool, int, int]


class _Rhythm:
    """The loops of a piece with their places on a route, and how many are of each kind."""

    def __init__(self, weave: Weave, states: Sequence[int], hosts: Hosts) -> None:
        self.place, self.side = hosts.place.tolist(), hosts.side.tolist()
        self.clockwise = hosts.clockwise.tolist()
        self.start = weave.loop_start.tolist()
        twin = np.where(weave.side_twin == RIM, RIM, weave.side_twin)
        self.twin = twin.tolist()
        self.loop_of = weave.side_loop.tolist()
        self.children: list[int] = [0] * weave.loops
        for loop, place in enumerate(self.place):
            if place == NO_PLACE:
                self.children[self._parent(loop)] += 1
        self._visits(weave, states)
        self.kinds: Counter[_Kind] = Counter(self.kind(loop) for loop in range(weave.loops))

    def _visits(self, weave: Weave, states: Sequence[int]) -> None:
        """Find the places from which each loop can be woven, and by when it has to be."""
        clockwise = side_states(weave, clockwise=True).tolist()
        anticlockwise = side_states(weave, clockwise=False).tolist()
        sides_of: dict[int, list[tuple[int, bool]]] = {}
        for side in range(weave.corners):
            sides_of.setdefault(clockwise[side], []).append((side, True))
            sides_of.setdefault(anticlockwise[side], []).append((side, False))
        self.visits: list[list[_Choice]] = [[] for _ in range(weave.loops)]
        # The route must not turn a corner of a loop before the loop is woven: it would be open from then on.
        self.latest = [len(states)] * weave.loops
        for place, state in enumerate(states):
            for side, sense in sides_of[state]:
                self.visits[self.loop_of[side]].append((place, side, sense))
        loops = [{self.loop_of[side] for side, _ in sides_of[state]} for state in states]
        for place in range(len(states) - 1):
            for loop in loops[place] & loops[place + 1]:
                self.latest[loop] = min(self.latest[loop], place)

    def _parent(self, loop: int) -> int:
        return int(self.loop_of[self.twin[self.side[loop]]])

    def key(self, loop: int) -> int:
        """Return when a loop is woven, as a number to compare with that of loops beside it."""
        place = self.place[loop]
        if place != NO_PLACE:
            return int(place * 2 + self._turn(loop)) * _PLACES
        parent = self._parent(loop)
        length = self.start[parent + 1] - self.start[parent]
        ahead = self.twin[self.side[loop]] - self.side[parent]
        steps = ahead if self.clockwise[parent] else -ahead
        return int(self.place[parent] * 2 + self._turn(parent)) * _PLACES + 1 + int(steps % length)

    def _turn(self, parent: int) -> int:
        """Return whether a parent is the second that is woven from its place."""
        other = self.twin[self.side[parent]]
        if other == RIM:
            return 0
        beside = self.loop_of[other]
        same = self.place[beside] == self.place[parent] and self.side[beside] == other
        return int(same and beside < parent)

    def kind(self, loop: int) -> _Kind:
        """Return of which kind a loop is."""
        first, end = self.start[loop], self.start[loop + 1]
        own, start, step = self.key(loop), self.side[loop], 1 if self.clockwise[loop] else -1
        length = end - first
        picks, side = 0, start - first
        for place in range(length - 1):
            side = (side + step) % length
            twin = self.twin[first + side]
            if twin == RIM or self.key(self.loop_of[twin]) > own:
                picks |= 1 << place
        return self.clockwise[loop], length, picks

    def choices(self, loop: int) -> Iterator[_Choice]:
        """Yield the places from which a loop without children can be woven: place, side and sense."""
        latest = self.latest[loop]
        for choice in self.visits[loop]:
            if choice[0] <= latest:
                yield choice
        for side in range(self.start[loop], self.start[loop + 1]):
            twin = self.twin[side]
            if twin != RIM:
                parent = self.loop_of[twin]
                place = self.place[parent]
                if place != NO_PLACE and place <= latest and self.side[parent] != twin:
                    yield NO_PLACE, side, not self.clockwise[parent]

    def put(self, loop: int, choice: _Choice) -> None:
        """Weave a loop from another place."""
        if self.place[loop] == NO_PLACE:
            self.children[self._parent(loop)] -= 1
        self.place[loop], self.side[loop], self.clockwise[loop] = choice
        if choice[0] == NO_PLACE:
            self.children[self._parent(loop)] += 1

    def settle(self, loop: int) -> bool:
        """Give a loop the place by which most loops are of common kinds; tell whether it is another one."""
        # Only loops beside it compare themselves with it.
        twins = self.twin[self.start[loop] : self.start[loop + 1]]
        touched = {loop, *(self.loop_of[twin] for twin in twins if twin != RIM)}
        before = Counter(map(self.kind, touched))
        now = best = (self.place[loop], self.side[loop], self.clockwise[loop])
        least = 1e-9
        for choice in list(self.choices(loop)):
            if choice == now:
                continue
            self.put(loop, choice)
            after = Counter(map(self.kind, touched))
            gain = self._gain(before, after)
            if gain > least:
                least, best = gain, choice
            self.put(loop, now)
        if best == now:
            return False
        self.kinds.subtract(before)
        self.put(loop, best)
        self.kinds.update(map(self.kind, touched))
        return True

    def _gain(self, before: Counter[_Kind], after: Counter[_Kind]) -> float:
        """Return how much more ordered the kinds become."""
        gain = 0.0
        for kind in before.keys() | after.keys():
            was = self.kinds[kind]
            now = was + after[kind] - before[kind]
            gain += _weight(now) - _weight(was)
        return gain


def _weight(times: int) -> float:
    return times * math.log(times) - _KIND if times else 0.0


def regular(weave: Weave, states: Sequence[int], hosts: Hosts) -> Hosts:
    """Return hosts by which a piece has fewer kinds of loop, and more loops of the common ones.

    Parameters
    ----------
    weave : Weave
        The piece.
    states : sequence of int
        The route.
    hosts : Hosts
        Where each loop is woven, see `convert.thread.steady.first_come`.
    """
    if weave.loops > MOST_LOOPS:
        return hosts
    rhythm = _Rhythm(weave, states, hosts)
    # What is woven first stays first: a corner, or the centre of a flower.
    loops = [loop for loop in range(weave.loops) if rhythm.key(loop) >= 2 * _PLACES]
    for _ in range(_ROUNDS):
        moved = [rhythm.settle(loop) for loop in loops if not rhythm.children[loop]]
        if not any(moved):
            break
    return Hosts(
        np.array(rhythm.place, np.int64), np.array(rhythm.side, np.int32), np.array(rhythm.clockwise, bool)
    )
