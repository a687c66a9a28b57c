"""A thread path told as a weaver does it: steps of beads picked up, then beads passed through."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.thread.moves import bead_loops
from convert.thread.steps import ThreadPlan
from convert.weave.model import RIM, IntArray, Weave
from convert.weave.tips import tips_of

NO_LOOP = -1
LEFT, STRAIGHT, RIGHT = -1, 0, 1


@dataclass(frozen=True, eq=False, slots=True)
class Stitches:
    """What happens at each pass of a thread path, and how passes make up steps. Arrays are read-only.

    Parameters
    ----------
    picked_up : ndarray of shape (P,), bool
        Whether a pass picks the bead up; the thread passes through it otherwise.
    leaves_at : ndarray of shape (P,), int32
        Junction at which the thread leaves the bead.
    turn : ndarray of shape (P,), int8
        Whether the thread turns `LEFT` or `RIGHT`, as seen on the page, on its way into the bead; `STRAIGHT`
        for the first pass and at a tip.
    loop : ndarray of shape (P,), int32
        Loop the thread goes round on its way into the bead, -1 for the first pass and along the rim.
    closes : ndarray of shape (P,), int32
        Loop that closes with this pass, -1 for none.
    begins : ndarray of shape (P,), int32
        Loop of which the first corner is sewn with this pass, -1 for none.
    open_loops : ndarray of shape (P,), int32
        Number of loops begun and not closed after this pass.
    step_start : ndarray of shape (S + 1,), int32
        Step s is the passes ``step_start[s]:step_start[s + 1]``.
    step_through : ndarray of shape (S,), int32
        The first pass of each step that is not picked up; the end of the step if all are.
    """

    picked_up: NDArray[np.bool_]
    leaves_at: IntArray
    turn: NDArray[np.int8]
    loop: IntArray
    closes: IntArray
    begins: IntArray
    open_loops: IntArray
    step_start: IntArray
    step_through: IntArray

    def __post_init__(self) -> None:
        for name in self.__slots__:
            getattr(self, name).flags.writeable = False

    @property
    def steps(self) -> int:
        """Number of steps."""
        return len(self.step_through)


def stitches(weave: Weave, plan: ThreadPlan) -> Stitches:
    """Return what happens at each pass of a proven thread path.

    A step ends where a bead is picked up after beads were passed through, where the thread sets out round a
    new loop while no other is open, and where a new thread starts.

    Parameters
    ----------
    weave : Weave
        The piece.
    plan : ThreadPlan
        A path that `convert.thread.verifier.verify` accepts.
    """
    passes = plan.passes
    picked_up = np.zeros(len(passes), bool)
    tips = tips_of(weave)
    first = np.empty(weave.beads + len(tips), np.int32)
    first[passes[::-1]] = np.arange(len(passes), dtype=np.int32)[::-1]
    picked_up[first[passes]] = True

    at_tip = tips.are(passes)
    kept = np.flatnonzero(~at_tip)
    beads = passes[kept]
    met = _shared_junctions(weave, beads)
    leaves = weave.bead_junctions[beads[-1]]
    leaves_at = np.empty(len(passes), np.int32)
    leaves_at[kept[:-1]] = met
    leaves_at[kept[-1]] = leaves[leaves != met[-1]][0]
    leaves_at[at_tip] = tips.junction_of(passes[at_tip])

    loop = np.full(len(passes), NO_LOOP, np.int32)
    loop[kept[1:]] = _shared_loops(weave, beads)
    turn = np.zeros(len(passes), np.int8)
    turn[kept[1:]] = _turns(weave, beads, leaves_at[kept])
    turn[at_tip] = STRAIGHT

    begins, closes = _spans(weave, loop, leaves_at)
    open_loops = np.cumsum((begins != NO_LOOP).astype(np.int32) - (closes != NO_LOOP), dtype=np.int32)
    starts = picked_up.copy()
    starts[1:] &= ~picked_up[:-1]
    starts[2:] |= (open_loops[1:-1] == 0) & (begins[2:] != NO_LOOP)
    starts[plan.new_threads] = True
    step_start = np.append(np.flatnonzero(starts), len(passes)).astype(np.int32)
    up = np.add.reduceat(picked_up.astype(np.int32), step_start[:-1])
    return Stitches(
        picked_up,
        leaves_at,
        turn,
        loop,
        closes,
        begins,
        open_loops,
        step_start,
        (step_start[:-1] + up).astype(np.int32),
    )


def _shared_junctions(weave: Weave, beads: IntArray) -> IntArray:
    """Return the junction between each bead of a path and the next."""
    before, after = weave.bead_junctions[beads[:-1]], weave.bead_junctions[beads[1:]]
    first = (before[:, 0] == after[:, 0]) | (before[:, 0] == after[:, 1])
    return np.where(first, before[:, 0], before[:, 1])


def _shared_loops(weave: Weave, beads: IntArray) -> IntArray:
    """Return the loop that each bead of a path and the next both belong to, -1 along the rim."""
    loops = bead_loops(weave)[beads]
    before, after = loops[:-1], loops[1:]
    shared = np.full(len(before), NO_LOOP, np.int32)
    for side in before.T:
        both = (side != RIM) & (after == side[:, None]).any(axis=1)
        shared = np.where(both, side, shared)
    return shared


def _turns(weave: Weave, beads: IntArray, leaves_at: IntArray) -> NDArray[np.int8]:
    """Return whether the thread turns left or right from each bead of a path into the next."""
    forward = weave.bead_junctions[beads, 1] == leaves_at
    heading = np.where(forward[:, None], 1, -1) * weave.bead_direction[beads]
    before, after = heading[:-1], heading[1:]
    # y points down: a positive cross product turns clockwise on the page.
    return np.sign(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]).astype(np.int8)


def _spans(weave: Weave, loop: IntArray, leaves_at: IntArray) -> tuple[IntArray, IntArray]:
    """Return the loop whose first corner is sewn on the way into each pass, and whose last; -1 for none."""
    at = np.flatnonzero(loop != NO_LOOP)[::-1]
    junction, starts = leaves_at[at - 1], weave.loop_start[loop[at]]
    lengths = np.diff(weave.loop_start)
    corner = starts.copy()
    for place in range(1, int(lengths.max())):
        side = starts + np.minimum(place, lengths[loop[at]] - 1)
        corner = np.where(weave.side_junction[side] == junction, side, corner)
    # Written backwards, the first time a corner is turned stays.
    first = np.zeros(weave.corners, np.int32)
    first[corner] = at
    loops = np.arange(weave.loops, dtype=np.int32)
    begins, closes = np.full(len(loop), NO_LOOP, np.int32), np.full(len(loop), NO_LOOP, np.int32)
    begins[np.minimum.reduceat(first, weave.loop_start[:-1])] = loops
    closes[np.maximum.reduceat(first, weave.loop_start[:-1])] = loops
    return begins, closes
