import itertools

import numpy as np
import pytest
from skimage.color import deltaE_ciede2000

from convert.colour.ciede2000 import ciede2000
from convert.colour.deficiency import DEFICIENCIES
from convert.colour.lab import lab_to_linear, linear_to_lab, srgb_to_lab
from convert.colour.likeness import ALIKE, alike_pairs, alike_with


@pytest.mark.parametrize("seed", range(3))
def test_pairs_are_those_of_skimage(seed):
    lab = np.random.default_rng(seed).normal([60, 0, 0], [6, 5, 5], (60, 3))
    pairs, difference = alike_pairs(lab)
    expected = {
        pair: deltaE_ciede2000(lab[pair[0]], lab[pair[1]])
        for pair in itertools.combinations(range(60), 2)
        if deltaE_ciede2000(lab[pair[0]], lab[pair[1]]) < ALIKE
    }
    assert {tuple(pair) for pair in pairs.tolist()} == set(expected)
    assert difference == pytest.approx([expected[tuple(pair)] for pair in pairs.tolist()])
    assert (np.diff(difference) >= 0).all()


def test_many_colours_are_compared_in_parts():
    """Copies of one colour and crowds of near ones, more pairs than are compared at a time."""
    draw = np.random.default_rng(5)
    lab = np.concatenate([np.full((40, 3), 30.0), draw.normal([50, 0, 0], [20, 8, 8], (700, 3))])
    pairs, difference = alike_pairs(lab)
    first, second = np.triu_indices(len(lab), 1)
    all_pairs = deltaE_ciede2000(lab[first], lab[second])
    assert len(pairs) == (all_pairs < ALIKE).sum()
    assert difference == pytest.approx(np.sort(all_pairs)[: len(pairs)], abs=1e-9)


def test_the_range_of_lightness_is_wide_enough():
    """S_L is nowhere above the bound: black and near-black greys just below the limit are found."""
    for grey in (0.0, 96.6):
        lab = np.array([[grey, 0, 0], [grey + 3.37, 0, 0]])
        assert (len(alike_pairs(lab)[0]) == 1) == (deltaE_ciede2000(lab[0], lab[1]) < ALIKE)


def test_no_pair_in_few_colours():
    assert len(alike_pairs(np.array([[50.0, 0, 0]]))[0]) == 0


def hues(count=180, lightness=60.0, chroma=30.0):
    angle = np.linspace(0, 2 * np.pi, count, endpoint=False)
    return np.stack([np.full(count, lightness), chroma * np.cos(angle), chroma * np.sin(angle)], axis=1)


@pytest.mark.parametrize("deficiency", list(DEFICIENCIES))
def test_a_deficiency_makes_more_hues_alike(deficiency):
    """On a circle of 180 hues, neighbours are alike for all; a deficiency reaches twice as far or more."""
    lab = hues()
    everybody, _ = alike_pairs(lab)
    pairs, difference = alike_with(lab, deficiency)
    assert (difference < ALIKE).all()
    assert not {tuple(pair) for pair in pairs.tolist()} & {tuple(pair) for pair in everybody.tolist()}

    def turned(which):
        turn = np.abs(which[:, 0] - which[:, 1])
        return np.minimum(turn, 180 - turn) * 2

    assert turned(everybody).max() < 15
    assert turned(pairs).max() > 30


def test_greys_are_alike_for_nobody():
    greys = srgb_to_lab(np.repeat(np.arange(0, 256, 32, dtype=np.uint8)[:, None], 3, axis=1))
    for deficiency in DEFICIENCIES:
        assert len(alike_with(greys, deficiency)[0]) == 0


def test_colours_outside_of_srgb_are_seen_as_the_nearest_inside():
    """A bead may be brighter than a screen; channel by channel it counts as the screen shows it."""
    bright = np.array([78.0, 60.0, 90.0])
    assert lab_to_linear(bright).max() > 1.2
    shown = linear_to_lab(np.clip(lab_to_linear(bright), 0, 1))
    lab = np.stack([bright, shown])
    assert deltaE_ciede2000(*lab) > ALIKE
    for deficiency in DEFICIENCIES:
        pairs, difference = alike_with(lab, deficiency)
        assert pairs.tolist() == [[0, 1]]
        assert difference[0] == pytest.approx(0, abs=1e-6)


def test_pairs_at_the_limit_for_everybody_are_told():
    """Those that differ by less for everybody are told elsewhere; at the limit a pair is no longer one."""
    lab = hues()
    pairs, _ = alike_with(lab, "deuteranopia", 4.0)
    for pair in pairs[:5]:
        two = lab[pair]
        limit = float(ciede2000(two[:1], two[1:])[0])
        assert len(alike_with(two, "deuteranopia", limit)[0]) == 1
        assert len(alike_with(two, "deuteranopia", limit * 1.0001)[0]) == 0
