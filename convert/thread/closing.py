"""A piece that is closed to a ring: woven flat but for the last loop of each row, which then close it.

Flat work is easier to hold and to see, and where a piece closes most side beads of the last loops are there
already: of each only one is new, but at the edges.
"""

from typing import NamedTuple

import numpy as np

from convert.thread.moves import NOWHERE, bead_loops, distances, loop_neighbours, side_states, turns
from convert.weave.model import IntArray, Weave
from convert.weave.part import part_of


def closing_loops(weave: Weave) -> IntArray:
    """Return the loops that close a ring, those of its last column, from the first row on."""
    assert weave.seam is not None
    loops = np.flatnonzero(weave.loop_column == weave.loop_column.max())
    return loops[np.argsort(weave.loop_row[loops], kind="stable")].astype(np.int32)


class Flat(NamedTuple):
    """A ring laid open, with the bead and the side of the ring that each of its beads and sides is."""

    weave: Weave
    beads: IntArray
    sides: IntArray


def laid_open(weave: Weave) -> Flat | None:
    """Return a ring without the loops that close it; None where the rest would not hang together.

    Parameters
    ----------
    weave : Weave
        The ring.
    """
    kept = np.ones(weave.loops, bool)
    kept[closing_loops(weave)] = False
    if not kept.any():
        return None
    flat = part_of(weave, kept)
    if distances(loop_neighbours(flat), 0).min() < 0:
        return None
    sides = np.flatnonzero(kept[weave.side_loop]).astype(np.int32)
    return Flat(flat, np.unique(weave.side_bead[sides]), sides)


def close_ring(weave: Weave, passes: IntArray) -> tuple[IntArray, IntArray]:
    """Return the passes that close a ring, and the side each goes round, -1 on the way to the next loop.

    Each time the thread goes on through woven loops to the nearest bead of a loop that is still to be closed,
    of several to the loop with fewest beads to pick up, and round that.

    Parameters
    ----------
    weave : Weave
        The ring.
    passes : ndarray of shape (P,), int32
        The thread's way through all its loops but the last of each row.
    """
    last, before = int(passes[-1]), int(passes[-2])
    state = 2 * last + int(weave.bead_junctions[last, 0] in weave.bead_junctions[before])
    left = set(closing_loops(weave).tolist())
    strung = np.zeros(weave.beads, bool)
    strung[passes] = True
    ways = _Ways(weave, left)
    beads: list[int] = []
    sides: list[int] = []
    while left:
        way, loop = ways.to_nearest(state, strung)
        beads += [one >> 1 for one in way]
        sides += [-1] * len(way)
        state = way[-1] if way else state
        for side in ways.round(state, loop):
            beads.append(int(weave.side_bead[side]))
            sides.append(side)
        strung[weave.side_bead[weave.loop_start[loop] : weave.loop_start[loop + 1]]] = True
        left.discard(loop)
    return np.array(beads, np.int32), np.array(sides, np.int32)


class _Ways:
    """Finds ways through what is woven of a ring to the loops that are left."""

    def __init__(self, weave: Weave, left: set[int]) -> None:
        self._weave, self._left = weave, left
        self._turns = turns(weave).tolist()
        self._beside = bead_loops(weave).tolist()
        self._clockwise = side_states(weave, clockwise=True)

    def to_nearest(self, start: int, strung: np.ndarray) -> tuple[list[int], int]:
        """Return the states on the way from a state to a bead of the loop to close next, and that loop."""
        came_from = {start: NOWHERE}
        level = [start]
        while level:
            found = [
                (self._new_beads(loop, strung), int(self._weave.loop_row[loop]), state, loop)
                for state in level
                for loop in self._beside[state >> 1]
                if loop in self._left
            ]
            if found:
                *_, state, loop = min(found)
                way = []
                while state != start:
                    way.append(state)
                    state = came_from[state]
                return way[::-1], loop
            following = []
            for state in level:
                # A loop that is left would have ended the search: every turn is round a woven one.
                for turned in self._turns[state]:
                    if turned != NOWHERE and turned not in came_from:
                        came_from[turned] = state
                        following.append(turned)
            level = following
        raise AssertionError("a loop that closes a ring shares a bead with one that is woven")

    def round(self, state: int, loop: int) -> list[int]:
        """Return the sides of a loop as the thread goes round it, coming back to its bead."""
        weave = self._weave
        own = range(weave.loop_start[loop], weave.loop_start[loop + 1])
        first = next(side for side in own if weave.side_bead[side] == state >> 1)
        onward = weave.side_next if self._clockwise[first] == state else weave.side_previous
        found = [int(onward[first])]
        while found[-1] != first:
            found.append(int(onward[found[-1]]))
        return found

    def _new_beads(self, loop: int, strung: np.ndarray) -> int:
        weave = self._weave
        beads = weave.side_bead[weave.loop_start[loop] : weave.loop_start[loop + 1]]
        return int((~strung[beads]).sum())
