import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from convert.errors import SizeError
from convert.making.frame import Frame
from convert.making.shapes.strip import Strip
from convert.weave.beads import bead_size
from convert.weave.spacing import model_spacing

ONE, TWO = ("11/0", "11/0"), ("11/0", "15/0")


def frame(pair=ONE, **more):
    return Frame(tuple(map(bead_size, pair)), **more)


def fit(wrist, pair=ONE, **measures):
    return Strip(wrist_mm=wrist, **measures).fitted(frame(pair))


@settings(deadline=None, max_examples=30, derandomize=True)
@given(st.floats(120, 260), st.floats(0, 50), st.floats(0, 40), st.sampled_from([ONE, TWO, ("8/0", "11/0")]))
def test_length_is_the_nearest_in_whole_repeats(wrist, ease, clasp, pair):
    spacing, repeat = frame(pair).spacing, 1 if pair == ONE else 3
    strip = fit(wrist, pair, ease_mm=ease, clasp_mm=clasp)
    thickness = math.pi * max(bead_size(name).diameter_mm for name in pair)
    assert strip.wanted_mm == pytest.approx(wrist + ease - clasp + thickness)
    assert strip.places % repeat == 0
    assert abs(strip.length_mm - strip.wanted_mm) <= repeat / 2 * spacing.pitch_mm + 1e-9


def test_thickness_is_about_three_beads_as_published():
    # Add three bead diameters: "correct bracelet length" (firemountaingems.com).
    assert fit(170).thickness_mm == pytest.approx(3 * 2.1, rel=0.05)


def test_usual_measures_are_those_published():
    # Comfort ease 19 to 25 mm (linkagejewelry.com); a clasp takes up 12 to 15 mm (henmeide.co).
    usual = Strip(wrist_mm=160)
    assert 19 <= usual.ease_mm <= 25
    assert 12 <= usual.clasp_mm <= 15
    # A wrist of 160 mm takes a bracelet of about 178 mm, the usual adult size (making-jewelry.com), clasp
    # included and the beads' thickness with it.
    assert usual.fitted(frame()).length_mm + usual.clasp_mm == pytest.approx(178, abs=10)


def test_usual_strip_is_20_mm_wider_than_the_wrist_and_leaves_13_for_the_clasp():
    assert fit(160).wanted_mm == pytest.approx(160 + 20 - 13 + math.pi * bead_size("11/0").diameter_mm)


def test_largest_wrist_and_shortest_strip():
    assert fit(2000).length_mm > 2000
    with pytest.raises(SizeError, match="a wrist of 2001 mm cannot be"):
        fit(2001)
    assert fit(20, ease_mm=0, clasp_mm=0).places > 1
    # What is left of the wrist has to be more than a repeat, here one loop and three.
    for pair, repeat in ((ONE, 1), (TWO, 3)):
        beads = [bead_size(name) for name in pair]
        least = repeat * frame(pair).spacing.pitch_mm - math.pi * max(size.diameter_mm for size in beads)
        assert fit(30 + least + 0.01, pair, ease_mm=0, clasp_mm=30).places == repeat
        with pytest.raises(SizeError, match="leaves nothing to weave"):
            fit(30 + least - 0.01, pair, ease_mm=0, clasp_mm=30)


@pytest.mark.parametrize("pair", [ONE, TWO])
def test_repeats_of_a_row_are_alike(pair):
    strip, repeat = fit(170, pair), 1 if pair == ONE else 3
    weave = Strip(wrist_mm=170).lay_out(frame(pair), None).weave
    core = weave.loop_core.reshape(strip.rows, strip.places)
    repeats = core.reshape(strip.rows, -1, repeat)
    assert (repeats == repeats[:, :1]).all()
    left, top, right, bottom = weave.extent_mm
    assert strip.length_mm == pytest.approx(right - left)
    assert bottom - top == pytest.approx(20, abs=weave.spacing.side_mm)


def test_a_gauge_changes_the_loops_and_not_the_length():
    pitch_mm = model_spacing(*map(bead_size, ONE)).pitch_mm
    loosely = frame(gauge_mm=pitch_mm * 11)
    tight, loose = fit(170), Strip(wrist_mm=170).fitted(loosely)
    assert loose.places == pytest.approx(tight.places / 1.1, abs=1)
    assert abs(loose.length_mm - tight.length_mm) < loosely.spacing.pitch_mm


def test_words_add_up():
    strip = Strip(wrist_mm=170, ease_mm=15, clasp_mm=12)
    (words,) = strip.lay_out(frame(TWO), None).notes
    assert words.startswith(
        "length: wrist 170 mm + ease 15 - clasp 12 + 6.6 for the thickness of the beads = 180 mm"
    )
    assert "repeats of 3" in words
    (plain,) = strip.lay_out(frame(), None).notes
    assert "repeats" not in plain


def test_a_strip_is_finished_with_a_clasp_or_sewn_together():
    assert Strip(wrist_mm=170).finish == "clasp"
    assert Strip(wrist_mm=170, clasp_mm=0).finish == "sewn"


@pytest.mark.parametrize(
    "measures",
    [
        {},
        {"wrist_mm": 0},
        {"wrist_mm": -5},
        {"wrist_mm": math.nan},
        {"wrist_mm": 1e9},
        {"wrist_mm": 170, "ease_mm": -1},
        {"wrist_mm": 170, "ease_mm": math.inf},
        {"wrist_mm": 170, "clasp_mm": -1},
        {"wrist_mm": 170, "clasp_mm": 196},
        {"wrist_mm": 170, "height_mm": 0},
        {"wrist_mm": 170, "height_mm": math.nan},
    ],
    ids=str,
)
def test_impossible_measures_are_refused_in_one_line(measures):
    with pytest.raises(SizeError) as refused:
        Strip(**measures).lay_out(frame(), None)
    assert "\n" not in str(refused.value)


def test_a_wrist_is_as_long_as_its_loops_whatever_is_laid_over_it():
    assert np.array_equal(
        Strip(wrist_mm=150).lay_out(frame(), None).weave.bead_xy,
        Strip(wrist_mm=150, ease_mm=20.0).lay_out(frame(), None).weave.bead_xy,
    )
