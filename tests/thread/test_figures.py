"""What is counted of a thread path, counted again pass by pass."""

import numpy as np
import pytest

from convert.errors import ThreadPathError
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies, ThreadPlan
from convert.thread.stitches import stitches
from convert.thread.verifier import verify
from convert.weave.motif import flower as motif
from convert.weave.spacing import model_spacing
from convert.weave.tips import tips_of
from tests.thread.pieces import TWO_SIZES, make, silhouette

PIECES = {
    "panel": make(np.ones((6, 9))),
    "silhouette": make(silhouette(3, (10, 12), 2.0, 0.4), TWO_SIZES),
    "cup": motif(3, 4, TWO_SIZES, model_spacing(*TWO_SIZES)),
}
ALL = pytest.mark.parametrize("name", PIECES)
WAYS = pytest.mark.parametrize("path", ["steady", "thrifty"])


def steps_by_the_rule(weave, plan):
    """Where steps start: a pick-up after other passes, setting out with no loop open, and a new thread."""
    loop_of, corners_left = {}, {}
    for loop, (start, end) in enumerate(zip(weave.loop_start[:-1], weave.loop_start[1:], strict=True)):
        ring = weave.side_bead[start:end].tolist()
        corners_left[loop] = {frozenset(pair) for pair in zip(ring, [*ring[1:], ring[0]], strict=True)}
        loop_of |= dict.fromkeys(corners_left[loop], loop)
    begun, strung = set(), set()
    starts, was_picked_up, before = [], False, None
    for at, bead in enumerate(plan.passes.tolist()):
        picked_up = bead not in strung
        strung.add(bead)
        corner = frozenset((before, bead))
        loop = loop_of.get(corner)
        idle = not any(corners_left[other] for other in begun)
        sets_out = at > 1 and idle and loop is not None and loop not in begun
        if (picked_up and not was_picked_up) or sets_out or at in plan.new_threads:
            starts.append(at)
        if loop is not None:
            begun.add(loop)
            corners_left[loop].discard(corner)
        was_picked_up = picked_up
        if bead < weave.beads:  # a corner is turned with the tip's bead as without
            before = bead
    return starts


@ALL
@WAYS
@pytest.mark.parametrize("edge", ["plain", "points"])
def test_steps_start_where_the_rule_says(name, path, edge):
    weave = PIECES[name]
    plan = plan_thread(weave, path=path, edge=edge, supplies=Supplies(needleful_mm=900))
    assert stitches(weave, plan).step_start[:-1].tolist() == steps_by_the_rule(weave, plan)


@ALL
@WAYS
def test_kinds_of_steps_are_those_of_beads_up_and_through(name, path):
    weave = PIECES[name]
    plan = plan_thread(weave, path=path)
    seen, steps = set(), []
    for bead in plan.passes.tolist():
        if bead not in seen and (not steps or steps[-1][1]):
            steps.append([0, 0])
        steps[-1][bead in seen] += 1
        seen.add(bead)
    report = verify(weave, plan, Supplies())
    assert report.steps == len(steps)
    assert report.step_kinds == len({tuple(step) for step in steps})


@ALL
def test_least_passes_count_the_tips(name):
    weave = PIECES[name]
    plain = verify(weave, plan_thread(weave), Supplies())
    points = verify(weave, plan_thread(weave, edge="points"), Supplies())
    assert plain.bound == len(weave.side_bead) + 1
    assert points.bound == plain.bound + len(tips_of(weave))
    assert points.passes - points.extra_passes == points.bound


def test_thread_cannot_end_in_a_tip():
    weave = PIECES["panel"]
    plan = plan_thread(weave, edge="points")
    tip = np.flatnonzero(plan.passes >= weave.beads)[-1]
    cut = ThreadPlan(plan.passes[: tip + 1].copy(), np.zeros(1, np.int32))
    with pytest.raises(ThreadPathError, match="cannot end in the tip bead"):
        verify(weave, cut, Supplies())


@pytest.mark.parametrize("start", ["corner", "middle"])
@pytest.mark.parametrize(
    "weave",
    [make(np.ones((24, 24))), make(silhouette(3)), make(silhouette(5), TWO_SIZES)],
    ids=["panel", "silhouette", "two sizes"],
)
def test_a_new_thread_starts_with_new_beads(weave, start):
    """A thread is easily begun with beads to string, unless holes there have no room for tails."""
    plan = plan_thread(weave, start=start, supplies=Supplies(needleful_mm=900))
    passes, marks = plan.passes.tolist(), plan.new_threads.tolist()
    assert len(marks) > 10
    assert sum(passes[mark] in passes[:mark] for mark in marks) <= 2
