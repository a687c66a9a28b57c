"""Tails: sewn in where there is room, proven by a program of its own, and told wrong when they are."""

import itertools
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from convert.errors import ThreadPathError
from convert.thread.planner import plan_thread
from convert.thread.steps import HOLE_FILL, LEAST_TAIL_BEADS, LEAST_TAIL_MM, Supplies, ThreadPlan
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.shapes import Flower
from convert.weave.spacing import model_spacing
from tests.thread.pieces import silhouette

SMALL_NEEDLEFUL = Supplies(needleful_mm=900)


def woven(shape, *sizes):
    pair = tuple(map(bead_size, sizes))
    if isinstance(shape, Flower):
        return shape.build(pair, model_spacing(*pair))
    return sheet(np.asarray(shape, bool), pair, model_spacing(*pair))


CASES = {
    "sheet": woven(np.ones((12, 20)), "11/0", "11/0"),
    "two sizes": woven(np.ones((14, 16)), "11/0", "15/0"),
    "silhouette": woven(silhouette(5, (22, 20), 1.6, 0.45), "11/0", "15/0"),
    "flower": woven(Flower(5), "11/0", "8/0"),
    "ruffle": woven(Flower(3, 7), "11/0", "11/0"),
}


def turns_of(weave, path):
    """The side to which the thread turns from bead to bead, from the places where they meet."""
    ends = [set(weave.bead_junctions[bead].tolist()) for bead in path]
    met = [weave.junction_xy[(one & other).pop()] for one, other in itertools.pairwise(ends)]
    ways = [after - before for before, after in itertools.pairwise(met)]
    return [np.sign(one[0] * other[1] - one[1] * other[0]) for one, other in itertools.pairwise(ways)]


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("edge", ["plain", "points"])
def test_every_end_is_sewn_in_through_beads_that_are_there(name, edge):
    weave = CASES[name]
    plan = plan_thread(weave, edge=edge, supplies=SMALL_NEEDLEFUL)
    joins = plan.new_threads[1:].tolist()
    assert [(tail.before, tail.leaves) for tail in plan.tails] == [
        *((join, leaves) for join in joins for leaves in (True, False)),
        (len(plan.passes), True),
        (0, True),
    ]
    for tail in plan.tails:
        there = set(plan.passes[: tail.before or len(plan.passes)].tolist())
        assert set(tail.beads) <= there
        own = tail.beads if tail.leaves else tail.beads[:-1]
        assert len(own) >= LEAST_TAIL_BEADS
        assert weave.bead_side_mm[list(own)].sum() >= LEAST_TAIL_MM
        for one, other in itertools.pairwise(tail.beads):
            ends = set(weave.bead_junctions[one].tolist()) & set(weave.bead_junctions[other].tolist())
            assert len(ends) == 1


@pytest.mark.parametrize("name", CASES)
def test_every_end_changes_its_turn_twice_so_that_it_locks(name):
    weave = CASES[name]
    plan = plan_thread(weave, supplies=SMALL_NEEDLEFUL)
    passes = plan.passes.tolist()
    for tail in plan.tails:
        if tail.before == 0:
            path = [passes[1], passes[0], *tail.beads]
        elif tail.leaves:
            path = [*passes[tail.before - 2 : tail.before], *tail.beads]
        else:
            path = [passes[tail.before], *tail.beads[::-1]]
        turned = turns_of(weave, path)
        assert sum(one != other for one, other in itertools.pairwise(turned)) >= 2


@pytest.mark.parametrize("name", CASES)
def test_a_new_thread_comes_out_as_the_old_one_did(name):
    weave = CASES[name]
    plan = plan_thread(weave, supplies=SMALL_NEEDLEFUL)
    for tail in plan.tails:
        if not tail.leaves:
            before, stands, onward = plan.passes[tail.before - 2 : tail.before + 1].tolist()
            assert tail.beads[-1] == stands
            # It comes into the bead by the end by which the old thread came, and leaves by the other.
            (entered,) = set(weave.bead_junctions[before]) & set(weave.bead_junctions[stands])
            (comes,) = set(weave.bead_junctions[tail.beads[-2]]) & set(weave.bead_junctions[stands])
            (leaves,) = set(weave.bead_junctions[onward]) & set(weave.bead_junctions[stands])
            assert comes == entered != leaves


@pytest.mark.parametrize("name", CASES)
def test_passes_through_holes_count_tails_and_keep_to_their_room(name):
    """By the sum of what lies in a hole: threads, and on the last pass the needle."""
    weave, supplies = CASES[name], Supplies()
    plan = plan_thread(weave, supplies=supplies)
    report = verify(weave, plan, supplies)
    through = Counter(plan.passes.tolist()) + Counter(bead for tail in plan.tails for bead in tail.beads)
    holes = [weave.sizes[size].hole_mm for size in weave.bead_size]

    def over(counts):
        area = {bead: (n - 1) * supplies.thread_mm**2 + supplies.needle_mm**2 for bead, n in counts.items()}
        return {bead for bead, filled in area.items() if filled > HOLE_FILL * holes[bead] ** 2 + 1e-12}

    assert report.most_passes == max(through.values())
    assert set(report.tight_beads.tolist()) == over(through)
    # Tails make no bead tight that weaving has not made so.
    assert over(through) == over(Counter(plan.passes.tolist()))


def test_where_there_is_no_room_at_all_the_tails_are_told_in_the_warning():
    weave, supplies = CASES["sheet"], Supplies(thread_mm=0.35, needle_mm=0.5)
    plan = plan_thread(weave, supplies=supplies)
    assert plan.tails and all(tail.beads for tail in plan.tails)
    assert verify(weave, plan, supplies).warnings


def test_a_single_loop_is_sewn_in_round_itself():
    weave = woven([[1]], "11/0", "11/0")
    plan = plan_thread(weave)
    assert [len(tail.beads) >= LEAST_TAIL_BEADS for tail in plan.tails] == [True, True]
    assert verify(weave, plan, Supplies()).most_passes >= 3


def broken(plan, place, **changes):
    tails = list(plan.tails)
    tails[place] = tails[place]._replace(**changes)
    return ThreadPlan(plan.passes.copy(), plan.new_threads.copy(), tuple(tails))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda plan: broken(plan, 0, beads=plan.tails[0].beads[1:]), "tail 1: the thread does not go on"),
        (lambda plan: broken(plan, 0, beads=(10**6,)), "tail 1: there is no bead 1000000"),
        (lambda plan: broken(plan, 0, beads=(int(plan.passes[-1]),)), "is not woven yet"),
        (lambda plan: broken(plan, 0, leaves=False), "not those of the working threads"),
        (lambda plan: broken(plan, 0, before=3), "not those of the working threads"),
        (lambda plan: broken(plan, 1, beads=plan.tails[1].beads[:-1]), "as the old one did"),
        (lambda plan: broken(plan, 1, beads=plan.tails[1].beads[1:]), None),
        (lambda plan: broken(plan, -1, beads=plan.tails[-1].beads[::-1]), "tail"),
        (lambda plan: broken(plan, -2, beads=plan.tails[-2].beads * 12), "tail"),
        (lambda plan: replace(plan, tails=plan.tails[:-1]), "not those of the working threads"),
        (lambda plan: replace(plan, tails=()), None),
    ],
)
def test_faults_are_found(change, said):
    weave = CASES["sheet"]
    plan = plan_thread(weave, supplies=SMALL_NEEDLEFUL)
    changed = change(plan)
    if said is None:
        verify(weave, changed, SMALL_NEEDLEFUL)
    else:
        with pytest.raises(ThreadPathError, match=said) as fault:
            verify(weave, changed, SMALL_NEEDLEFUL)
        assert str(fault.value).isprintable() and fault.value.hint


def test_a_tail_longer_than_is_left_for_it_is_a_fault():
    weave = CASES["sheet"]
    plan = plan_thread(weave)
    # Round and round the last loop.
    loop = int(weave.side_loop[weave.bead_sides[int(plan.passes[-1]), 0]])
    sides = list(range(weave.loop_start[loop], weave.loop_start[loop + 1]))
    beads = weave.side_bead[sides].tolist()
    at = beads.index(int(plan.passes[-1]))
    for order in (
        beads[at + 1 :] + beads[: at + 1],
        [*(beads[at + 1 :] + beads[: at + 1])[-2::-1], beads[at]],
    ):
        try:
            verify(weave, broken(plan, -2, beads=tuple(order * 20)), Supplies())
        except ThreadPathError as fault:
            said = str(fault)
            if "takes" in said:
                assert "more than the 150 mm" in said
                return
    raise AssertionError("no fault was found")
