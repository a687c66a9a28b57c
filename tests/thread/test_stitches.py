import numpy as np
import pytest

from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.stitches import LEFT, NO_LOOP, RIGHT, STRAIGHT, stitches
from convert.thread.verifier import verify
from convert.weave.motif import flower as motif
from convert.weave.spacing import model_spacing
from convert.weave.tips import tips_of
from tests.thread.pieces import ONE_SIZE, TWO_SIZES, make, silhouette

PIECES = {
    "panel": make(np.ones((5, 8))),
    "silhouette": make(silhouette(3, (10, 12), 2.0, 0.4), TWO_SIZES),
    "ruffle": motif(2, 7, ONE_SIZE, model_spacing(*ONE_SIZE)),
    "cup": motif(3, 3, TWO_SIZES, model_spacing(*TWO_SIZES)),
}
CASES = pytest.mark.parametrize(
    ("name", "choices"),
    [
        (name, {"path": path, "edge": edge})
        for name in PIECES
        for path, edge in (("steady", "points"), ("thrifty", "plain"))
    ],
)


@CASES
def test_steps_make_up_the_path(name, choices):
    weave = PIECES[name]
    plan = plan_thread(weave, supplies=Supplies(needleful_mm=600), **choices)
    told = stitches(weave, plan)
    assert told.step_start[0] == 0
    assert told.step_start[-1] == len(plan.passes)
    seen = set()
    for start, through, end in zip(
        told.step_start[:-1].tolist(), told.step_through.tolist(), told.step_start[1:].tolist(), strict=True
    ):
        assert start <= through <= end > start
        for at in range(start, end):
            bead = int(plan.passes[at])
            assert told.picked_up[at] == (bead not in seen) == (at < through)
            seen.add(bead)
    assert set(plan.new_threads.tolist()) <= set(told.step_start.tolist())


@CASES
def test_loops_begin_and_close_once(name, choices):
    weave = PIECES[name]
    plan = plan_thread(weave, **choices)
    told = stitches(weave, plan)
    for event in (told.begins, told.closes):
        assert sorted(event[event != NO_LOOP].tolist()) == list(range(weave.loops))
    assert told.open_loops.max() == verify(weave, plan, Supplies()).most_open
    assert told.open_loops[-1] == 0


@CASES
def test_thread_leaves_at_the_end_it_did_not_enter(name, choices):
    weave = PIECES[name]
    plan = plan_thread(weave, **choices)
    told = stitches(weave, plan)
    ends = weave.bead_junctions.tolist()
    for at in range(1, len(plan.passes)):
        entered, left = int(told.leaves_at[at - 1]), int(told.leaves_at[at])
        bead = int(plan.passes[at])
        if bead < weave.beads:
            assert sorted((entered, left)) == sorted(ends[bead])
        else:
            assert entered == left == tips_of(weave).junctions[bead - weave.beads]


@CASES
def test_turns_keep_the_loop_on_their_side(name, choices):
    """A thread that turns to the right has the loop it goes round on its right."""
    weave = PIECES[name]
    plan = plan_thread(weave, **choices)
    told = stitches(weave, plan)
    for at in np.flatnonzero((told.loop != NO_LOOP) & (told.turn != STRAIGHT))[1:].tolist():
        bead, loop = int(plan.passes[at]), int(told.loop[at])
        if bead >= weave.beads or plan.passes[at - 1] >= weave.beads:
            continue
        heading = weave.junction_xy[told.leaves_at[at]] - weave.junction_xy[told.leaves_at[at - 1]]
        to_loop = weave.loop_xy[loop] - weave.junction_xy[told.leaves_at[at - 1]]
        side = RIGHT if heading[0] * to_loop[1] - heading[1] * to_loop[0] > 0 else LEFT
        assert told.turn[at] == side
