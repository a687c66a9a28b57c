"""Proof of tails: follows each end of a thread through finished work, sharing no code with their planner."""

import itertools
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from convert.errors import ThreadPathError
from convert.thread.steps import TAIL_MM, Tail, ThreadPlan
from convert.weave.model import RIM, Weave

_AGAIN = "let the program plan the thread again"


def check_tails(weave: Weave, plan: ThreadPlan, woven_passes: NDArray[np.int64]) -> None:
    """Check that each thread's ends are sewn in once, through beads that are there, from bead to bead.

    Parameters
    ----------
    weave : Weave
        The piece.
    plan : ThreadPlan
        The path, proven but for its tails.
    woven_passes : ndarray of shape (N,), int64
        Passes of `plan` through beads of the weave, those of small beads at tips left out.

    Raises
    ------
    ThreadPathError
        The first fault.
    """
    if not plan.tails:
        return
    _check_places(plan)
    passes = plan.passes
    first = np.full(weave.beads, len(passes))
    first[passes[woven_passes[::-1]]] = woven_passes[::-1]
    for number, tail in enumerate(plan.tails, start=1):
        fault = _fault(weave, plan, tail, first, woven_passes)
        if fault:
            raise ThreadPathError(f"tail {number}: {fault}", _AGAIN)


def _check_places(plan: ThreadPlan) -> None:
    """Check that at each join one thread leaves and one comes, and that the first and last ends leave."""
    end = len(plan.passes)
    wanted = [(join, leaves) for join in plan.new_threads[1:].tolist() for leaves in (True, False)]
    wanted += [(end, True), (0, True)]
    if [(tail.before, tail.leaves) for tail in plan.tails] != wanted:
        raise ThreadPathError("the tails are not those of the working threads", _AGAIN)


def _fault(
    weave: Weave, plan: ThreadPlan, tail: Tail, first: NDArray[np.int64], woven: NDArray[np.int64]
) -> str:
    """Return what is wrong with a tail, empty if nothing is."""
    whole = tail.before in (0, len(plan.passes))
    for bead in tail.beads:
        if not 0 <= bead < weave.beads:
            return f"there is no bead {bead}"
        if not whole and first[bead] >= tail.before:
            return f"bead {bead} is not woven yet"
    passes = plan.passes[woven]
    if tail.before == 0:
        # The beginning of the first thread stands in its first bead, and leaves it at the other end.
        bead, onward = (int(bead) for bead in passes[:2])
        path, leaves_by = [bead, *tail.beads], _other_end(weave, bead, _meeting(weave, bead, onward))
    else:
        at = int(np.searchsorted(woven, tail.before)) - 1
        bead, before = int(passes[at]), int(passes[at - 1])
        entered = _meeting(weave, bead, before)
        if tail.leaves:
            path, leaves_by = [bead, *tail.beads], _other_end(weave, bead, entered)
        else:
            if not tail.beads or tail.beads[-1] != bead:
                return f"the new thread does not come out of bead {bead}, as the old one did"
            path, leaves_by = list(tail.beads[::-1]), entered
    return _broken(weave, path, leaves_by)


def _broken(weave: Weave, path: Sequence[int], leaves_by: int | None) -> str:
    """Return where a walk from bead to bead is broken, empty if it is not."""
    length_mm = 0.0
    for bead, onward in itertools.pairwise(path):
        if leaves_by is None or leaves_by not in weave.bead_junctions[onward] or bead == onward:
            return f"the thread does not go on from bead {bead} into bead {onward}"
        if not set(_loops(weave, bead)) & set(_loops(weave, onward)):
            return f"no loop lies between bead {bead} and bead {onward}"
        leaves_by = _other_end(weave, onward, leaves_by)
        length_mm += float(weave.bead_side_mm[onward])
    if length_mm > TAIL_MM:
        return f"it takes {length_mm:.0f} mm, more than the {TAIL_MM:g} mm that are left for it"
    return ""


def _loops(weave: Weave, bead: int) -> list[int]:
    return [int(weave.side_loop[side]) for side in weave.bead_sides[bead] if side != RIM]


def _meeting(weave: Weave, bead: int, other: int) -> int | None:
    """Return the junction at which two beads meet, None if they do not."""
    both = set(weave.bead_junctions[bead].tolist()) & set(weave.bead_junctions[other].tolist())
    return both.pop() if len(both) == 1 else None


def _other_end(weave: Weave, bead: int, junction: int | None) -> int | None:
    one, other = weave.bead_junctions[bead].tolist()
    return {one: other, other: one}.get(junction) if junction is not None else None
