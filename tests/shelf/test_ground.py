"""Where there is no paper that colours could be read by, it is said, and why."""

import numpy as np
import pytest
from PIL import Image
from skimage import data

from convert.colour.lab import lab_to_linear
from convert.errors import PictureError
from convert.picture.model import Picture
from convert.shelf.ground import find_ground
from convert.shelf.photograph import MOST_PIXELS, Photograph, coarse, photograph_of


def photograph(pixels):
    return photograph_of(Picture("it", np.ascontiguousarray(pixels, np.uint8)))


@pytest.mark.parametrize("name", ["chelsea", "coffee", "astronaut", "rocket", "moon", "grass", "page"])
def test_photographs_of_other_things_are_refused(name):
    """The pictures that come with scikit-image: a cat, a cup, people, a sky, stone, grass, a printed page."""
    pixels = np.asarray(Image.fromarray(getattr(data, name)()).convert("RGB"))
    with pytest.raises(PictureError, match="no plain paper found") as error:
        find_ground(photograph(pixels))
    assert "white paper" in error.value.hint


@pytest.mark.parametrize("level", [0, 40])
def test_darkness_is_no_paper(level):
    with pytest.raises(PictureError, match="no plain paper found"):
        find_ground(photograph(np.full((200, 300, 3), level)))


def test_burnt_paper_is_told(photographed):
    shown = photographed(exposure=1.6)
    with pytest.raises(PictureError, match="the paper is burnt out") as error:
        find_ground(photograph(shown.pixels))
    assert "expose darker" in error.value.hint


def test_a_burnt_corner_does_no_harm(photographed):
    shown = photographed(exposure=1.15, gradient=(0.25, 0.2), fall_off=0.0)
    assert (shown.pixels.max(axis=2) > 253).mean() > 0.02
    ground = find_ground(photograph(shown.pixels))
    light = ground.paper_light(shown.pixels.shape[:2])
    assert light[5, 5] == pytest.approx(photograph(shown.pixels).light[5:9, 5:9].mean(axis=(0, 1)), rel=0.05)


def test_light_is_followed_over_the_paper(photographed):
    shown = photographed(gradient=(0.15, -0.1), fall_off=0.2)
    seen = photograph(shown.pixels)
    flat = seen.light / find_ground(seen).paper_light(seen.light.shape[:2])
    for part in (np.s_[:20, :20], np.s_[:20, -20:], np.s_[-20:, :20], np.s_[-20:, -20:]):
        assert flat[part].mean() == pytest.approx(1, abs=0.05)


def test_large_photographs_are_reduced_in_linear_light():
    pixels = np.zeros((2000, 1200, 3), np.uint8)
    pixels[::2] = 255
    reduced = photograph(pixels)
    assert reduced.light.shape[0] * reduced.light.shape[1] <= MOST_PIXELS
    assert reduced.light == pytest.approx(0.5)
    assert reduced.burnt.all()


def test_what_is_transparent_is_dark():
    picture = Picture("it", np.full((4, 4, 3), 255, np.uint8), np.eye(4, dtype=np.uint8) * 255)
    assert photograph_of(picture).light[..., 0] == pytest.approx(np.eye(4))


@pytest.mark.parametrize("shape", [(1, 1), (1, 5000), (5000, 1), (3, 2), (701, 997)])
def test_any_shape_is_reduced(shape):
    light, step = coarse(np.ones((*shape, 3), np.float32), 1000)
    assert light.shape[0] == shape[0] // step
    assert light.min() == light.max() == 1


SIDE = 200


def seen(light, burnt=None):
    """Return a photograph of grey light, shape (H, W), as it is."""
    colours = np.repeat(np.asarray(light, np.float32)[..., None], 3, axis=2)
    return Photograph("it", colours, np.zeros(light.shape, bool) if burnt is None else burnt)


def is_ground(light, burnt=None):
    try:
        find_ground(seen(light, burnt))
    except PictureError as error:
        assert "no plain paper" in str(error)
        return False
    return True


def of_lightness(lightness):
    lightness = np.asarray(lightness, float)
    return lab_to_linear(np.stack([lightness, lightness * 0, lightness * 0], axis=-1))[..., 0]


def clutter(low, high):
    """Return light that is plain nowhere."""
    return np.random.default_rng(1).uniform(low, high, (SIDE, SIDE))


def spots(share):
    """Return a pattern of small squares that take a share of a square picture."""
    side = round(20 * np.sqrt(share))
    tile = np.zeros((20, 20), bool)
    tile[:side, :side] = True
    return np.tile(tile, (SIDE // 20, SIDE // 20))


@pytest.mark.parametrize(("lightness", "good"), [(44.5, False), (45.5, True)])
def test_paper_is_light(lightness, good):
    assert is_ground(of_lightness(np.full((SIDE, SIDE), lightness))) == good


@pytest.mark.parametrize(("share", "good"), [(0.12, False), (0.14, True)])
def test_paper_takes_an_eighth_of_the_photograph(share, good):
    """A pixel along its edge is not plain."""
    light = clutter(0.05, 0.3)
    light[: round(share * SIDE)] = 0.6
    assert is_ground(light) == good


@pytest.mark.parametrize(("slope", "good"), [(0.78, True), (0.82, False)])
def test_light_falls_gently_over_paper(slope, good):
    across = 50 + slope * np.arange(50)
    assert is_ground(of_lightness(np.tile(across, (200, 1)))) == good


@pytest.mark.parametrize(("jump", "good"), [(2.55, True), (2.75, False)])
def test_a_step_in_lightness_parts_paper(jump, good):
    """The steepest place of a step blurred by 1.3 pixels: 0.8 is some 2.65 / (1.3 sqrt(2 pi))."""
    light = np.full((SIDE, SIDE), 70.0)
    # Stripes of a tenth: apart, each is too small to be paper.
    light[:, np.arange(SIDE) // 20 % 2 == 1] += jump
    assert is_ground(of_lightness(light)) == good


@pytest.mark.parametrize(
    ("share", "factor", "good"), [(0.12, 1.2, False), (0.085, 1.2, True), (0.3, 1.13, True)]
)
def test_nothing_large_is_lighter_than_paper(share, factor, good):
    light = np.full((SIDE, SIDE), 0.4)
    generator = np.random.default_rng(2)
    high = round(share * SIDE)
    # Grain, so that it is not taken for paper itself.
    light[:high] = 0.4 * factor * generator.choice([1, 0.2 if factor < 1.15 else 1.8], (high, SIDE))
    assert is_ground(light) == good


@pytest.mark.parametrize(("share", "good"), [(0.30, True), (0.36, False)])
def test_a_third_of_the_paper_may_be_burnt(share, good):
    burnt = np.zeros((SIDE, SIDE), bool)
    burnt[:, : round(share * SIDE)] = True
    light = np.full((SIDE, SIDE), 0.9)
    if good:
        ground = find_ground(seen(light, burnt))
        assert ground.sheet.all()
    else:
        with pytest.raises(PictureError, match="burnt out"):
            find_ground(seen(light, burnt))


@pytest.mark.parametrize(("apart", "good"), [(0.07, True), (0.078, False)])
def test_a_patterned_ground_is_no_paper(apart, good):
    """A fifth of it in spots: the surface goes through a mean that is a fifth of the way from the rest."""
    assert is_ground(0.25 * np.exp(-apart * spots(0.2))) == good


@pytest.mark.parametrize(("share", "good"), [(0.125, True), (0.16, False)])
def test_shadows_take_little_of_the_paper(share, good):
    assert is_ground(0.2 * np.exp(-0.09 * spots(share))) == good


@pytest.mark.parametrize(("shape", "counts"), [((9, 10), True), ((7, 10), False)])
def test_pieces_of_paper_that_are_shut_off_belong_to_the_sheet(shape, counts):
    light = np.full((400, 400), 0.1)
    light[:, :200] = 0.6
    light[200 : 200 + shape[0], 380 : 380 + shape[1]] = 0.6
    assert find_ground(seen(light)).sheet[203, 383] == counts


def test_light_of_paper_is_told_by_place():
    """A surface of second degree in each channel is found as it is."""
    y, x = np.mgrid[-1:1:121j, -1:1:161j]
    logs = [
        -0.5 + a * x + b * y - 0.1 * x * x + c * x * y - 0.05 * y * y
        for a, b, c in [(0.1, 0, 0.02), (0, -0.1, 0), (0.05, 0.05, 0.04)]
    ]
    light = np.exp(np.stack(logs, axis=-1)).astype(np.float32)
    ground = find_ground(Photograph("it", light, np.zeros((121, 161), bool)))
    assert ground.paper_light((121, 161)) == pytest.approx(light, rel=2e-3)
    assert ground.paper_light((61, 81)) == pytest.approx(light[::2, ::2], rel=4e-3)


def test_heaps_do_not_bend_the_light_of_paper():
    light = np.full((SIDE, SIDE), 0.6)
    light[20:60, 20:60] = 0.1
    light[100:180, 30:90] = 0.05
    paper = find_ground(seen(light)).paper_light((SIDE, SIDE))
    assert paper == pytest.approx(0.6, rel=1e-4)


def test_large_photographs_are_looked_through_in_a_coarse_raster():
    assert find_ground(seen(np.full((500, 800), 0.6))).sheet.shape == (500, 800)
    ground = find_ground(seen(np.full((501, 800), 0.6)))
    assert ground.sheet.shape == (250, 400)
    burnt = np.zeros((501, 800), bool)
    burnt[:, :200] = True
    # As light as paper can be, it belongs to the sheet.
    assert find_ground(seen(np.full((501, 800), 0.6), burnt)).sheet.all()
