"""Fewer kinds of loop at no cost: as many passes, no more loops open, kinds counted by another program."""

from collections import Counter

import numpy as np
import pytest

from convert.instructions.kinds import loop_kinds
from convert.thread.planner import _steady
from convert.thread.rhythm import MOST_LOOPS, _Rhythm, regular
from convert.thread.steady import first_come, weave_along
from convert.thread.steps import Supplies, ThreadPlan
from convert.thread.stitches import stitches
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.shapes import Flower
from convert.weave.spacing import model_spacing
from tests.thread.pieces import silhouette

SIZES = (bead_size("11/0"),) * 2
SPACING = model_spacing(*SIZES)
PIECES = {
    "sheet": sheet(np.ones((20, 30), bool), SIZES, SPACING),
    "narrow": sheet(np.ones((3, 25), bool), SIZES, SPACING),
    "flower": Flower(5).build(SIZES, SPACING),
    "ruffle": Flower(3, 7).build(SIZES, SPACING),
    **{
        f"ragged {seed}": sheet(np.asarray(silhouette(seed, (24, 26), 1.8, 0.45), bool), SIZES, SPACING)
        for seed in (1, 2, 5)
    },
}
LONG = Supplies(needleful_mm=1e9)


def woven(weave, hosts_of):
    states = _steady(weave, "corner")
    hosts = hosts_of(weave, states, first_come(weave, states))
    passes, _ = weave_along(weave, states, hosts)
    plan = ThreadPlan(passes, np.zeros(1, np.int32))
    return verify(weave, plan, LONG), loop_kinds(weave, stitches(weave, plan))


def as_they_come(weave, states, hosts):
    return hosts


@pytest.mark.parametrize("name", PIECES)
def test_as_many_passes_no_more_open_and_fewer_kinds(name):
    weave = PIECES[name]
    before, kinds_before = woven(weave, as_they_come)
    after, kinds_after = woven(weave, regular)
    assert after.passes == before.passes
    assert after.most_open <= 2
    assert len(kinds_after.kinds) <= len(kinds_before.kinds)
    assert (kinds_after.of_loop >= 0).all()


def test_many_kinds_less_on_a_sheet():
    _, before = woven(PIECES["sheet"], as_they_come)
    _, after = woven(PIECES["sheet"], regular)
    assert len(after.kinds) <= 0.8 * len(before.kinds)


@pytest.mark.parametrize("name", PIECES)
def test_kinds_are_reckoned_as_the_thread_has_them(name):
    weave = PIECES[name]
    states = _steady(weave, "corner")
    hosts = regular(weave, states, first_come(weave, states))
    reckoned = Counter(_Rhythm(weave, states, hosts).kinds.values())
    _, kinds = woven(weave, regular)
    assert reckoned == Counter(kind.times for kind in kinds.kinds)


def test_it_is_the_same_each_time():
    weave = PIECES["ragged 1"]
    states = _steady(weave, "corner")
    one, other = (regular(weave, states, first_come(weave, states)) for _ in range(2))
    np.testing.assert_array_equal(one.side, other.side)
    np.testing.assert_array_equal(one.place, other.place)


def test_large_pieces_stay_as_they_are():
    rows = 51
    weave = sheet(np.ones((rows, MOST_LOOPS // rows + 1), bool), SIZES, SPACING)
    states = _steady(weave, "corner")
    hosts = first_come(weave, states)
    assert regular(weave, states, hosts) is hosts
