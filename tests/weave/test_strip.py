import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from convert.errors import SizeError
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.spacing import gauge_spacing, model_spacing
from convert.weave.strip import CLASP_MM, EASE_MM, fit_strip

ONE, TWO = ("11/0", "11/0"), ("11/0", "15/0")


def fit(wrist, pair=ONE, height=20.0, **measures):
    sizes = tuple(map(bead_size, pair))
    return fit_strip(wrist, height, sizes, model_spacing(*sizes), **measures)


@settings(deadline=None, max_examples=30, derandomize=True)
@given(st.floats(120, 260), st.floats(0, 50), st.floats(0, 40), st.sampled_from([ONE, TWO, ("8/0", "11/0")]))
def test_length_is_the_nearest_in_whole_repeats(wrist, ease, clasp, pair):
    sizes = tuple(map(bead_size, pair))
    spacing = model_spacing(*sizes)
    strip = fit_strip(wrist, 20.0, sizes, spacing, ease_mm=ease, clasp_mm=clasp)
    thickness = math.pi * max(size.diameter_mm for size in sizes)
    assert strip.wanted_mm == pytest.approx(wrist + ease - clasp + thickness)
    assert strip.repeat == (1 if pair == ONE else 3)
    assert strip.places % strip.repeat == 0
    assert abs(strip.length_mm - strip.wanted_mm) <= strip.repeat / 2 * spacing.pitch_mm + 1e-9


def test_thickness_is_about_three_beads_as_published():
    # Add three bead diameters: "correct bracelet length" (firemountaingems.com).
    assert fit(170).thickness_mm == pytest.approx(3 * 2.1, rel=0.05)


def test_usual_measures_are_those_published():
    # Comfort ease 19 to 25 mm (linkagejewelry.com); a clasp takes up 12 to 15 mm (henmeide.co).
    assert 19 <= EASE_MM <= 25
    assert 12 <= CLASP_MM <= 15
    # A wrist of 160 mm takes a bracelet of about 178 mm, the usual adult size (making-jewelry.com), clasp
    # included and the beads' thickness with it.
    strip = fit(160)
    assert strip.length_mm + CLASP_MM == pytest.approx(178, abs=10)


def test_usual_strip_is_20_mm_wider_than_the_wrist_and_leaves_13_for_the_clasp():
    strip = fit(160)
    assert (strip.ease_mm, strip.clasp_mm) == (20, 13)
    assert strip.wanted_mm == pytest.approx(160 + 20 - 13 + math.pi * bead_size("11/0").diameter_mm)


def test_largest_wrist_and_shortest_strip():
    assert fit(2000).length_mm > 2000
    with pytest.raises(SizeError, match="a wrist of 2001 mm cannot be"):
        fit(2001)
    assert fit(20, ease_mm=0, clasp_mm=0).places > 1
    # What is left of the wrist has to be more than a repeat, here one loop and three.
    for pair, repeat in ((ONE, 1), (TWO, 3)):
        sizes = tuple(map(bead_size, pair))
        least = repeat * model_spacing(*sizes).pitch_mm - math.pi * max(size.diameter_mm for size in sizes)
        assert fit(30 + least + 0.01, pair, ease_mm=0, clasp_mm=30).places == repeat
        with pytest.raises(SizeError, match="leaves nothing to weave"):
            fit(30 + least - 0.01, pair, ease_mm=0, clasp_mm=30)


@pytest.mark.parametrize("pair", [ONE, TWO])
def test_repeats_of_a_row_are_alike(pair):
    strip = fit(170, pair)
    sizes = tuple(map(bead_size, pair))
    weave = sheet(np.ones((strip.rows, strip.places), bool), sizes, model_spacing(*sizes))
    core = weave.loop_core.reshape(strip.rows, strip.places)
    repeats = core.reshape(strip.rows, -1, strip.repeat)
    assert (repeats == repeats[:, :1]).all()
    left, top, right, bottom = weave.extent_mm
    assert strip.length_mm == pytest.approx(right - left)
    assert bottom - top == pytest.approx(20, abs=weave.spacing.side_mm)


def test_a_gauge_changes_the_loops_and_not_the_length():
    sizes = tuple(map(bead_size, ONE))
    model = model_spacing(*sizes)
    gauge = gauge_spacing(*sizes, model.pitch_mm * 11)
    tight, loose = fit(170), fit_strip(170, 20.0, sizes, gauge)
    assert loose.places == pytest.approx(tight.places / 1.1, abs=1)
    assert abs(loose.length_mm - tight.length_mm) < gauge.pitch_mm


def test_words_add_up():
    words = str(fit(170, TWO, ease_mm=15, clasp_mm=12))
    assert words.startswith("wrist 170 mm + ease 15 - clasp 12 + 6.6 for the thickness of the beads = 180 mm")
    assert "repeats of 3" in words
    assert "repeats" not in str(fit(170))


@pytest.mark.parametrize(
    "measures",
    [
        {"wrist": 0},
        {"wrist": -5},
        {"wrist": math.nan},
        {"wrist": 1e9},
        {"wrist": 170, "ease_mm": -1},
        {"wrist": 170, "ease_mm": math.inf},
        {"wrist": 170, "clasp_mm": -1},
        {"wrist": 170, "clasp_mm": 196},
        {"wrist": 170, "height": 0},
        {"wrist": 170, "height": math.nan},
    ],
    ids=str,
)
def test_impossible_measures_are_refused_in_one_line(measures):
    with pytest.raises(SizeError) as refused:
        fit(**measures)
    assert "\n" not in str(refused.value)
