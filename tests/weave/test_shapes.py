import numpy as np
import pytest

from convert.errors import SizeError
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import model_spacing

SIZES = bead_size("11/0"), bead_size("8/0")


@pytest.mark.parametrize("direction", ["across", "along"])
def test_a_sheet_is_built_as_it_says(direction):
    woven = np.ones((3, 5), bool)
    woven[0, 1] = False
    spacing = model_spacing(*SIZES)
    built = Sheet(woven, direction).build(SIZES, spacing)
    np.testing.assert_array_equal(built.junction_xy, sheet(woven, SIZES, spacing, direction).junction_xy)
    assert Sheet(woven, direction).width_share == 1


def test_rows_run_across_if_nothing_is_said():
    assert Sheet(np.ones((2, 2), bool)).direction == "across"
    with pytest.raises(SizeError, match="rows run across or along, not 'up'"):
        Sheet(np.ones((2, 2), bool), "up")


def test_what_is_woven_cannot_be_changed():
    with pytest.raises(ValueError, match="read-only"):
        Sheet(np.ones((2, 2), bool)).woven[0, 0] = False


def test_a_flower_has_six_beads_about_its_centre_if_nothing_is_said():
    assert Flower(2).build(SIZES, model_spacing(*SIZES)).loops == 1 + 6 + 12
