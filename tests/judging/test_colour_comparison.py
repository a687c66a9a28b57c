"""A panel in several numbers of colours: which there are, and that each is what panel makes of it."""

import numpy as np
import pytest

import convert
from convert import PanelOptions
from convert.choice.smoothing import unrest
from convert.colour.lab import srgb_to_lab
from convert.judging.colour_comparison import compare_colours
from convert.palette.model import BeadColour, Palette
from convert.picture.model import Picture
from convert.weave.neighbours import bead_neighbours


def random_palette(count, size=None, **more):
    rgb = np.random.default_rng(2).integers(0, 256, (count, 3), dtype=np.uint8)
    return Palette(
        "drawn",
        tuple(
            BeadColour(f"C{number}", "", size, "#{:02X}{:02X}{:02X}".format(*one), tuple(lab), **more)
            for number, (one, lab) in enumerate(zip(rgb, srgb_to_lab(rgb).tolist(), strict=True))
        ),
    )


@pytest.fixture(scope="module")
def rainbow():
    """A picture in which all colours of a small palette have their place."""
    x, y = np.meshgrid(np.linspace(0, 255, 120), np.linspace(0, 255, 90))
    channels = [x, y, 128 + 127 * np.sin(x / 25) * np.cos(y / 40)]
    return Picture("rainbow", np.stack(channels, axis=-1).astype(np.uint8))


@pytest.fixture(scope="module")
def palette():
    return random_palette(30, pack_g=5.0, price=2.0)


@pytest.fixture(scope="module")
def compared(rainbow, palette):
    told = []
    found = compare_colours(rainbow, palette, PanelOptions(across=16, colours=10, edge="points"), told.append)
    return found, told


def test_numbers_go_up_to_all_and_one_is_to_be_chosen(compared, palette):
    found, told = compared
    numbers = [one.rung.colours for one in found.candidates]
    assert numbers == sorted(set(numbers))
    assert {6, 8, 10, 12, 16} <= set(numbers)
    assert [one.is_all for one in found.candidates] == [False] * (len(numbers) - 1) + [True]
    (chosen,) = (one for one in found.candidates if one.marked)
    assert not chosen.is_all
    assert found.reason.startswith(f"{chosen.rung.colours} colours: ")
    assert (found.picture.name, found.distance_m) == ("rainbow", 1.0)
    assert told[-1] == "Comparing numbers of colours"
    assert numbers[-1] <= len(palette.entries)


@pytest.mark.parametrize("number", [8, 10])
def test_each_is_what_panel_makes_of_as_many_colours(compared, rainbow, palette, number):
    found, _ = compared
    (one,) = (one for one in found.candidates if one.rung.colours == number)
    made = convert.make_panel(rainbow, palette, PanelOptions(across=16, colours=number, edge="points"))
    assert (one.pattern.bead_colour == made.pattern.bead_colour).all()
    weave = one.pattern.weave
    assert len(one.pattern.bead_colour) > weave.beads
    colours = one.pattern.palette.colour_numbers()[one.pattern.bead_colour[: weave.beads]]
    assert one.lone == unrest(colours, bead_neighbours(weave)).lone
    assert one.rung.seen == pytest.approx(made.comparison.chosen.seen, rel=1e-6)


def test_colours_that_stay_set_the_least_number(rainbow, palette):
    keep = tuple(f"C{number}" for number in range(8))
    found = compare_colours(rainbow, palette, PanelOptions(across=10, keep=keep))
    numbers = [one.rung.colours for one in found.candidates]
    assert min(numbers) >= 8
    fewest = found.candidates[0]
    codes = {fewest.pattern.palette.entries[entry].code for entry in fewest.pattern.used}
    assert len(codes - set(keep)) <= 2


def test_few_colours_are_all_and_to_be_chosen(rainbow):
    found = compare_colours(rainbow, random_palette(5), PanelOptions(across=8))
    assert [(one.is_all, one.marked) for one in found.candidates] == [(True, True)]
    assert found.reason is None


def test_numbers_that_stock_does_not_allow_are_left_out(rainbow):
    """Of 24 beads a colour 6 and 8 colours cannot fill the piece."""
    shelf = random_palette(30, on_hand=24)
    found = compare_colours(rainbow, shelf, PanelOptions(across=9, stock=True))
    for one in found.candidates:
        assert np.bincount(one.pattern.bead_colour).max() <= 24
    beads = len(found.candidates[0].pattern.bead_colour)
    assert min(one.rung.colours for one in found.candidates) >= beads / 24 > 8
