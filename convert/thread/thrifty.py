"""The thrifty way: a walk round a tree of loops that sews every corner once, the least thread there can be.

Two loops are neighbours in the tree when they share a bead. The thread walks round the root; whenever it has
passed a bead of the tree it goes round the loop on the other side, with the other turning sense, and comes
back through that bead before it goes on. Loops on the way from the root stay open until it comes back, so the
tree is grown breadth first from the middle of the piece, which keeps those ways short.
"""

import numpy as np

from convert.errors import ThreadPathError
from convert.thread.moves import distances, loop_neighbours
from convert.weave.model import RIM, IntArray, Weave


def middle_loop(weave: Weave) -> int:
    """Return the loop from which the farthest other is nearest, the most central of several.

    A loop is at least as far from its farthest as from any loops that are known. So the loop that is best by
    what is known is the middle as soon as its farthest is no farther; else its farthest becomes known.
    """
    neighbours = loop_neighbours(weave)
    off_centre = np.hypot(*(weave.loop_xy - weave.loop_xy.mean(axis=0)).T)
    known = distances(neighbours, 0)
    while True:
        best = np.flatnonzero(known == known.min())
        loop = int(best[off_centre[best].argmin()])
        found = distances(neighbours, loop)
        if found.max() <= known[loop]:
            return loop
        known = np.maximum(known, distances(neighbours, int(found.argmax())))


def weave_tree(weave: Weave, root: int) -> tuple[IntArray, IntArray]:
    """Return the passes of the thread round a breadth-first tree, and the side each pass goes round.

    Parameters
    ----------
    weave : Weave
        The piece.
    root : int
        The loop to start with.

    Raises
    ------
    ThreadPathError
        The loops do not hang together.
    """
    depth = distances(loop_neighbours(weave), root)
    if depth.min() < 0:
        raise ThreadPathError(
            "the loops do not hang together: no thread can weave them as one piece",
            "fill the gaps between the parts, or weave each part as a piece of its own",
        )
    twin = weave.side_twin
    nearer = (twin != RIM) & (depth[weave.side_loop[twin]] == depth[weave.side_loop] - 1)
    # The last written stays: a loop hangs on one side only.
    hang = np.full(weave.loops, RIM, np.int32)
    sides = np.flatnonzero(nearer)[::-1].astype(np.int32)
    hang[weave.side_loop[sides]] = sides
    hang = hang[hang != RIM]
    entered = np.arange(weave.corners, dtype=np.int32)
    entered[hang], entered[twin[hang]] = twin[hang], hang
    clockwise = (depth % 2 == 0)[weave.side_loop]
    succeeding = np.where(clockwise, weave.side_next, weave.side_previous)[entered].tolist()

    first = int(weave.loop_start[root])
    walk = [first]
    side = succeeding[first]
    while side != first:
        walk.append(side)
        side = succeeding[side]
    walk.append(first)
    corners = np.array(walk, np.int32)
    passes = weave.side_bead[corners]
    corners[0] = -1
    return passes, corners
