import math

import numpy as np
import pytest

from convert.errors import SizeError
from convert.thread.steps import HOLE_FILL, TAIL_MM, Supplies, ThreadPlan
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.tips import tips_of
from tests.thread.pieces import TWO_SIZES, make


def test_supplies_if_nothing_is_said():
    """0.2 mm of thread, a needle of 0.38 mm and 1.8 m at a time: common practice, no source."""
    assert Supplies() == Supplies(thread_mm=0.2, needle_mm=0.38, needleful_mm=1800)
    assert TAIL_MM == 150


@pytest.mark.parametrize("name", ["thread_mm", "needle_mm", "needleful_mm"])
@pytest.mark.parametrize("measure", [0.0, -1.0, math.nan, math.inf])
def test_measures_are_more_than_nothing_and_finite(name, measure):
    with pytest.raises(SizeError, match="must be more than 0 and finite"):
        Supplies(**{name: measure})


def test_a_needleful_is_told_in_metres():
    with pytest.raises(SizeError, match=r"the needleful must be more than 0 and finite, not -2.5 m$"):
        Supplies(needleful_mm=-2500)


def test_how_full_a_hole_is():
    # Four threads of 0.2 mm and the needle of 0.4 mm: 4 x 0.04 + 0.16 = 0.32 of 0.64 mm2 in a hole of 0.8 mm,
    # of which 60 % can be filled (squares of diameters; pi / 4 is in all of them).
    assert HOLE_FILL == 0.6
    filled = Supplies(0.2, 0.4).filled([5, 1], [0.8, 0.4])
    assert filled == pytest.approx([0.32 / 0.64 / 0.6, 1 / 0.6])


@pytest.mark.parametrize("what", ["thread", "needle"])
def test_what_is_as_thick_as_the_hole_does_not_go_through(what):
    weave = make(np.ones((1, 1)), (bead_size("2.1x1.5x0.8"),) * 2)
    ring = weave.side_bead.tolist()
    plan = ThreadPlan(np.array([*ring, ring[0]], np.int32), np.zeros(1, np.int32))
    with pytest.raises(SizeError, match=f"a {what} of 0.8 mm does not go through"):
        verify(weave, plan, Supplies(**{f"{what}_mm": 0.8}))
    verify(weave, plan, Supplies(**{f"{what}_mm": 0.79}))


def test_a_plan_cannot_be_changed():
    plan = ThreadPlan(np.arange(6, dtype=np.int32), np.zeros(1, np.int32))
    for array in (plan.passes, plan.new_threads):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 1


@pytest.mark.parametrize("sizes", [TWO_SIZES, TWO_SIZES[::-1]])
def test_tips_take_the_smaller_bead(sizes):
    assert tips_of(make(np.ones((2, 2)), sizes)).size.name == "11/0"
