import numpy as np
import pytest
from PIL import Image

from convert.errors import SizeError
from convert.picture.model import Picture
from convert.picture.part import WHOLE, Part, part_named, picture_part, reduced, resized
from tests.picture.files import sample


def half():
    """A black square whose left half is transparent, with a red shade that must not show."""
    alpha = np.zeros((1600, 1600), np.uint8)
    alpha[:, 801:] = 255
    pixels = np.zeros((1600, 1600, 3), np.uint8)
    pixels[:, :801, 0] = 200
    return Picture("half", pixels, alpha)


def test_a_picture_made_smaller_stays_transparent():
    small = reduced(half(), 2)
    assert small.pixels.shape == (800, 800, 3)
    assert (small.alpha[:, :400] == 0).all()
    # The pixel across the edge is half there, and has the colour of what is there.
    assert small.alpha[0, 400] in (127, 128)
    assert (small.pixels[:, 400:] == 0).all()


def test_what_is_transparent_lies_on_white():
    shown = picture_part(half(), (0, 0, 1600, 1600))
    assert (shown[:, :801] == 255).all()
    assert (shown[:, 801:] == 0).all()


def test_a_box_is_resized_to_its_own_pixels():
    pixels = np.zeros((100, 100, 3), np.uint8)
    pixels[20:40, 30:50] = 255
    shown = resized(Picture("square", pixels), (30, 20, 50, 40), (7, 9))
    assert shown.shape == (7, 9, 3)
    assert (shown == 255).all()


def test_pixels_that_a_box_only_touches_belong_to_it():
    pixels = np.arange(300, dtype=np.uint32).reshape(10, 10, 3).astype(np.uint8)
    shown = picture_part(Picture("ramp", pixels), (2.6, 3.4, 5.1, 7.2))
    assert (shown == pixels[3:8, 2:6]).all()


def test_a_part_drawn_larger_has_no_steps():
    pixels = np.repeat(np.array([0, 200], np.uint8)[None, :, None], 3, axis=2)
    shown = resized(Picture("two", pixels), (0, 0, 2, 1), (1, 8))[0, :, 0].astype(int)
    assert (np.diff(shown)[2:5] > 0).all()
    assert (shown[0], shown[-1]) == (0, 200)


@pytest.mark.parametrize(
    "text",
    ["", "1,2,3", "a,b,c,d", "0,0,0,1", "0,0,1,0", "0.5,0,0.6,1", "-0.1,0,0.5,1", "0,0,nan,1", "0,0,1,inf"],
)
def test_parts_that_are_none_are_refused_in_one_line(text):
    with pytest.raises(SizeError) as refused:
        part_named(text, "--detail")
    assert "\n" not in str(refused.value)
    assert refused.value.hint


def test_a_part_is_read():
    assert part_named("0.1, 0.2,.3,0.4", "--detail") == Part(0.1, 0.2, 0.3, 0.4)
    assert part_named("0,0,1,1", "--detail").is_whole


def test_a_box_in_pixels_runs_across_first():
    wide = Picture("wide", np.zeros((10, 40, 3), np.uint8))
    assert Part(0.25, 0.5, 0.5, 0.3).box_px(wide) == pytest.approx((10, 5, 30, 8))
    assert WHOLE.box_px(wide) == (0, 0, 40, 10)
    # 0.1 + 0.9 and the like may be a hair above 1, which is neither refused nor outside.
    for part in (
        Part(0.9, 0.7, 0.1, 0.3),
        Part(1 - 0.7, 1 - 0.9, 0.7, 0.9),
        Part(0.1, 0.1, 0.9 + 5e-10, 0.9 + 5e-10),
    ):
        left, top, right, bottom = part.box_px(wide)
        assert 0 <= left < right <= 40
        assert 0 <= top < bottom <= 10
    with pytest.raises(SizeError, match="outside"):
        Part(0.1, 0, 0.9 + 1e-8, 1)
    with pytest.raises(SizeError, match="outside"):
        Part(0, 0.1, 1, 0.9 + 1e-8)


@pytest.mark.parametrize("fault", [(0, 0, 0, 1), (0, 0, 1, 0), (0, 0, -1, 1), (0, 0, 1, -1)])
def test_a_part_needs_area(fault):
    with pytest.raises(SizeError, match="no area"):
        Part(*fault)


def test_a_part_is_told_as_it_is_given():
    assert str(Part(0.12345, 0, 1 / 3, 0.5)) == "0.1235,0,0.3333,0.5"
    assert not Part(0, 0, 1, 0.5).is_whole


def test_what_is_half_transparent_is_mixed_with_white():
    pixels = np.full((1, 3, 3), 100, np.uint8)
    shown = picture_part(Picture("veil", pixels, np.array([[0, 102, 255]], np.uint8)), (0, 0, 3, 1))
    # 102 is two fifths of 255: 255 - 155 * 2 / 5
    assert shown[0, :, 0].tolist() == [255, 193, 100]
    rounded = picture_part(Picture("veil", pixels, np.array([[1, 127, 254]], np.uint8)), (0, 0, 3, 1))
    assert rounded[0, :, 0].tolist() == [round(255 - 155 * share / 255) for share in (1, 127, 254)]


def test_resizing_is_pillows_mean_or_its_lines_between():
    pixels = sample(12, 20)
    picture, image = Picture("noise", pixels), Image.fromarray(pixels)
    # Twenty columns onto five, and a box between pixels: the mean by area.
    fewer = resized(picture, (0, 0, 20, 12), (3, 5))
    np.testing.assert_allclose(fewer, pixels.reshape(3, 4, 5, 4, 3).mean(axis=(1, 3)), atol=1)
    box = (2.6, 1.3, 18.2, 10.4)
    for shape, kind in (((4, 9), "BOX"), ((9, 15), "BOX"), ((30, 15), "BOX"), ((20, 40), "BILINEAR")):
        wanted = image.resize(shape[::-1], Image.Resampling[kind], box=box)
        # Lines drawn between pixels reach out of the box here, but not into the middle.
        inner = slice(3, -3) if kind == "BILINEAR" else slice(None)
        shown = resized(picture, box, shape).astype(int)
        np.testing.assert_allclose(shown[inner, inner], np.asarray(wanted)[inner, inner], atol=1)
    # A box that ends a hair outside is cut.
    edge = resized(picture, (10, 6, 20 + 1e-9, 12 + 1e-9), (6, 10))
    np.testing.assert_array_equal(edge, pixels[6:, 10:])


@pytest.mark.parametrize("factor", [2, 3, 5])
def test_a_picture_made_smaller_is_the_mean_of_its_pixels(factor):
    pixels = sample(30, 60)
    small = reduced(Picture("noise", pixels), factor)
    means = pixels.reshape(30 // factor, factor, 60 // factor, factor, 3).mean(axis=(1, 3))
    np.testing.assert_allclose(small.pixels, means, atol=0.6)  # Pillow's own rounding
    assert (small.name, small.alpha) == ("noise", None)
    assert reduced(small, 1) is small
