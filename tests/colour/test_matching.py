import numpy as np
import pytest
from scipy.spatial.distance import cdist
from skimage import data
from skimage.color import deltaE_ciede2000

from convert.colour.ciede2000 import ciede2000
from convert.colour.distances import DISTANCES, Distance, distance_named
from convert.colour.lab import srgb_to_lab
from convert.colour.matching import merge_equal, nearest


def draws(seed, count, low=0, high=256):
    return np.random.default_rng(seed).integers(low, high, (count, 3), dtype=np.uint8)


def near_grey(seed, count):
    """Colours within a few steps of grey, where hue and the chroma terms turn fastest."""
    draw = np.random.default_rng(seed)
    grey = draw.integers(0, 256, (count, 1))
    return np.clip(grey + draw.integers(-3, 4, (count, 3)), 0, 255).astype(np.uint8)


PICTURES = {
    "astronaut": data.astronaut()[::6, ::6].reshape(-1, 3),
    "coffee": data.coffee()[::6, ::6].reshape(-1, 3),
    "noise": draws(1, 6000),
    "greys": near_grey(2, 4000),
    "one red": draws(3, 3000, 0, 8) + np.array([200, 0, 0], dtype=np.uint8),
    "one bead": draws(4, 1),
}
PALETTES = {"300": draws(5, 300), "greys": near_grey(6, 200), "2": draws(7, 2), "1": draws(8, 1)}


@pytest.mark.parametrize("palette", PALETTES)
@pytest.mark.parametrize("picture", PICTURES)
def test_equals_all_pairs_of_scikit_image_and_of_the_formula(picture, palette):
    lab, palette_lab = srgb_to_lab(PICTURES[picture]), srgb_to_lab(PALETTES[palette])
    index, distance = nearest(lab, palette_lab)
    assert index.dtype == np.int32
    parts = np.array_split(np.arange(len(lab)), 20)
    theirs = np.concatenate(
        [deltaE_ciede2000(lab[part, None], palette_lab[None]).min(axis=1) for part in parts]
    )
    np.testing.assert_allclose(distance, theirs, rtol=0, atol=1e-9)
    # Ties are those of one formula: another one rounds them differently.
    ours = np.concatenate([ciede2000(lab[part, None], palette_lab).argmin(axis=1) for part in parts])
    np.testing.assert_array_equal(index, ours)


@pytest.mark.parametrize("distance", DISTANCES)
def test_of_equally_near_colours_takes_the_first(distance):
    lab, palette_lab = srgb_to_lab(draws(9, 500)), srgb_to_lab(draws(10, 40))
    once = nearest(lab, palette_lab, DISTANCES[distance])
    twice = nearest(lab, np.concatenate([palette_lab, palette_lab[::-1]]), DISTANCES[distance])
    np.testing.assert_array_equal(twice[0], once[0])
    backwards = nearest(lab, np.concatenate([palette_lab[::-1], palette_lab]), DISTANCES[distance])
    np.testing.assert_array_equal(backwards[0], 39 - once[0])


@pytest.mark.parametrize("distance", DISTANCES)
def test_every_distance_gives_its_own_nearest(distance):
    lab, palette_lab = srgb_to_lab(draws(11, 700)), srgb_to_lab(draws(12, 60))
    table = DISTANCES[distance](lab[:, None], palette_lab)
    index, least = nearest(lab, palette_lab, DISTANCES[distance])
    np.testing.assert_array_equal(index, table.argmin(axis=1))
    np.testing.assert_allclose(least, table.min(axis=1), rtol=0, atol=1e-12)


@pytest.mark.parametrize("lightness", [0.3, 0.7, 1.4, 2.5, 5])
def test_the_bounded_search_knows_the_weight_of_lightness(lightness):
    """All pairs by scikit-image, which has the same factor as k_L."""
    lab, palette_lab = srgb_to_lab(draws(15, 4000)), srgb_to_lab(draws(16, 200))
    table = deltaE_ciede2000(lab[:, None], palette_lab[None], kL=1 / lightness)
    index, least = nearest(lab, palette_lab, distance_named("ciede2000", lightness))
    np.testing.assert_allclose(table[np.arange(len(lab)), index], table.min(axis=1), rtol=0, atol=1e-9)
    np.testing.assert_allclose(least, table.min(axis=1), rtol=0, atol=1e-9)
    usual, _ = nearest(lab, palette_lab)
    assert (index != usual).mean() > 0.05


def test_cie76_is_the_plain_euclidean_distance():
    lab, palette_lab = srgb_to_lab(draws(13, 700)), srgb_to_lab(draws(14, 60))
    index, _ = nearest(lab, palette_lab, DISTANCES["cie76"])
    np.testing.assert_array_equal(index, cdist(lab, palette_lab).argmin(axis=1))


@pytest.mark.parametrize("distance", DISTANCES)
def test_more_beads_than_are_compared_at_a_time(distance):
    lab, palette_lab = srgb_to_lab(draws(17, 3)), srgb_to_lab(draws(18, 20_000))
    index, _ = nearest(lab, palette_lab, DISTANCES[distance])
    np.testing.assert_array_equal(index, DISTANCES[distance](lab[:, None], palette_lab).argmin(axis=1))


def test_no_colours_need_no_match():
    index, distance = nearest(np.empty((0, 3)), srgb_to_lab(draws(15, 3)))
    assert len(index) == len(distance) == 0


def test_equal_colours_are_merged_and_come_back():
    lab = srgb_to_lab(np.repeat(draws(16, 300, 0, 16), 7, axis=0)[np.random.default_rng(0).permutation(2100)])
    distinct, inverse = merge_equal(lab)
    np.testing.assert_array_equal(distinct[inverse], lab)
    assert len(distinct) == len(np.unique(lab, axis=0))


@pytest.mark.parametrize(("picture", "share"), [("coffee", 0.01573), ("noise", 0.04837)])
def test_few_pairs_are_looked_at_closely(picture, share):
    """So much of all pairs of colours and beads: the answer is the same however many, only later."""
    looked_at = []

    def formula(standard, sample):
        difference = ciede2000(standard, sample)
        looked_at.append(difference.size)
        return difference

    lab, palette_lab = srgb_to_lab(PICTURES[picture]), srgb_to_lab(PALETTES["300"])
    nearest(lab, palette_lab, Distance("ciede2000", formula))
    assert sum(looked_at) / (len(np.unique(lab, axis=0)) * 300) == pytest.approx(share, rel=0.005)
