"""Where the thread can go next: passes as states, and the two turns that each allows.

A state is a trip through a bead in one direction: ``2 * bead + 1`` towards ``weave.bead_junctions[bead, 1]``,
``2 * bead`` towards the other end. The thread then turns into the next bead of the loop on the one side or on
the other; at the rim there is one loop only.
"""

import numpy as np
from numpy.typing import NDArray

from convert.weave.model import RIM, IntArray, Weave

NOWHERE = -1


def side_states(weave: Weave, *, clockwise: bool) -> IntArray:
    """Return the state of passing each side's bead round the side's loop in one sense, shape (C,)."""
    forward = weave.bead_sides[weave.side_bead, 0] == np.arange(weave.corners)
    return np.asarray(2 * weave.side_bead + (forward == clockwise), np.int32)


def turns(weave: Weave) -> IntArray:
    """Return the states that each state can turn into, shape (2 B, 2), -1 where there is no loop.

    Column 0 turns round the loop of the bead's first side, column 1 round that of its second.
    """
    onward = side_states(weave, clockwise=True)[weave.side_next]
    backward = side_states(weave, clockwise=False)[weave.side_previous]
    first, second = weave.bead_sides.T
    inner = second != RIM
    found = np.empty((weave.beads, 2, 2), np.int32)
    # Towards the second junction a bead is passed clockwise in its first loop and anticlockwise in the other.
    found[:, 1, 0] = onward[first]
    found[:, 1, 1] = np.where(inner, backward[second], NOWHERE)
    found[:, 0, 0] = backward[first]
    found[:, 0, 1] = np.where(inner, onward[second], NOWHERE)
    return found.reshape(-1, 2)


def bead_loops(weave: Weave) -> IntArray:
    """Return the loops on the two sides of each bead, shape (B, 2), -1 at the rim."""
    return np.where(weave.bead_sides == RIM, RIM, weave.side_loop[weave.bead_sides]).astype(np.int32)


def loop_neighbours(weave: Weave) -> IntArray:
    """Return the loops that share a bead with each loop, shape (L, K), in the order of its sides.

    K is the largest number of sides; where there is no loop, at the rim or beyond a loop's last side, the
    number is L, so that an array with one more element than there are loops can be indexed by it.
    """
    beside = np.where(weave.side_twin == RIM, weave.loops, weave.side_loop[weave.side_twin])
    lengths = np.diff(weave.loop_start)
    found = np.full((weave.loops, int(lengths.max())), weave.loops, np.int32)
    found[weave.side_loop, np.arange(weave.corners) - weave.loop_start[weave.side_loop]] = beside
    return found


def distances(neighbours: IntArray, start: int) -> NDArray[np.int32]:
    """Return how many loops each loop lies from a start loop, shape (L,); -1 where none leads there."""
    loops = len(neighbours)
    found = np.full(loops + 1, -1, np.int32)
    found[loops] = 0
    found[start] = 0
    frontier = np.array([start])
    steps = 0
    while len(frontier):
        steps += 1
        beside = np.unique(neighbours[frontier])
        frontier = beside[found[beside] < 0]
        found[frontier] = steps
    return found[:loops]
