import dataclasses
from types import SimpleNamespace

import numpy as np
import pytest

from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import lab_to_linear, linear_to_lab, srgb_to_lab
from convert.colour.srgb import parse_hex
from convert.errors import ConvertError, PaletteError, PictureError
from convert.palette.matches import (
    Answer,
    Asked,
    advice,
    answers,
    answers_json,
    asked_by_name,
    asked_of_picture,
    is_colour,
    nearness,
)
from convert.palette.model import BeadColour, Palette
from convert.palette.offers import Mixture, Offer
from convert.weave.beads import bead_size

SIZE = bead_size("11/0")


def bead(code, colour, size="11/0", **more):
    lab = tuple(srgb_to_lab(np.array(parse_hex(colour), np.uint8)).tolist())
    return BeadColour(code, f"{code} name", size, colour, lab, **more)


PALETTE = Palette(
    "shelf",
    (
        bead("BLACK", "#101010"),
        bead("GREY", "#808080", on_hand=0),
        bead("STONE", "#8A8A86", on_hand=40),
        bead("WHITE", "#F0F0F0", on_hand_g=2.0),
        bead("TEAL", "#008080", size="8/0"),
    ),
)


def codes(answer):
    return [PALETTE.entries[offer.entry].code for offer in answer.offers]


def test_better_beads_out_of_stock_are_shown():
    (answer,) = answers([asked_by_name("808080")], PALETTE, SIZE, 1)
    assert codes(answer) == ["GREY", "STONE"]
    assert [offer.missing for offer in answer.offers] == [True, False]
    assert not answer.out_of_reach


def test_stock_in_grams_is_counted_in_beads_of_the_size():
    (answer,) = answers([asked_by_name("F0F0F0")], PALETTE, SIZE, 1)
    assert answer.offers[0].on_hand == int(2.0 * SIZE.beads_per_gram)


def test_out_of_reach_says_what_lies_on_each_side():
    (answer,) = answers([asked_by_name("C0C0C0")], PALETTE, SIZE, 1)
    assert answer.out_of_reach
    said = advice(answer, PALETTE)
    assert "C0C0C0: no bead within 5 units" in said
    assert "between WHITE WHITE name and STONE STONE name: with" in said
    mixed, plain = answer.mixture.difference, answer.offers[0].difference
    assert mixed < plain / 2
    assert f"{mixed:.1f} off from afar instead of {plain:.1f}" in said


def test_beyond_the_palette_nothing_lies_on_the_far_side():
    (answer,) = answers([Asked("sun", "#FFFF00")], Palette("greys", PALETTE.entries[:1]), SIZE, 1)
    assert "beyond the palette" in advice(answer, PALETTE)


def test_only_beads_of_the_size():
    (answer,) = answers([asked_by_name("teal")], PALETTE, SIZE, 10)
    assert "TEAL" not in codes(answer)
    (answer,) = answers([asked_by_name("teal")], PALETTE, bead_size("8/0"), 10)
    assert codes(answer) == ["TEAL"]


def test_size_the_palette_lacks():
    with pytest.raises(PaletteError, match="no bead of size 15/0") as error:
        answers([asked_by_name("teal")], PALETTE, bead_size("15/0"), 1)
    assert "11/0, 8/0" in error.value.hint


def test_no_colour():
    with pytest.raises(ConvertError, match="'lake' is no colour"):
        asked_by_name("lake")


def picture(pixels, alpha=None):
    return SimpleNamespace(name="pond", pixels=np.asarray(pixels, np.uint8), alpha=alpha, notes=())


def test_main_colours_of_a_picture():
    pixels = np.zeros((40, 50, 3), np.uint8)
    pixels[:, :30] = (20, 90, 160)
    pixels[:, 30:] = (200, 180, 40)
    asked = asked_of_picture(picture(pixels), 5)
    assert [(one.name, one.hex) for one in asked] == [("pond 1", "#145AA0"), ("pond 2", "#C8B428")]
    assert [one.share for one in asked] == pytest.approx([0.6, 0.4])


def test_what_is_transparent_does_not_count():
    pixels = np.zeros((10, 10, 3), np.uint8)
    pixels[:, 5:] = 200
    alpha = np.zeros((10, 10), np.uint8)
    alpha[:, 5:] = 255
    assert [one.hex for one in asked_of_picture(picture(pixels, alpha), 5)] == ["#C8C8C8"]
    with pytest.raises(PictureError, match="transparent all over"):
        asked_of_picture(picture(pixels, np.zeros((10, 10), np.uint8)), 5)


def test_a_large_picture_is_thinned_out():
    """Three million pixels: every eighth of every eighth row is looked at, which is less than 60,000."""
    pixels = np.zeros((2000, 1500, 3), np.uint8)
    pixels[::8, ::8] = 200
    pixels[::8, ::16] = 100
    asked = asked_of_picture(picture(pixels), 3)
    assert sorted((one.hex, round(one.share, 2)) for one in asked) == [("#646464", 0.5), ("#C8C8C8", 0.5)]


def test_what_is_a_colour():
    assert [is_colour(text) for text in ("teal", "#00FF80", "00ff80", "lake", "#00FF8")] == [
        True, True, True, False, False,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("difference", "words"),
    [(0.4, "the same to the eye"), (1.5, "hard to tell apart"), (5.0, "near"), (5.1, "another colour")],
)
def test_differences_in_words(difference, words):
    assert nearness(difference) == words


@pytest.mark.parametrize("difference", [1.0, 2.0])
def test_words_change_at_whole_units(difference):
    assert nearness(difference - 0.001) != nearness(difference) == nearness(difference + 0.001)


def test_a_mixture_has_at_least_one_percent():
    answer = Answer(asked_by_name("C0C0C0"), (Offer(2, 6.0, 40),), Mixture(2, 3, 0.001, 5.9))
    assert "with 1% of the latter" in advice(answer, PALETTE)
    answer = dataclasses.replace(answer, mixture=Mixture(2, 3, 0.798, 5.9))
    assert "with 80% of the latter" in advice(answer, PALETTE)


def test_a_mixture_is_compared_with_the_nearest_bead_that_is_there():
    """GREY is out of stock, so that it is not mixed; nor is it told how far it is off."""
    (answer,) = answers([asked_by_name("707070")], PALETTE, SIZE, 1)
    assert codes(answer) == ["GREY", "STONE"]
    said = advice(answer, PALETTE)
    assert "between STONE STONE name and BLACK BLACK name" in said
    assert f"instead of {answer.offers[1].difference:.1f}" in said


def test_out_of_reach_is_more_than_five_units():
    asked = asked_by_name("C0C0C0")
    assert not Answer(asked, (Offer(2, 5.0, None), Offer(1, 9.0, None)), None).out_of_reach
    assert Answer(asked, (Offer(2, 5.01, None),), None).out_of_reach


def test_with_an_empty_shelf_what_is_not_there_is_mixed():
    empty = Palette("empty", tuple(dataclasses.replace(one, on_hand=0) for one in PALETTE.entries))
    (answer,) = answers([asked_by_name("C0C0C0")], empty, SIZE, 1)
    assert {answer.mixture.first, answer.mixture.second} == {2, 3}
    assert len(answer.offers) == 4
    assert f"instead of {answer.offers[0].difference:.1f}" in advice(answer, empty)


def test_what_is_half_transparent_counts():
    pixels, alpha = np.full((1, 3, 3), 90, np.uint8), np.array([[127, 128, 255]], np.uint8)
    pixels[0, 0], pixels[0, 2] = 0, 200
    asked = asked_of_picture(picture(pixels, alpha), 5)
    assert sorted((one.hex, one.share) for one in asked) == [("#5A5A5A", 0.5), ("#C8C8C8", 0.5)]


def test_plain_values_for_machines():
    asked = dataclasses.replace(asked_by_name(" C0C0C0 "), share=0.123456)
    (answer,) = answers([asked], PALETTE, SIZE, 2)
    plain = answers_json([answer], PALETTE, SIZE)
    assert (plain["palette"], plain["size"], plain["out_of_reach_above"]) == ("shelf", "11/0", 5.0)
    (colour,) = plain["colours"]
    assert (colour["asked"], colour["hex"], colour["share"]) == ("C0C0C0", "#C0C0C0", 0.1235)
    stock = [(told["code"], told["name"], told["hex"], told["on_hand"]) for told in colour["beads"]]
    # 2 g of WHITE at 108 to the gram.
    assert stock == [
        ("WHITE", "WHITE name", "#F0F0F0", int(2 * SIZE.beads_per_gram)),
        ("STONE", "STONE name", "#8A8A86", 40),
    ]
    between = colour["between"]
    assert between["codes"] == ["WHITE", "STONE"]
    assert between["share_of_second"] == round(answer.mixture.share, 4) != round(answer.mixture.share, 3)
    assert between["difference"] == round(answer.mixture.difference, 3) != round(answer.mixture.difference, 2)
    assert colour["out_of_reach"] is True
    for told in colour["beads"]:
        entry = next(entry for entry in PALETTE.entries if entry.code == told["code"])
        off = ciede2000(srgb_to_lab(np.full(3, 0xC0, np.uint8)), np.array(entry.lab))
        assert told["difference"] == round(float(off), 3) != round(float(off), 2)
    assert set(colour["between"]) == {"codes", "share_of_second", "difference"}


def test_a_bead_beyond_a_screen_mixes_as_the_nearest_that_a_screen_shows():
    """A yellow of linear light above 1, which no screen gives."""
    beyond = (98.0, -16.0, 110.0)
    shown = tuple(linear_to_lab(np.clip(lab_to_linear(np.array(beyond)), 0, 1)).tolist())
    found = []
    for lab in (beyond, shown):
        beads = [
            BeadColour("Y", "", None, "#FFFF00", lab),
            BeadColour("K", "", None, "#000000", (0.0, 0.0, 0.0)),
        ]
        (answer,) = answers([asked_by_name("#808020")], Palette("two", tuple(beads)), SIZE, 2)
        found.append((answer.mixture.share, answer.mixture.difference))
    assert found[0] == pytest.approx(found[1])
