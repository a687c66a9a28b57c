import io
import math

import numpy as np
import pytest
from PIL import Image

from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import srgb_to_lab
from convert.colour.srgb import decode, encode_to_bytes, parse_hex
from convert.drawing.finish import OPAQUE, finish_of, lit, surface
from convert.drawing.piece import draw_piece
from convert.drawing.preview import MOST_PIXELS, draw_preview, preview_dpi, write_preview
from convert.palette.model import BeadColour, Palette
from convert.weave.beads import BeadSize, bead_size
from tests.drawing.patterns import PIECES, pattern

COLOURS = ["#B23B2E", "#2A6FB0", "#3F8F5A", "#D9B44A", "#7A4A8C", "#8A8A8A", "#D8C8B8"]
FINISHES = ["", "matte", "transparent", "metallic", "silver-lined", "rainbow", "matte rainbow", "pearl"]


def piece_of(colour, finish="", rows=2, places=3):
    entries = Palette("shelf", (BeadColour("A1", "", None, colour, (0.0, 0.0, 0.0), finish),))
    return draw_piece(pattern(np.ones((rows, places)), colours=1, entries=entries))


def mean_colour(colour, finish=""):
    """The mean light of the beads of a piece, found by what differs between two backings."""
    piece = piece_of(colour, finish)
    dark, light = (draw_preview(piece, 600, backing)[..., :3] for backing in ((0, 0, 0), (255, 255, 255)))
    own = (dark == light).all(axis=2)
    return encode_to_bytes(decode(dark[own]).mean(axis=0)), own.mean()


@pytest.mark.parametrize("colour", COLOURS)
@pytest.mark.parametrize("finish", ["", "matte", "transparent"])
def test_beads_look_in_the_mean_like_their_colour(colour, finish):
    seen, share = mean_colour(colour, finish)
    assert share > 0.2
    assert ciede2000(srgb_to_lab(seen), srgb_to_lab(np.array(parse_hex(colour), np.uint8))) < 9


def test_each_finish_looks_different():
    pictures = [draw_preview(piece_of("#2A6FB0", finish), 300)[..., :3].astype(float) for finish in FINISHES]
    for i, one in enumerate(pictures):
        for other in pictures[i + 1 :]:
            assert np.abs(one - other).mean() > 0.5


@pytest.mark.parametrize(
    ("words", "field"),
    [
        ("Transparent", "clear"),
        ("galvanised", "metal"),
        ("silver-lined", "lining"),
        ("opaque rainbow", "rainbow"),
    ],
)
def test_words_of_the_trade_are_understood(words, field):
    assert getattr(finish_of(words), field) > 0
    assert getattr(OPAQUE, field) == 0


def test_matte_dulls_whatever_else_is_said():
    assert finish_of("matte transparent").gloss < finish_of("transparent").gloss
    assert finish_of("matte transparent").clear > 0
    assert finish_of("no such word") == OPAQUE


def test_surface_of_a_ball_is_that_of_a_ball():
    """A bead as long as it is wide is a ball (of this outline), whose normal is known."""
    ball = BeadSize("ball", "test", 2.0, 2.0, 0.5, 1.0)
    angle = np.linspace(0, 2 * np.pi, 40, endpoint=False)
    x, y = 0.7 * np.cos(angle), 0.7 * np.sin(angle)
    made = surface(ball, (math.cos(0.4), math.sin(0.4)), x.astype(np.float32), y.astype(np.float32))
    wanted = np.stack([x, y, np.full(40, math.sqrt(1 - 0.49))], axis=1)
    np.testing.assert_allclose(made.normal, wanted, atol=1e-5)


@pytest.mark.parametrize("name", ["11/0", "8/0", "11/0-cylinder"])
def test_normals_are_unit_vectors_that_face_the_eye(name):
    size = bead_size(name)
    x, y = (a.ravel().astype(np.float32) for a in np.meshgrid(np.linspace(-2, 2, 41), np.linspace(-2, 2, 41)))
    normal = surface(size, (0.0, 1.0), x, y).normal
    np.testing.assert_allclose(np.linalg.norm(normal, axis=1), 1, atol=1e-5)
    assert (normal[:, 2] > 0).all()


def test_light_comes_from_the_upper_left():
    x, y = (
        a.ravel().astype(np.float32)
        for a in np.meshgrid(np.linspace(-0.6, 0.6, 21), np.linspace(-0.6, 0.6, 21))
    )
    light = lit(surface(bead_size("11/0"), (1.0, 0.0), x, y), np.full(3, 0.3), OPAQUE).mean(axis=1)
    assert light[x + y < -0.3].mean() > 1.3 * light[x + y > 0.3].mean()


def test_backing_shows_in_the_corners_and_shadows_fall_on_it():
    backing = (120, 160, 150)
    pixels = draw_preview(piece_of("#D8C8B8"), 400, backing)[..., :3]
    assert (pixels[[0, 0, -1, -1], [0, -1, 0, -1]] == backing).all()
    ratio = pixels / np.array(backing)
    shaded = (np.ptp(ratio, axis=2) < 0.02) & (ratio.mean(axis=2) < 0.9)
    assert shaded.mean() > 0.02


def test_white_beads_stand_out_on_white():
    pixels = draw_preview(piece_of("#FFFFFF"), 400)[..., :3]
    assert np.quantile(pixels, 0.02) < 190


@pytest.mark.parametrize("dots_per_inch", [150, 320.0])
def test_is_true_to_size(dots_per_inch):
    piece = draw_piece(PIECES["one size"]())
    picture = Image.open(io.BytesIO(write_preview(piece, dots_per_inch, (255, 255, 255))))
    assert picture.info["dpi"] == pytest.approx((dots_per_inch, dots_per_inch), abs=0.05)
    rows, columns = np.nonzero(
        (np.asarray(picture) < 190).all(axis=2) | (np.ptp(np.asarray(picture), axis=2) > 60)
    )
    left, top, right, bottom = piece.extent_mm
    dots = dots_per_inch / 25.4
    assert np.ptp(columns) / dots == pytest.approx(right - left, abs=0.9)
    assert np.ptp(rows) / dots == pytest.approx(bottom - top, abs=0.9)


def test_stays_within_its_limit_and_says_its_resolution():
    piece = draw_piece(pattern(np.ones((60, 60))))
    dots_per_inch = preview_dpi(piece, 3000)
    assert dots_per_inch < 3000
    pixels = draw_preview(piece, dots_per_inch)
    assert 0.98 * MOST_PIXELS < pixels.shape[0] * pixels.shape[1] < 1.001 * MOST_PIXELS


@pytest.mark.parametrize("name", PIECES)
def test_size_without_a_wish_suits_a_listing(name):
    piece = draw_piece(PIECES[name]())
    height, width = draw_preview(piece, preview_dpi(piece)).shape[:2]
    assert 500 <= max(height, width) <= 2700


def test_same_piece_same_bytes():
    piece = draw_piece(PIECES["15/0 with 11/0, points"]())
    assert write_preview(piece) == write_preview(piece)
