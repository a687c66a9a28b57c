"""Where there is no paper that colours could be read by, it is said, and why."""

import numpy as np
import pytest
from PIL import Image
from skimage import data

from convert.errors import PictureError
from convert.picture.model import Picture
from convert.shelf.ground import find_ground
from convert.shelf.photograph import MOST_PIXELS, coarse, photograph_of


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
