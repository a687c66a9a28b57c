import itertools

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from convert.errors import SizeError, ThreadPathError
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies, ThreadPlan
from convert.thread.verifier import _warnings, verify
from convert.weave.tips import tips_of
from tests.thread.pieces import TWO_SIZES, flower, is_sound, make, silhouette

AMPLE = Supplies(needleful_mm=1e9)
SHORT = Supplies(needleful_mm=400)
PIECES = {
    "panel": make(np.ones((4, 6))),
    "panel, two sizes, along": make(np.ones((5, 4)), TWO_SIZES, "along"),
    "ring": make(flower(2, 0)),
    "silhouette": make(silhouette(3, (10, 12), 2.0, 0.4)),
}
PLANS = {
    f"{name}, {path}, {edge}": (weave, plan_thread(weave, path=path, edge=edge, supplies=SHORT))
    for (name, weave), path, edge in itertools.product(
        PIECES.items(), ("steady", "thrifty"), ("plain", "points")
    )
}


def one_loop(passes, marks=(0,)):
    return ThreadPlan(np.array(passes, np.int32), np.array(marks, np.int32))


def round_of(weave, loop=0):
    return weave.side_bead[weave.loop_start[loop] : weave.loop_start[loop + 1]].tolist()


@pytest.mark.parametrize("name", PLANS)
def test_a_plan_is_sound_by_the_slow_proof_too(name):
    weave, plan = PLANS[name]
    verify(weave, plan, SHORT)
    assert is_sound(weave, plan, SHORT.needleful_mm)


def test_figures_of_a_single_loop():
    weave = make(np.ones((1, 1)))
    ring = round_of(weave)
    report = verify(weave, one_loop([*ring, ring[0]]), Supplies())
    assert (report.passes, report.bound, report.extra_passes, report.corners, report.loops) == (7, 7, 0, 6, 1)
    assert (report.most_passes, report.most_passes_bead) == (2, ring[0])
    assert (report.most_open, report.threads, report.steps, report.step_kinds) == (1, 1, 1, 1)
    assert report.length_mm == pytest.approx(7 * weave.spacing.core_mm + 2 * 150)
    assert report.warnings == ()


def test_a_beadworker_may_go_round_twice():
    weave = make(np.ones((1, 1)))
    ring = round_of(weave)
    report = verify(weave, one_loop([*ring, *ring, ring[0]]), Supplies())
    assert (report.passes, report.extra_passes, report.most_passes) == (13, 6, 3)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda ring: [*ring, 99], "pass 7: there is no bead 99"),
        (lambda ring: [-1, *ring], "pass 1: there is no bead -1"),
        (lambda ring: [ring[0], ring[2], *ring], "do not meet: the thread jumps"),
        (lambda ring: [ring[0], *ring, ring[0]], "pass 2: the thread turns back through bead"),
        (lambda ring: [ring[0], ring[1], ring[0], *ring[1:], ring[0]], "by the end at which it entered"),
        (lambda ring: ring[:5], "is never strung"),
        (lambda ring: ring, "loop 1 of row 1 never closes"),
        (lambda ring: ring[:1], "fewer than two passes"),
        (lambda ring: [], "fewer than two passes"),
    ],
)
def test_first_fault_is_named(change, message):
    weave = make(np.ones((1, 1)))
    with pytest.raises(ThreadPathError, match=message) as caught:
        verify(weave, one_loop(change(round_of(weave))), Supplies())
    assert "\n" not in str(caught.value)


def test_thread_may_not_run_along_the_rim_while_another_loop_is_not_begun():
    """Round one of two loops and over the corner to the other: it is that step that is told."""
    weave = make(np.ones((1, 2)))
    ring = weave.side_bead[weave.side_loop == 0].tolist()
    others = set(weave.side_bead[weave.side_loop == 1].tolist()) - set(ring)
    place, other = next(
        (place, bead)
        for place, one in enumerate(ring)
        for bead in others
        if weave.rim_beads[one] and set(weave.bead_junctions[one]) & set(weave.bead_junctions[bead])
    )
    for way in (1, -1):
        turned = np.roll(ring, -place)[::way].tolist()
        start = turned.index(ring[place])
        passes = turned[start:] + turned[:start] + [ring[place], other]
        shared = set(weave.bead_junctions[passes[-3]]) & set(weave.bead_junctions[passes[-2]])
        if shared & set(weave.bead_junctions[other]):
            continue
        with pytest.raises(ThreadPathError, match="pass 8: no loop lies between"):
            verify(weave, one_loop(passes), Supplies())
        break
    else:
        pytest.fail("no way round")


def test_thread_may_run_along_the_rim_only_when_all_is_woven():
    weave = make(np.ones((1, 2)))
    plan = plan_thread(weave, path="thrifty")
    # Two rim beads of different loops that meet: at that junction no loop lies between them.
    rim = np.flatnonzero(weave.rim_beads)
    one, other = next(
        (int(a), int(b))
        for a in rim
        for b in rim
        if weave.side_loop[weave.bead_sides[a, 0]] < weave.side_loop[weave.bead_sides[b, 0]]
        and set(weave.bead_junctions[a]) & set(weave.bead_junctions[b])
    )
    with pytest.raises(ThreadPathError, match="no loop lies between"):
        verify(weave, one_loop([one, other, *plan.passes]), Supplies())
    last, before = int(plan.passes[-1]), int(plan.passes[-2])
    (met,) = set(weave.bead_junctions[last]) & set(weave.bead_junctions[before])
    way = way_between(weave, last, met, one, other)
    report = verify(weave, one_loop([*plan.passes, *way, other]), Supplies())
    assert report.extra_passes == len(way) + 1


def way_between(weave, last, met, one, other):
    """The beads from the last one to a rim bead, so that the thread then comes to the other rim bead."""
    steps = nx.DiGraph()
    for loop in range(weave.loops):
        ring = round_of(weave, loop)
        for order in (ring, ring[::-1]):
            for a, b, c in zip(order, order[1:] + order[:1], order[2:] + order[:2], strict=True):
                ab = (set(weave.bead_junctions[a]) & set(weave.bead_junctions[b])).pop()
                bc = (set(weave.bead_junctions[b]) & set(weave.bead_junctions[c])).pop()
                steps.add_edge((b, ab), (c, bc))
    (rim_junction,) = set(weave.bead_junctions[one]) & set(weave.bead_junctions[other])
    (enters,) = set(weave.bead_junctions[one]) - {rim_junction}
    return [bead for bead, _ in nx.shortest_path(steps, (last, met), (one, enters))][1:]


class TestMarks:
    weave = make(np.ones((4, 6)))
    plan = plan_thread(weave, supplies=SHORT)

    def marked(self, marks):
        return ThreadPlan(self.plan.passes.copy(), np.array(marks, np.int32))

    def test_plan_has_some(self):
        report = verify(self.weave, self.plan, SHORT)
        assert report.threads == len(self.plan.new_threads) > 1
        assert report.longest_thread_mm <= SHORT.needleful_mm

    @pytest.mark.parametrize(
        ("marks", "message"),
        [
            ([], "does not start at the first pass"),
            ([3], "does not start at the first pass"),
            ([0, 4], "starts in the middle of a loop"),
            ([0, 1], "starts in the middle of a loop"),
            ([0, 0], "has no pass of its own"),
            ([0, 10_000], "has no pass of its own"),
        ],
    )
    def test_wrong_place(self, marks, message):
        with pytest.raises(ThreadPathError, match=message):
            verify(self.weave, self.marked(marks), AMPLE)

    def test_too_far_apart(self):
        with pytest.raises(ThreadPathError, match=r"working thread 1 takes .* needleful of 0\.4 m"):
            verify(self.weave, self.marked([0]), SHORT)


class TestHole:
    """Rule of the handbook: (k - 1) d2 + q2 <= 0.6 h2 for thread d, needle q, hole h and k passes."""

    @pytest.mark.parametrize(
        # Largest k of the table in the design handbook, section 2, worked out there by hand.
        ("size", "thread", "needle", "fits"),
        [("15/0", 0.15, 0.38, 5), ("15/0", 0.20, 0.46, 2), ("11/0", 0.20, 0.38, 6), ("8/0", 0.20, 0.46, 12)],
    )
    def test_table(self, size, thread, needle, fits):
        from convert.weave.beads import bead_size

        hole = {"15/0": 0.65, "11/0": 0.80, "8/0": 1.05}[size]
        bead = bead_size(f"2.1x1.5x{hole}")
        weave = make(np.ones((1, 1)), (bead, bead))
        ring = round_of(weave)
        for rounds, tight in ((fits, 0), (fits + 1, 6)):
            plan = one_loop([*(ring * rounds), ring[0]])
            report = verify(weave, plan, Supplies(thread, needle))
            # The first bead has one pass more than the others.
            assert len(report.tight_beads) == max(tight, 1)
            assert report.warnings[0].startswith(f"{max(tight, 1)} bead")

    def test_the_fullest_of_tight_beads_is_told(self):
        """Of beads passed as often that with the smallest hole, of equal holes that passed most often."""
        for per_bead, holes, told in (
            (
                [9, 9, 2],
                [0.8, 0.7, 0.5],
                "through a hole of 0.7 mm",
            ),
            (
                [8, 9, 2],
                [0.8, 0.8, 0.5],
                "through a hole of 0.8 mm",
            ),
        ):
            tight = np.array([0, 1], np.int32)
            (warning,) = _warnings(np.array(per_bead), np.array(holes), tight, Supplies(0.2, 0.38))
            assert warning.startswith(
                "2 beads are tight: the fullest is passed 9 times with thread of 0.2 mm"
            )
            assert told in warning
        (warning,) = _warnings(np.array([1, 9]), np.array([0.3, 0.8]), np.array([0]), Supplies(0.2, 0.38))
        assert warning.startswith("1 bead is tight: the fullest is passed 1 time with")

    def test_needle_or_thread_that_does_not_go_through_at_all(self):
        weave = make(np.ones((1, 1)))
        thick = Supplies(thread_mm=1.0)
        with pytest.raises(SizeError, match="thread of 1 mm does not go through beads 11/0") as refused:
            verify(weave, plan_thread(weave, supplies=thick), thick)
        assert "--thread" in refused.value.hint
        with pytest.raises(SizeError, match="needle of 1 mm does not go through beads 11/0"):
            verify(weave, plan_thread(weave), Supplies(needle_mm=1.0))


WAYS_TO_BREAK = (
    *("drop", "cut", "truncate", "behead", "swap", "reverse"),
    *("double", "replace", "insert", "round", "shift", "unmark", "mark"),
)


@st.composite
def broken_plans(draw):
    """A valid plan, changed in one to three ways."""
    weave, plan = PLANS[draw(st.sampled_from(sorted(PLANS)))]
    passes, marks = plan.passes.tolist(), plan.new_threads.tolist()
    for _ in range(draw(st.integers(1, 3))):
        at = draw(st.integers(0, len(passes) - 1))
        to = draw(st.integers(at, min(len(passes) - 1, at + 14)))
        bead = draw(st.integers(0, weave.beads + len(tips_of(weave)) - 1))
        how = draw(st.sampled_from(WAYS_TO_BREAK))
        if how == "drop":
            del passes[at]
        elif how == "cut":
            del passes[at:to]
        elif how == "swap":
            passes[at], passes[to] = passes[to], passes[at]
        elif how == "double":
            passes[at:at] = passes[at : to + 1]
        elif how == "replace":
            passes[at] = bead
        elif how == "insert":
            passes.insert(at, bead)
        elif how == "truncate":
            del passes[max(at, 2) :]
        elif how == "behead":
            del passes[: min(at, len(passes) - 2)]
        elif how == "reverse":
            passes[at : to + 1] = passes[at : to + 1][::-1]
        elif how == "round":
            # Once more round a loop is no fault where the thread stands in the loop and turns the right way.
            loop = draw(st.integers(0, weave.loops - 1))
            ring = round_of(weave, loop)
            ring = ring[:: draw(st.sampled_from([1, -1]))]
            if passes[at] in ring:
                place = ring.index(passes[at])
                passes[at + 1 : at + 1] = ring[place + 1 :] + ring[: place + 1]
        elif how == "shift":
            number = draw(st.integers(0, len(marks) - 1)) if marks else 0
            marks[number : number + 1] = [max(0, (marks[number] if marks else 0) + draw(st.integers(-9, 9)))]
        elif how == "unmark" and marks:
            del marks[draw(st.integers(0, len(marks) - 1))]
        elif how == "mark":
            marks = sorted([*marks, at])
        if len(passes) < 3:
            break
    return weave, one_loop(passes, marks)


@settings(deadline=None, max_examples=400, derandomize=True)
@given(broken_plans())
def test_every_break_is_noticed_and_nothing_else(case):
    """Some changes are harmless, such as one more round or a mark at another loop end."""
    weave, plan = case
    try:
        verify(weave, plan, SHORT)
        accepted = True
    except ThreadPathError:
        accepted = False
    assert accepted == is_sound(weave, plan, SHORT.needleful_mm)


@pytest.mark.parametrize("name", PLANS)
def test_no_pass_can_be_left_out(name):
    """Every single pass of a plan is needed, but for the ends of the thrifty one of which neither is."""
    weave, plan = PLANS[name]
    rng = np.random.default_rng(1)
    for at in rng.choice(len(plan.passes), 30, replace=False).tolist():
        shorter = one_loop(np.delete(plan.passes, at))
        if is_sound(weave, shorter):
            verify(weave, shorter, AMPLE)
            assert at in (0, len(plan.passes) - 1)
        else:
            with pytest.raises(ThreadPathError):
                verify(weave, shorter, AMPLE)
