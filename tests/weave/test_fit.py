import numpy as np
import pytest

from convert.errors import SizeError
from convert.weave.beads import bead_size
from convert.weave.fit import sheet_beads, sheet_loops
from convert.weave.lattice import sheet
from convert.weave.spacing import model_spacing

PAIRS = [("11/0", "11/0"), ("11/0", "8/0"), ("15/0", "11/0"), ("8/0", "11/0")]


def finished(core, connector, direction, **wanted):
    sizes = (bead_size(core), bead_size(connector))
    spacing = model_spacing(*sizes)
    rows, places = sheet_loops(sizes, spacing, 1.5, direction=direction, **wanted)
    left, top, right, bottom = sheet(np.ones((rows, places), bool), sizes, spacing, direction).extent_mm
    return right - left, bottom - top, spacing, (rows, places)


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize(("core", "connector"), PAIRS)
def test_finished_size_is_within_a_loop_of_what_is_wanted(core, connector, direction):
    width, height, spacing, _ = finished(core, connector, direction, width_mm=100.0)
    assert abs(width - 100) <= spacing.pitch_mm / 2 + 1
    assert abs(height - width / 1.5) <= spacing.pitch_mm / 2 + 1
    width, height, spacing, _ = finished(core, connector, direction, height_mm=80.0)
    assert abs(height - 80) <= spacing.pitch_mm / 2 + 1
    assert abs(width - 120) <= spacing.pitch_mm + 1
    width, height, spacing, _ = finished(core, connector, direction, height_mm=80.0, width_mm=40.0)
    assert abs(height - 80) <= spacing.pitch_mm / 2 + 1
    assert abs(width - 40) <= spacing.pitch_mm / 2 + 1


def test_contain_keeps_the_whole_picture():
    width, height, spacing, _ = finished(
        "11/0", "11/0", "across", width_mm=60.0, height_mm=200.0, fit="contain"
    )
    assert abs(width - 60) <= spacing.pitch_mm / 2 + 1
    assert abs(height - 40) <= spacing.pitch_mm


def test_across_counts_loops_from_left_to_right():
    assert finished("11/0", "11/0", "across", across=30)[3][1] == 30
    assert finished("11/0", "11/0", "along", across=30)[3][0] == 30


def test_small_wishes_give_one_loop():
    assert finished("8/0", "8/0", "across", width_mm=0.1)[3] == (1, 1)


@pytest.mark.parametrize(
    "wanted",
    [
        {},
        {"width_mm": 0.0},
        {"width_mm": -3.0},
        {"height_mm": float("nan")},
        {"width_mm": float("inf")},
        {"across": 0},
        {"across": 5, "width_mm": 3.0},
    ],
)
def test_impossible_wishes_are_refused(wanted):
    with pytest.raises(SizeError):
        finished("11/0", "11/0", "across", **wanted)


@pytest.mark.parametrize("rows", [1, 2, 5])
@pytest.mark.parametrize("places", [1, 4, 7])
def test_bead_count_formula(rows, places):
    size = bead_size("11/0")
    weave = sheet(np.ones((rows, places), bool), (size, size), model_spacing(size, size))
    assert weave.beads == sheet_beads(rows, places)
