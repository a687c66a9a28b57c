import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from convert.errors import SizeError
from convert.weave.beads import bead_size
from convert.weave.fit import sheet_beads, sheet_loops, sheet_size_mm
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


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize(("core", "connector"), [*PAIRS, ("11/0-cylinder", "15/0")])
def test_size_of_a_sheet_is_that_of_its_beads(core, connector, direction):
    sizes = (bead_size(core), bead_size(connector))
    spacing = model_spacing(*sizes)
    for rows, places in itertools.product(range(1, 10), range(1, 13)):
        left, top, right, bottom = sheet(np.ones((rows, places), bool), sizes, spacing, direction).extent_mm
        expected = (right - left, bottom - top)
        assert sheet_size_mm(rows, places, sizes, spacing, direction) == pytest.approx(expected)


@settings(deadline=None, max_examples=60, derandomize=True)
@given(
    st.sampled_from(PAIRS), st.sampled_from(["across", "along"]), st.floats(1.0, 90.0), st.floats(1.0, 90.0)
)
def test_no_other_number_of_loops_comes_nearer(pair, direction, width, height):
    sizes = (bead_size(pair[0]), bead_size(pair[1]))
    spacing = model_spacing(*sizes)
    rows, places = sheet_loops(
        sizes, spacing, 1.5, direction=direction, width_mm=width, height_mm=height, fit="cover"
    )

    def off(rows, places):
        left, top, right, bottom = sheet(np.ones((rows, places), bool), sizes, spacing, direction).extent_mm
        return abs(right - left - width), abs(bottom - top - height)

    # Number of rows and of places, and which measure each decides.
    for row_step, place_step, axis in ((1, 0, direction == "across"), (0, 1, direction == "along")):
        for sign in (-1, 1):
            other = rows + sign * row_step, places + sign * place_step
            # A single row is narrower than others, so that a row more or less changes both measures.
            if min(*other, rows, places) > 1:
                assert off(rows, places)[axis] <= off(*other)[axis] + 1e-9


@pytest.mark.parametrize("direction", ["across", "along"])
def test_a_single_row_is_as_long_as_is_wanted(direction):
    """It is narrower than several rows by half a loop, since nothing is shifted."""
    for length in np.arange(30.0, 40.0, 0.4).tolist():
        wanted = {"width_mm": length, "height_mm": 3.0}
        if direction == "along":
            wanted = {"width_mm": 3.0, "height_mm": length}
        width, height, spacing, loops = finished("11/0", "11/0", direction, **wanted)
        assert min(loops) == 1
        assert abs((width if direction == "across" else height) - length) <= spacing.pitch_mm / 2 + 1e-9


def test_contain_keeps_the_whole_picture():
    width, height, spacing, _ = finished(
        "11/0", "11/0", "across", width_mm=60.0, height_mm=200.0, fit="contain"
    )
    assert abs(width - 60) <= spacing.pitch_mm / 2 + 1
    assert abs(height - 40) <= spacing.pitch_mm


@pytest.mark.parametrize("direction", ["across", "along"])
def test_contain_keeps_the_whole_picture_within_loops_across(direction):
    width, height, spacing, _ = finished("11/0", "11/0", direction, across=30, height_mm=200.0, fit="contain")
    assert abs(height - width / 1.5) <= spacing.pitch_mm / 2 + 1e-9
    width, height, spacing, loops = finished(
        "11/0", "11/0", direction, across=30, height_mm=30.0, fit="contain"
    )
    assert abs(height - 30) <= spacing.pitch_mm / 2 + 1e-9
    assert loops[direction == "across"] == 30


def test_most_loops_across():
    assert finished("11/0", "11/0", "across", across=100, height_mm=1.0)[3] == (1, 100)
    sizes = (bead_size("11/0"),) * 2
    spacing = model_spacing(*sizes)
    assert sheet_loops(sizes, spacing, 1.5, direction="along", across=10_000, height_mm=1.0)[0] == 10_000
    with pytest.raises(SizeError, match="10001 loops across are more than can be woven"):
        sheet_loops(sizes, spacing, 1.5, direction="along", across=10_001, height_mm=1.0)


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
