import numpy as np
import pytest

from convert.errors import ThreadPathError
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies, ThreadPlan
from convert.thread.verifier import verify
from tests.thread.pieces import make


def met(weave, bead, other):
    return set(weave.bead_junctions[bead].tolist()) & set(weave.bead_junctions[other].tolist())


def test_no_step_along_the_rim_before_all_is_woven_not_only_the_first():
    """From a bead into the next of its loop, and there along the rim into a bead of another loop."""
    weave = make(np.ones((1, 2)))
    loop_of = weave.side_loop[weave.bead_sides[:, 0]]
    rim = np.flatnonzero(weave.rim_beads).tolist()
    zero, one, other = next(
        (zero, one, other)
        for one in rim
        for other in rim
        if loop_of[one] != loop_of[other] and (here := met(weave, one, other))
        for zero in rim
        if zero != one and loop_of[zero] == loop_of[one] and met(weave, zero, one) - here
    )
    passes = np.array([zero, one, other, *plan_thread(weave, path="thrifty").passes], np.int32)
    with pytest.raises(ThreadPathError, match="pass 3: no loop lies between"):
        verify(weave, ThreadPlan(passes, np.zeros(1, np.int32)), Supplies())
