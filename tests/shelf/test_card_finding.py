"""The marks of the card and its patches, drawn plainly at a known scale."""

import numpy as np
import pytest

from convert.shelf.card import PATCH_MM, PATCHES, corners_mm
from convert.shelf.card_finding import find_card

DOTS = 4.0
LEFT, TOP = 30.0, 26.0
"""Where the middle of the first mark lies, in pixels."""
SHAPE = (520, 760)


def square(light, x, y, side, level):
    """Draw a square about a place, in pixels."""
    half = side / 2
    light[round(y - half) : round(y + half), round(x - half) : round(x + half)] = level


def mark(light, x, y, unit, outer=7, middle=5, inner=3, shift=0.0):
    for units, level in ((outer, 0.02), (middle, 0.9)):
        square(light, x, y, units * unit, level)
    square(light, x + shift, y, inner * unit, 0.02)


def card(unit=DOTS * 10 / 7, marks=range(4), **changes):
    """Return a card as it is seen, whose marks have squares of so many pixels a unit."""
    light = np.full((*SHAPE, 3), 0.9, np.float32)
    for patch in PATCHES:
        x, y = LEFT + patch.x_mm * DOTS, TOP + patch.y_mm * DOTS
        wide, high = PATCH_MM[0] * DOTS / 2, PATCH_MM[1] * DOTS / 2
        level = np.array(list(bytes.fromhex(patch.hex[1:]))) / 300
        light[round(y - high) : round(y + high), round(x - wide) : round(x + wide)] = level
    for number in marks:
        x, y = corners_mm()[number] * DOTS
        mark(light, LEFT + x, TOP + y, unit, **changes)
    return light


def values():
    return np.array([list(bytes.fromhex(patch.hex[1:])) for patch in PATCHES]) / 300


def seen(light):
    return find_card(light, light)


@pytest.mark.parametrize("turns", [0, 1, 2, 3])
def test_patches_are_measured_however_the_card_lies(turns):
    light = np.rot90(card(), turns).copy()
    found, marks = seen(light)
    assert marks == 4
    assert found.patches == pytest.approx(values(), abs=1e-4)


def test_patches_are_measured_in_their_middle_and_not_by_what_is_odd_there():
    """Six tenths each way: what lies beyond does not count, nor does a spot on less than half of it."""
    light = card()
    for number, patch in enumerate(PATCHES):
        x, y = LEFT + patch.x_mm * DOTS, TOP + patch.y_mm * DOTS
        wide, high = PATCH_MM[0] * DOTS / 2, PATCH_MM[1] * DOTS / 2
        edge = light[round(y - high) : round(y + high), round(x - wide) : round(x + wide)]
        kept = edge[7:-7, 7:-7].copy()
        edge[:] = 1 - 0.01 * number
        edge[7:-7, 7:-7] = kept
        square(light, x - 6, y - 5, 14, 1.0)
    assert seen(light)[0].patches == pytest.approx(values(), abs=1e-4)


def test_more_than_the_middle_is_not_measured():
    """A half of what is measured is light: the median stands between, and moves if more or less is taken."""
    light = card()
    for patch in PATCHES[:24]:
        x, y = LEFT + patch.x_mm * DOTS, TOP + patch.y_mm * DOTS
        wide = PATCH_MM[0] * DOTS
        # A slope across the patch, cut at the right: the median is that of the part that is measured.
        ramp = np.clip((np.arange(round(wide)) + 0.5) / wide, 0, 0.7)
        left, top = round(x - wide / 2), round(y - PATCH_MM[1] * DOTS / 2)
        light[top : top + round(PATCH_MM[1] * DOTS), left : left + round(wide)] = ramp[None, :, None]
    assert seen(light)[0].patches[:24] == pytest.approx(0.5, abs=0.012)


def test_area_of_the_card_takes_marks_and_a_margin():
    """Half a mark and 3 mm about the middles of the marks, in a raster of a quarter."""
    found, _ = seen(card())
    assert found.area.shape == (130, 190)
    rows, columns = np.flatnonzero(found.area.any(axis=1)), np.flatnonzero(found.area.any(axis=0))
    assert (rows[0], columns[0]) == (0, 0)
    assert rows[-1] == pytest.approx((TOP + (96 + 8) * DOTS) / 4, abs=1)
    assert columns[-1] == pytest.approx((LEFT + (172 + 8) * DOTS) / 4, abs=1)


@pytest.mark.parametrize("marks", [(), (0,), (1, 2), (0, 2, 3)])
def test_marks_that_are_seen_are_counted(marks):
    assert seen(card(marks=marks)) == (None, len(marks))


def test_five_marks_are_no_card():
    light = card()
    mark(light, 330, 470, DOTS * 10 / 7)
    assert seen(light) == (None, 5)


def test_a_card_far_off_is_found():
    """Marks of 14 pixels; those of 10 are too small to be told."""
    assert seen(card(unit=2))[1] == 4
    assert seen(card(unit=10 / 7))[1] == 0


def marked(draw):
    """Return four marks on paper that is not quite even, without a card."""
    light = np.full((*SHAPE, 3), 0.9, np.float32)
    light *= np.linspace(1, 0.95, SHAPE[1], dtype=np.float32)[None, :, None]
    for x, y in ((100, 100), (600, 100), (600, 400), (100, 400)):
        draw(light, x, y)
    return light


@pytest.mark.parametrize(
    ("changes", "marks"),
    [
        ({"inner": 3.4}, 4),
        ({"inner": 3.7}, 0),
        ({"inner": 2.4}, 4),
        ({"inner": 2.2}, 0),
        ({"middle": 5.6}, 4),
        ({"middle": 5.9}, 0),
        ({"middle": 4.2, "inner": 2.6}, 4),
        ({"middle": 3.8, "inner": 2.6}, 0),
        ({"shift": 5.0}, 4),
        ({"shift": 6.0}, 0),
    ],
)
def test_nested_squares_of_other_measures_are_no_marks(changes, marks):
    """Areas may be off by two fifths, middles by 0.08 of the side of 70 pixels."""
    assert seen(marked(lambda light, x, y: mark(light, x, y, 10, **changes)))[1] == marks


@pytest.mark.parametrize(("stretch", "marks"), [(1.26, 4), (1.32, 0)])
def test_a_mark_is_about_as_wide_as_high(stretch, marks):
    def draw(light, x, y):
        for units, level in ((70, 0.02), (50, 0.9), (30, 0.02)):
            wide, high = units * stretch / 2, units / 2
            light[round(y - high) : round(y + high), round(x - wide) : round(x + wide)] = level

    assert seen(marked(draw))[1] == marks


def test_rings_and_squares_apart_are_no_marks():
    light = np.full((*SHAPE, 3), 0.9, np.float32)
    for x, y in ((100, 100), (600, 100)):
        square(light, x, y, 40, 0.02)
        square(light, x, y, 28, 0.9)
        square(light, x, 400, 17, 0.02)
    assert seen(light) == (None, 0)
