"""The last round of an edge with points: along the rim, with a small bead set on each outer tip."""

import numpy as np

from convert.thread.moves import NOWHERE, turns
from convert.weave.model import IntArray, Weave
from convert.weave.tips import tips_of

EDGES = ("plain", "points")


def edge_round(weave: Weave, passes: IntArray) -> IntArray:
    """Return the passes that follow on a whole piece to string every tip, each time going to the nearest.

    All corners being sewn, the thread may also run along the rim from the
    rim bead of one loop straight into that of the next.

    Parameters
    ----------
    weave : Weave
        The piece.
    passes : ndarray of shape (P,), int32
        The thread's way so far; it goes on from the end.
    """
    last, before = int(passes[-1]), int(passes[-2])
    leaves = weave.bead_junctions[last]
    entered_first = leaves[0] in weave.bead_junctions[before]
    state = 2 * last + int(entered_first)

    onward = turns(weave).tolist()
    along_rim = _along_rim(weave)
    ends = weave.bead_junctions.tolist()
    tips = tips_of(weave)
    tip_at = dict(zip(tips.junctions.tolist(), tips.numbers, strict=True))
    found: list[int] = []
    while tip_at:
        came_from = {state: state}
        queue = [state]
        for current in queue:
            if ends[current >> 1][current & 1] in tip_at:
                break
            for following in (*onward[current], along_rim.get(current, NOWHERE)):
                if following != NOWHERE and following not in came_from:
                    came_from[following] = current
                    queue.append(following)
        way = []
        step = current
        while step != state:
            way.append(step >> 1)
            step = came_from[step]
        # At a tip two beads meet, and one loop lies between them.
        state = max(onward[current])
        tip = tip_at.pop(ends[current >> 1][current & 1])
        found += [*way[::-1], tip, state >> 1]
    return np.array(found, np.int32)


def _along_rim(weave: Weave) -> dict[int, int]:
    """Return the state in the next rim bead for each state that comes to a junction of two rim beads."""
    rim = np.flatnonzero(weave.rim_beads)
    junction = weave.bead_junctions[rim].ravel()
    leaving = np.stack([2 * rim, 2 * rim + 1], axis=1).ravel()
    order = np.argsort(junction, kind="stable")
    junction, leaving = junction[order], leaving[order]
    pairs = np.flatnonzero(junction[1:] == junction[:-1])
    one, other = leaving[pairs], leaving[pairs + 1]
    # A state that comes to the junction goes on in the other bead, away from the junction.
    return dict(
        zip([*one.tolist(), *other.tolist()], [*(other ^ 1).tolist(), *(one ^ 1).tolist()], strict=True)
    )
