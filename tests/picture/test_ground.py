"""Ground and masks: on rendered scans whose masks are known, and where there is no ground to find."""

import contextlib
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from PIL import Image
from scipy.ndimage import label
from skimage import data

from convert.errors import PictureError
from convert.making.frame import Frame
from convert.making.over_picture import loop_coverage
from convert.making.woven_part import LEAST_COVERAGE
from convert.picture.ground import check_ground, ground_note, masked, without_ground
from convert.picture.model import Picture
from convert.weave.beads import bead_size
from tests.picture.scans import PAPERS, Scan, drawing, drawn, seen

SIZE = bead_size("11/0")
LOOPS_ACROSS = 36
# Every paper in six kinds of light, grain and compression, and plain ones besides: 42 scans.
LIGHTS = (
    Scan(),
    Scan(fall=0.25, noise=2),
    Scan(fall=0.5, tilt=0.1, quality=60),
    Scan(tilt=0.2, noise=6, quality=85),
    Scan(fall=0.3, shadow=0.25, noise=3),
    Scan(fall=0.15, noise=4, quality=40),
    Scan(fall=0.6, tilt=0.15, noise=8),
)
SCANS = [replace(light, paper=paper) for light, paper in product(LIGHTS, PAPERS)]


def woven(picture):
    """Which loops of a sheet over a whole picture are woven."""
    frame = Frame((SIZE, SIZE))
    full = frame.sheet(*frame.loops(picture.aspect, across=LOOPS_ACROSS)).full
    (covers,) = loop_coverage(picture, [full])
    return covers >= LEAST_COVERAGE


def right(number):
    """Share of the loops of a scan that are woven as its mask says."""
    rgba = drawing(number)
    pixels = seen(rgba, SCANS[number], number)
    found = without_ground(Picture("scan", pixels), "auto")
    known = Picture("known", pixels, drawn(rgba))
    return float((woven(found) == woven(known)).mean())


def test_ground_of_scans_is_found_loop_by_loop():
    """At least 99 of 100 loops right over all 42 scans, and 97 in the worst, dark card in a poor JPEG."""
    shares = [right(number) for number in range(len(SCANS))]
    assert np.mean(shares) >= 0.99
    assert min(shares) >= 0.97, int(np.argmin(shares))


def plain(inside=(40, 60, 90), ground=(255, 255, 255), *, ring=False):
    """A disc, or a ring of the colour about ground, on plain ground."""
    y, x = np.mgrid[:240, :300]
    far = np.hypot(x - 150, y - 120)
    ink = (far < 80) & ~(ring & (far < 50))
    return Picture("disc", np.where(ink[..., None], inside, ground).astype(np.uint8))


def test_what_the_drawing_encloses_stays_unless_holes_are_asked_for():
    picture = plain(ring=True)
    kept = without_ground(picture, "auto").alpha
    bare = without_ground(picture, "auto", holes=True).alpha
    assert (kept[120, 150], bare[120, 150]) == (255, 0)
    assert (kept[120, 85], bare[120, 85]) == (255, 255)
    assert (kept[5, 5], bare[5, 5]) == (0, 0)
    assert label(kept == 0)[1] == 1
    assert label(bare == 0)[1] == 2


def test_small_highlights_are_no_holes():
    pixels = plain().pixels.copy()
    pixels[118:122, 148:152] = 255
    assert without_ground(Picture("eye", pixels), "auto", holes=True).alpha[120, 150] == 255


def test_ground_does_not_run_in_through_a_hair_in_the_outline():
    pixels = plain(ring=True).pixels.copy()
    pixels[120:122, 200:] = 255
    assert without_ground(Picture("gap", pixels), "auto").alpha[120, 150] == 255


def test_a_named_colour_is_the_ground_though_most_of_the_border_is_of_another():
    pixels = plain(ground=(200, 120, 60)).pixels.copy()
    pixels[:40] = (250, 248, 240)
    picture = Picture("two", pixels)
    assert without_ground(picture, "auto").alpha[200, 5] == 0
    white = without_ground(picture, "white").alpha
    assert (white[200, 5], white[5, 5]) == (255, 0)
    assert (
        "cream" in without_ground(picture, "#FAF8F0").notes[0]
        or "white" in without_ground(picture, "white").notes[0]
    )


def test_edge_is_soft_and_has_the_colour_of_the_drawing():
    """No pixel that is shown has the paper in its colour, though the lens has blurred them."""
    rgba = drawing(4)
    rgba = np.dstack([np.broadcast_to((30, 60, 120), (*rgba.shape[:2], 3)), drawn(rgba)]).astype(np.uint8)
    found = without_ground(Picture("blue", seen(rgba, Scan())), "auto")
    alpha = found.alpha
    assert ((alpha > 20) & (alpha < 235)).sum() > 500
    shown = found.pixels[alpha > 0].astype(int)
    assert (np.abs(shown - (30, 60, 120)).max(axis=1) < 25).mean() > 0.995
    assert alpha[alpha > 0].mean() > 200


def test_what_was_transparent_stays_so():
    picture = plain()
    alpha = np.full(picture.pixels.shape[:2], 255, np.uint8)
    alpha[:, 140:160] = 0
    found = without_ground(Picture("cut", picture.pixels, alpha), "white")
    assert (found.alpha[120, 150], found.alpha[120, 100], found.alpha[5, 5]) == (0, 255, 0)
    assert not found.coloured_throughout
    assert without_ground(picture, "white").coloured_throughout


def test_a_picture_that_is_cut_out_already_is_left_as_it_is():
    alpha = np.zeros((240, 300), np.uint8)
    alpha[60:180, 80:220] = 255
    picture = Picture("cut", plain().pixels, alpha)
    found = without_ground(picture, "auto")
    assert found.alpha is picture.alpha or (found.alpha == picture.alpha).all()
    assert found.notes == ("the ground of the picture is transparent already",)


def test_a_picture_that_shows_nothing_is_left_as_it_is():
    nothing = Picture("mist", plain().pixels, np.zeros((240, 300), np.uint8))
    assert without_ground(nothing, "white") is nothing


@pytest.mark.parametrize("shape", [(1, 1), (2, 5), (5, 801), (900, 3)])
def test_pictures_of_few_pixels_are_found_or_refused(shape):
    pixels = np.full((*shape, 3), 240, np.uint8)
    with pytest.raises(PictureError, match="takes the whole picture"):
        without_ground(Picture("thin", pixels.copy()), "auto")
    pixels[:, shape[1] // 2 :] = 30
    pixels[shape[0] // 2 :] = 30
    with contextlib.suppress(PictureError):
        assert without_ground(Picture("thin", pixels), "white").alpha.shape == shape


def test_notes_and_words_for_the_pattern():
    found = without_ground(plain(), "auto")
    share = 1 - np.pi * 80**2 / (240 * 300)
    assert found.notes == (f"the ground (white, {100 * share:.0f} % of the picture) is left out",)
    assert found.adjustments == ("ground (white) left out",)
    assert "holes too" in without_ground(plain(ring=True), "auto", holes=True).adjustments[0]


def test_a_plain_border_is_spoken_of():
    share = 1 - np.pi * 80**2 / (240 * 300)
    assert ground_note(plain()) == (
        f"the border is one colour (white, {100 * share:.0f} % of the picture):"
        " --ground auto would leave it out"
    )


@pytest.mark.parametrize("name", ["coffee", "chelsea", "astronaut", "rocket"])
def test_of_photographs_nothing_is_said(name):
    assert ground_note(Picture(name, getattr(data, name)().copy())) is None


@pytest.mark.parametrize("name", ["coffee", "astronaut"])
def test_ground_of_a_border_that_is_not_plain_comes_with_a_doubt(name):
    found = without_ground(Picture(name, getattr(data, name)().copy()), "auto")
    assert "the border is not plain" in found.notes[0]
    assert "the border is not plain" not in without_ground(plain(), "auto").notes[0]


def test_nothing_is_said_of_what_is_cut_out_plain_or_framed():
    picture = plain()
    assert ground_note(Picture("cut", picture.pixels, np.full((240, 300), 255, np.uint8))) is None
    assert ground_note(Picture("flat", np.full((200, 200, 3), 90, np.uint8))) is None
    framed = np.full((400, 400, 3), 90, np.uint8)
    framed[8:-8, 8:-8] = np.random.default_rng(1).integers(0, 255, (384, 384, 3))
    assert ground_note(Picture("framed", framed)) is None


@pytest.mark.parametrize(
    ("picture", "wanted", "why"),
    [
        (
            Picture("flat", np.full((200, 200, 3), 230, np.uint8)),
            "auto",
            r"white\) takes the whole picture",
        ),
        (
            Picture("dots", np.random.default_rng(2).integers(0, 256, (300, 300, 3), dtype=np.uint8)),
            "auto",
            "cannot",
        ),
        (plain(), "crimson", "nothing at the picture's border is crimson"),
        (plain(ring=True), "#283C5A", "nothing at the picture's border"),
    ],
    ids=["all of it", "no colour", "not there", "not at the border"],
)
def test_ground_that_takes_everything_or_nothing_is_refused(picture, wanted, why):
    with pytest.raises(PictureError, match=why) as error:
        without_ground(picture, wanted)
    assert "\n" not in str(error.value)
    assert "--mask" in error.value.hint


@pytest.mark.parametrize("wanted", ["blu", "auto ", ""])
def test_what_is_no_colour_is_refused(wanted):
    with pytest.raises(PictureError, match="--ground is auto, keep or a colour"):
        check_ground(wanted)


def test_holes_without_a_ground_are_refused():
    for wanted in (None, "keep"):
        with pytest.raises(PictureError, match="--ground-holes needs a ground"):
            check_ground(wanted, holes=True)
    check_ground("auto", holes=True)
    check_ground("white", holes=True)


def mask_of(values, name="mask"):
    return Picture(name, np.repeat(np.asarray(values, np.uint8)[..., None], 3, axis=2))


def test_white_of_a_mask_is_shown():
    values = np.zeros((240, 300), np.uint8)
    values[60:, 100:] = 255
    values[200:, 100:] = 128
    found = masked(plain(), mask_of(values))
    np.testing.assert_array_equal(found.alpha, values)
    assert (found.notes, found.adjustments) == ((), ("masked by mask",))
    assert found.coloured_throughout


def test_a_mask_of_other_shape_is_scaled_and_told():
    small = np.zeros((24, 30), np.uint8)
    small[:, 15:] = 255
    found = masked(plain(), mask_of(small))
    assert found.notes == ("the mask mask is 30 x 24, the picture 300 x 240: the mask is scaled to it",)
    assert (found.alpha[:, :140] == 0).all()
    assert (found.alpha[:, 160:] == 255).all()
    large = np.kron(small, np.full((30, 30), 1, np.uint8))
    expected = np.asarray(Image.fromarray(large).resize((300, 240), Image.Resampling.BOX))
    np.testing.assert_array_equal(masked(plain(), mask_of(large)).alpha, expected)


def test_masks_and_transparency_both_leave_out():
    alpha = np.full((240, 300), 255, np.uint8)
    alpha[:100] = 0
    values = np.full((240, 300), 255, np.uint8)
    values[:, :100] = 0
    found = masked(Picture("cut", plain().pixels, alpha), mask_of(values))
    np.testing.assert_array_equal(found.alpha, np.minimum(alpha, values))
    assert not found.coloured_throughout
    # What is transparent in a mask is black, whatever its colour.
    clear = Picture("clear", np.full((240, 300, 3), 255, np.uint8), values)
    np.testing.assert_array_equal(masked(plain(), clear).alpha, values)


def test_a_mask_that_leaves_nothing_is_refused_and_one_that_leaves_all_told():
    with pytest.raises(PictureError, match="the mask night leaves nothing to weave"):
        masked(plain(), mask_of(np.zeros((240, 300)), "night"))
    found = masked(plain(), mask_of(np.full((240, 300), 255), "snow"))
    assert found.notes == ("the mask snow is white all over and leaves nothing out",)
