import numpy as np
import pytest
from scipy.cluster.vq import kmeans2
from skimage import data

from convert.colour.lab import linear_to_lab, srgb_to_lab
from convert.colour.main_colours import main_colours
from convert.colour.srgb import decode, encode_to_bytes


def test_flat_areas_come_out_as_they_are():
    flat = np.array([[200, 30, 40], [10, 80, 160], [240, 240, 230]], np.uint8)
    pixels = np.repeat(flat, [100, 700, 200], axis=0)
    colours, shares = main_colours(decode(pixels), 3)
    assert encode_to_bytes(colours).tolist() == flat[[1, 2, 0]].tolist()
    assert shares == pytest.approx([0.7, 0.2, 0.1])


def test_fewer_colours_than_asked_for():
    colours, shares = main_colours(decode(np.tile(np.array([[9, 9, 9]], np.uint8), (50, 1))), 5)
    assert len(colours) == 1
    assert shares.tolist() == [1.0]


@pytest.mark.parametrize("name", ["coffee", "chelsea"])
@pytest.mark.parametrize("count", [4, 8])
def test_as_good_as_the_best_of_ten_starts_of_scipy(name, count):
    """Mean squared distance in CIELAB within 5 % of scipy's kmeans2, which draws its starts by lot."""
    pixels = getattr(data, name)()[::5, ::5].reshape(-1, 3)
    lab = srgb_to_lab(pixels)

    def off(centres):
        return ((lab[:, None] - centres) ** 2).sum(axis=2).min(axis=1).mean()

    best = min(off(kmeans2(lab, count, minit="++", rng=seed)[0]) for seed in range(10))
    colours, shares = main_colours(decode(pixels), count)
    assert off(linear_to_lab(colours)) < 1.05 * best
    assert len(colours) == count
    assert shares.sum() == pytest.approx(1)
    assert (np.diff(shares) <= 0).all()


def test_order_of_the_pixels_does_not_matter():
    pixels = decode(data.coffee()[::10, ::10].reshape(-1, 3))
    shuffled = pixels[np.random.default_rng(1).permutation(len(pixels))]
    for a, b in zip(main_colours(pixels, 6), main_colours(shuffled, 6), strict=True):
        assert a == pytest.approx(b, abs=1e-9)


def test_a_speck_does_not_push_out_a_patch():
    """One pixel of blue is further off than a patch of green, but the patch is missed more."""
    flat = np.array([[120, 120, 120], [120, 150, 110], [60, 60, 220]], np.uint8)
    colours, shares = main_colours(decode(np.repeat(flat, [900, 99, 1], axis=0)), 2)
    assert encode_to_bytes(colours)[1].tolist() == flat[1].tolist()
    assert shares == pytest.approx([0.901, 0.099])


def test_a_single_pixel_is_a_colour_where_there_is_room_for_it():
    flat = np.array([[120, 120, 120], [60, 60, 220]], np.uint8)
    colours, shares = main_colours(decode(np.repeat(flat, [999, 1], axis=0)), 2)
    assert encode_to_bytes(colours).tolist() == flat.tolist()
    assert shares.tolist() == [0.999, 0.001]


@pytest.mark.parametrize("count", [1, 2, 3, 5])
def test_no_more_colours_than_asked_for(count):
    assert len(main_colours(decode(data.coffee()[::10, ::10].reshape(-1, 3)), count)[0]) == count
