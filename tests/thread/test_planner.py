import numpy as np
import pytest

from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.spacing import model_spacing

ONE_SIZE = (bead_size("11/0"),) * 2
TWO_SIZES = (bead_size("11/0"), bead_size("8/0"))


def make(mask, sizes=ONE_SIZE, direction="across"):
    return sheet(np.asarray(mask, bool), sizes, model_spacing(*sizes), direction)


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("sizes", [ONE_SIZE, TWO_SIZES], ids=["one size", "two sizes"])
def test_panel_of_20_by_30_takes_at_most_a_tenth_more_than_the_bound(sizes, direction):
    weave = make(np.ones((20, 30)), sizes, direction)
    report = verify(weave, plan_thread(weave), Supplies())
    assert report.passes <= 1.10 * report.bound
    assert report.most_open <= 2


@pytest.mark.parametrize("shape", [(1, 1), (1, 9), (9, 1), (2, 5), (20, 30)])
def test_thrifty_way_reaches_the_bound(shape):
    weave = make(np.ones(shape))
    assert verify(weave, plan_thread(weave, path="thrifty"), Supplies()).extra_passes == 0
