"""A photograph made smaller is the mean of the light of its pixels, block by block."""

import numpy as np
import pytest

from convert.colour.srgb import decode
from convert.picture.model import Picture
from convert.shelf.photograph import coarse, photograph_of


def block_by_block(values, step, reduce):
    rows, columns = max(1, values.shape[0] // step), max(1, values.shape[1] // step)
    return np.array(
        [
            [
                reduce(
                    values[row * step : (row + 1) * step, column * step : (column + 1) * step], axis=(0, 1)
                )
                for column in range(columns)
            ]
            for row in range(rows)
        ]
    )


@pytest.mark.parametrize(
    ("shape", "most", "step"),
    [
        ((1001, 901), 100_500, 3),
        ((1, 9), 1, 3),
        ((9, 1), 1, 3),
        ((6, 6), 36, 1),
        ((6, 6), 35, 2),
        ((5, 7), 9, 2),
    ],
)
def test_light_and_burns_are_those_of_the_blocks(shape, most, step):
    generator = np.random.default_rng(1)
    pixels = generator.integers(0, 256, (*shape, 3)).astype(np.uint8)
    pixels[generator.random(shape) < 0.9] = 100
    alpha = generator.integers(0, 256, shape).astype(np.uint8)
    photograph = photograph_of(Picture("it", pixels, alpha, notes=("read so",)), most)
    light = decode(pixels) * (alpha / 255)[..., None]
    assert photograph.light == pytest.approx(block_by_block(light, step, np.mean), abs=1e-5)
    burnt = block_by_block((pixels >= 253).any(axis=2)[..., None], step, np.any)[..., 0]
    assert (photograph.burnt == burnt).all()
    assert photograph.notes == ("read so",)


def test_light_is_reduced_further_by_blocks():
    light = np.random.default_rng(2).random((10, 13, 3)).astype(np.float32)
    reduced, step = coarse(light, 20)
    assert (step, reduced.shape) == (3, (3, 4, 3))
    assert reduced == pytest.approx(block_by_block(light[:9, :12], 3, np.mean), abs=1e-6)
    assert coarse(light, 130)[1] == 1
    assert coarse(light, 129)[1] == 2
    assert coarse(light[:2], 1)[1] == 2


def test_two_million_pixels_are_kept_as_they_are():
    kept = photograph_of(Picture("it", np.zeros((1000, 2000, 3), np.uint8)))
    assert kept.light.shape == (1000, 2000, 3)
    # One pixel more.
    reduced = photograph_of(Picture("it", np.zeros((3, 666_667, 3), np.uint8)))
    assert reduced.light.shape == (1, 333_333, 3)
