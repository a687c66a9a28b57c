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
    """Return a loop about halfway along the longest way through the piece (Handler 1973, exact for trees)."""
    neighbours = loop_neighbours(weave)
    first = int(distances(neighbours, 0).argmax())
    from_first = distances(neighbours, first)
    last = int(from_first.argmax())
    from_last = distances(neighbours, last)
    # Among the loops halfway, the one from which the far ends are nearest, by the two distances known.
    farther = np.maximum(from_first, from_last)
    halfway = np.flatnonzero(farther == farther.min())
    centre = weave.loop_xy[halfway].mean(axis=0)
    return int(halfway[np.hypot(*(weave.loop_xy[halfway] - centre).T).argmin()])


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

    # Start in a bead that no other loop of the tree hangs on, so that the last loop closed is the root.
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
