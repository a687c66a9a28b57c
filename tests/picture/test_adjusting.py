import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageEnhance
from skimage import color, data
from skimage.feature import canny

from convert.cli.inputs import load_palette
from convert.errors import PictureError, SizeError
from convert.picture.adjusting import Adjustment, adjusted, best_crop, crop_named
from convert.picture.model import Picture
from convert.picture.part import Part
from convert.piece.pattern_file import parse_pattern, pattern_json
from convert.weave.beads import bead_size
from tests.panels import panel, panel_options


@pytest.fixture
def coffee():
    return Picture("coffee", data.coffee().copy())


def test_nothing_to_do_gives_the_same_picture(coffee):
    assert adjusted(coffee, Adjustment()) is coffee


@pytest.mark.parametrize(
    ("degrees", "turned"), [(90, -1), (180, 2), (270, 1), (-90, 1), (360 + 90, -1), (720, 0)]
)
def test_quarter_turns_are_exact_and_clockwise(coffee, degrees, turned):
    done = adjusted(coffee, Adjustment(rotate=degrees))
    np.testing.assert_array_equal(done.pixels, np.rot90(coffee.pixels, turned))


def test_flips(coffee):
    across = adjusted(coffee, Adjustment(flip="across"))
    np.testing.assert_array_equal(across.pixels, coffee.pixels[:, ::-1])
    down = adjusted(coffee, Adjustment(flip="down"))
    np.testing.assert_array_equal(down.pixels, coffee.pixels[::-1])


@settings(deadline=None, max_examples=25, derandomize=True)
@given(st.floats(-400, 400), st.integers(40, 120), st.integers(40, 120))
def test_a_turned_picture_has_no_empty_corners_and_is_as_large_as_can_be(degrees, width, height):
    white = Picture("white", np.full((height, width, 3), 255, np.uint8))
    done = adjusted(white, Adjustment(rotate=degrees))
    assert (done.pixels == 255).all()
    # A rectangle that lies inside the turned one: brute force over the corners, in the picture's own frame.
    half = np.array(done.pixels.shape[1::-1]) / 2
    angle = np.radians(degrees)
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    corners = np.array([[1, 1], [1, -1]]) * half @ turn.T
    assert (np.abs(corners) <= np.array([width, height]) / 2 + 1).all()
    larger = np.abs(np.array([[1, 1], [1, -1]]) * (half + 4) @ turn.T)
    assert (larger > np.array([width, height]) / 2 - 1).any()


def test_tones_are_those_of_pillow(coffee):
    image = Image.fromarray(coffee.pixels)
    done = adjusted(coffee, Adjustment(brightness=1.3, contrast=0.7, saturation=1.5))
    image = ImageEnhance.Brightness(image).enhance(1.3)
    image = ImageEnhance.Contrast(image).enhance(0.7)
    image = ImageEnhance.Color(image).enhance(1.5)
    np.testing.assert_array_equal(done.pixels, np.asarray(image))


def test_without_saturation_it_is_the_luma_of_bt_601():
    # ITU-R BT.601-7, 2.5.1: E'Y = 0.299 E'R + 0.587 E'G + 0.114 E'B.
    colours = np.array([[[255, 0, 0], [0, 255, 0], [0, 0, 255], [10, 100, 200]]], np.uint8)
    done = adjusted(Picture("four", colours), Adjustment(saturation=0))
    luma = colours @ np.array([0.299, 0.587, 0.114])
    np.testing.assert_allclose(done.pixels, np.repeat(luma[..., None], 3, axis=2), atol=1)


def test_crop_is_taken_after_turning_and_keeps_the_opacity(coffee):
    alpha = np.tile(np.arange(600) % 256, (400, 1)).astype(np.uint8)
    picture = Picture("half", coffee.pixels.copy(), alpha)
    done = adjusted(picture, Adjustment(crop=Part(0.25, 0.5, 0.5, 0.5), rotate=90))
    turned = np.rot90(coffee.pixels, -1)
    np.testing.assert_array_equal(done.pixels, turned[300:, 100:300])
    np.testing.assert_array_equal(done.alpha, np.rot90(alpha, -1)[300:, 100:300])
    assert any("rotated 90 degrees clockwise, cropped to 0.25,0.5,0.5,0.5" in note for note in done.notes)


def test_a_crop_of_nothing_is_refused():
    alpha = np.zeros((10, 10), np.uint8)
    alpha[:, 5:] = 255
    picture = Picture("half", np.zeros((10, 10, 3), np.uint8), alpha)
    with pytest.raises(PictureError, match="shows nothing"):
        adjusted(picture, Adjustment(crop=Part(0, 0, 0.5, 1)))


def test_the_automatic_crop_goes_where_the_edges_are():
    pixels = np.full((300, 900, 3), 200, np.uint8)
    pixels[100:200, 620:780] = data.camera()[100:200, 200:360, None]
    part = best_crop(pixels, 1.0)
    assert (part.top, part.height) == (0, 1)
    assert part.width == pytest.approx(1 / 3)
    assert part.left * 900 <= 620
    assert (part.left + part.width) * 900 >= 780


def test_of_equal_crops_the_middle_is_taken():
    part = best_crop(np.full((100, 300, 3), 90, np.uint8), 1.0)
    assert part.left + part.width / 2 == pytest.approx(0.5, abs=0.01)


def test_the_automatic_crop_has_the_wanted_shape(coffee):
    done = adjusted(coffee, Adjustment(crop="auto"), aspect=0.5)
    assert done.pixels.shape == (400, 200, 3)
    flat = adjusted(coffee, Adjustment(crop="auto"), aspect=4.0)
    assert flat.pixels.shape == (150, 600, 3)
    # By eye: the cup and its handle are what there is to see.
    square = best_crop(coffee.pixels, 1.0)
    assert 0 <= square.left < 0.3


def test_the_automatic_crop_needs_a_shape(coffee):
    with pytest.raises(SizeError, match="needs a shape"):
        adjusted(coffee, Adjustment(crop="auto"))


@pytest.mark.parametrize(
    "made",
    [
        lambda: crop_named("a,b,c,d"),
        lambda: crop_named("0,0,1"),
        lambda: crop_named("0,0,0,1"),
        lambda: crop_named("0.5,0,0.6,1"),
        lambda: crop_named("0,0,nan,1"),
        lambda: Adjustment(rotate=float("inf")),
        lambda: Adjustment(flip="over"),
        lambda: Adjustment(brightness=-1),
        lambda: Adjustment(contrast=float("nan")),
        lambda: Adjustment(saturation=11),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(made):
    with pytest.raises(SizeError) as refused:
        made()
    assert "\n" not in str(refused.value)


def test_the_pattern_file_keeps_what_was_done_to_the_picture(coffee):
    colours, _ = load_palette(None)
    size = bead_size("8/0")
    chosen = panel_options(size, size, across=6)
    done = adjusted(coffee, Adjustment(flip="across", contrast=1.2))
    pattern = panel(done, colours, chosen).pattern
    assert pattern.adjustments == ("flipped across", "contrast 1.2")
    assert parse_pattern(pattern_json(pattern).encode(), "test").adjustments == pattern.adjustments
    assert panel(coffee, colours, chosen).pattern.adjustments == ()


def test_small_turns_are_clockwise_too():
    """What rises to the right rises to the right and down once it is turned clockwise."""
    rise = np.repeat(np.tile(np.linspace(0, 255, 200), (200, 1)).astype(np.uint8)[..., None], 3, axis=2)
    done = adjusted(Picture("rise", rise), Adjustment(rotate=30)).pixels[..., 0].astype(float)
    down, right = np.gradient(done)
    assert right.mean() > 0
    # tan(30 degrees)
    assert down.mean() / right.mean() == pytest.approx(0.577, abs=0.03)


@settings(deadline=None, max_examples=60, derandomize=True)
@given(st.integers(5, 60), st.integers(5, 60), st.floats(0.2, 5))
def test_an_automatic_crop_lies_within_the_picture(width, height, aspect):
    """All edges at the far end, so that the crop goes as far as it can."""
    pixels = np.zeros((height, width, 3), np.uint8)
    pixels[-3:-1, -3:-1] = 255
    part = best_crop(pixels, aspect)
    assert part.left + part.width <= 1
    assert part.top + part.height <= 1
    assert max(part.width, part.height) == 1
    assert part.width * width / (part.height * height) == pytest.approx(aspect)


def test_what_is_done_is_told_in_order(coffee):
    assert Adjustment(rotate=720).words == ()
    assert adjusted(coffee, Adjustment(rotate=-360)) is coffee
    all_of_it = Adjustment(Part(0.1, 0, 0.5, 1), -7.5, "down", 0.9, 1.2, 0)
    words = ("rotated -7.5 degrees clockwise", "flipped down", "cropped to 0.1,0,0.5,1")
    words += ("brightness 0.9", "contrast 1.2", "saturation 0")
    assert all_of_it.words == words
    before = Picture("coffee", coffee.pixels, notes=("it was cold",))
    done = adjusted(before, all_of_it)
    assert done.name == "coffee"
    assert done.notes == ("it was cold", f"the picture was {', '.join(words)}")
    assert done.adjustments == words


def test_an_automatic_crop_is_told_by_its_place(coffee):
    done = adjusted(coffee, Adjustment(crop="auto"), 1.0)
    assert done.adjustments == (f"cropped to {best_crop(coffee.pixels, 1.0)}",)


def test_crops_by_name():
    assert crop_named(None) is None
    assert crop_named(" Auto ") == "auto"
    assert crop_named("0.1, 0.2,.3,0.4") == Part(0.1, 0.2, 0.3, 0.4)


@pytest.mark.parametrize("tone", ["brightness", "contrast", "saturation"])
def test_tones_from_none_to_tenfold(tone):
    assert getattr(Adjustment(**{tone: 0}), tone) == 0
    assert getattr(Adjustment(**{tone: 10}), tone) == 10
    for factor in (-0.01, 10.01):
        with pytest.raises(SizeError, match=f"the {tone} must be 0 to 10, not {factor}"):
            Adjustment(**{tone: factor})


@pytest.mark.parametrize(
    ("crop", "rows", "columns"),
    [
        (Part(0.26, 0.24, 0.25, 0.5), slice(2, 7), slice(3, 5)),
        # At least one pixel, also at the far end.
        (Part(0.999, 0.999, 0.001, 0.001), slice(9, 10), slice(9, 10)),
        (Part(0, 0.5, 0.01, 0.01), slice(5, 6), slice(0, 1)),
    ],
)
def test_a_crop_takes_the_nearest_whole_pixels(crop, rows, columns):
    pixels = np.arange(300, dtype=np.uint32).reshape(10, 10, 3).astype(np.uint8)
    done = adjusted(Picture("ramp", pixels), Adjustment(crop=crop))
    np.testing.assert_array_equal(done.pixels, pixels[rows, columns])


@pytest.mark.parametrize("aspect", [0.3, 0.7, 1.2, 3.0, 6.0])
@pytest.mark.parametrize(
    "photograph", [data.astronaut()[:300, :500], data.coffee()[:, 100:400]], ids=["wide", "high"]
)
def test_no_place_keeps_more_edges(photograph, aspect):
    """Every place of the crop is tried, with the edges of scikit-image in its own L*."""
    edges = canny(color.rgb2lab(photograph)[..., 0], 2, 5, 15)
    height, width = edges.shape
    part = best_crop(photograph, aspect)
    if part.height == 1:
        place, span, along = part.left * width, round(part.width * width), edges.sum(axis=0)
    else:
        place, span, along = part.top * height, round(part.height * height), edges.sum(axis=1)
    kept = [along[start : start + span].sum() for start in range(len(along) - span + 1)]
    assert kept[round(place)] == max(kept)
    assert part.width * width / (part.height * height) == pytest.approx(aspect)


def test_grain_is_no_edge_in_a_large_picture():
    """In a picture looked at in a quarter of its size noise averages out, and lines of eight pixels stay."""
    pixels = np.full((1024, 2048, 3), 128)
    pixels[:, :1024] += np.random.default_rng(6).integers(-70, 71, (1024, 1024, 1))
    pixels[200:800, 1700:1900] += 40 * (np.arange(200) // 10 % 2)[None, :, None]
    assert best_crop(pixels.astype(np.uint8), 1.0).left == pytest.approx(0.41, abs=0.09)


@pytest.mark.parametrize(
    ("width", "height", "degrees", "shape"),
    [
        # A square of side s: s / (sin + cos), as all corners of the largest lie on its sides.
        (100, 100, 30, (71, 71)),
        (100, 100, 120, (71, 71)),
        # A strip of height h, whose middle line two corners lie on: h / 2 sin wide and h / 2 cos high.
        (300, 40, 40, (24, 29)),
        (40, 300, 40, (29, 24)),
        (300, 40, 50, (29, 24)),
        (300, 40, 80, (113, 18)),
    ],
)
def test_a_turned_picture_loses_one_pixel_a_side(width, height, degrees, shape):
    white = Picture("white", np.full((height, width, 3), 255, np.uint8))
    assert adjusted(white, Adjustment(rotate=degrees)).pixels.shape == (*shape, 3)
