import numpy as np
import pytest
from skimage import color

from convert.colour.distances import DISTANCES, cie76, cie94, cmc, distance_named
from convert.errors import ConvertError

DRAW = np.random.default_rng(3)
STANDARD = DRAW.uniform([0, -100, -100], [100, 100, 100], (4000, 3))
SAMPLE = np.concatenate([STANDARD[:2000] + DRAW.normal(0, 3, (2000, 3)), DRAW.permutation(STANDARD[2000:])])


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [(cie76, "delta_E_CIE1976"), (cie94, "delta_E_CIE1994"), (cmc, "delta_E_CMC")],
    ids=["cie76", "cie94", "cmc"],
)
def test_equals_colour_science(colour_science, ours, theirs):
    oracle = getattr(colour_science.difference, theirs)
    np.testing.assert_allclose(ours(STANDARD, SAMPLE), oracle(STANDARD, SAMPLE), rtol=0, atol=1e-9)


@pytest.mark.parametrize("name", DISTANCES)
def test_is_nil_between_a_colour_and_itself_and_takes_all_pairs(name):
    table = DISTANCES[name](STANDARD[:30, None], STANDARD[None, :20])
    assert table.shape == (30, 20)
    np.testing.assert_allclose(np.diag(table), 0, atol=1e-6)
    assert (table >= 0).all()


@pytest.mark.parametrize("distance", [cie94, cmc], ids=["cie94", "cmc"])
def test_the_first_colour_is_the_standard(distance):
    grey, vivid = np.array([50.0, 0, 0]), np.array([50.0, 60, 0])
    # A vivid standard forgives a difference in chroma, a grey one does not.
    assert distance(vivid, grey) < distance(grey, vivid)


@pytest.mark.parametrize("lightness", [0.5, 1.3, 2.5])
def test_lightness_weighs_by_the_published_factor(colour_science, lightness):
    """k_L of CIEDE2000 and CIE94 in scikit-image, l of CMC in colour-science, by which it is divided."""
    ours = {name: distance_named(name, lightness)(STANDARD, SAMPLE) for name in ("ciede2000", "cie94", "cmc")}
    theirs = {
        "ciede2000": color.deltaE_ciede2000(STANDARD, SAMPLE, kL=1 / lightness),
        "cie94": color.deltaE_ciede94(STANDARD, SAMPLE, kL=1 / lightness),
        "cmc": colour_science.difference.delta_E_CMC(STANDARD, SAMPLE, l=2 / lightness, c=1),
    }
    for name, difference in theirs.items():
        np.testing.assert_allclose(ours[name], difference, rtol=0, atol=1e-9)


def test_half_the_weight_of_lightness_is_the_ciede2000_of_textiles(colour_science):
    """There k_L is 2, in colour-science's own formula."""
    theirs = colour_science.difference.delta_E_CIE2000(STANDARD, SAMPLE, textiles=True)
    np.testing.assert_allclose(distance_named("ciede2000", 0.5)(STANDARD, SAMPLE), theirs, rtol=0, atol=1e-9)


def test_lightness_as_usual_is_the_plain_distance():
    for name, distance in DISTANCES.items():
        assert distance_named(name, 1.0) is distance


@pytest.mark.parametrize(
    ("name", "lightness", "says"),
    [
        ("ciede2000", 0.0, "--lightness is from 0.2 to 5, not 0"),
        ("ciede2000", -1.0, "not -1"),
        ("ciede2000", 5.5, "not 5.5"),
        ("ciede2000", float("nan"), "not nan"),
        ("ciede2000", float("inf"), "not inf"),
        ("cie76", 1.5, "cie76 weighs lightness in one way only"),
    ],
)
def test_lightness_out_of_range_or_without_a_factor_is_refused(name, lightness, says):
    with pytest.raises(ConvertError, match=says) as caught:
        distance_named(name, lightness)
    assert caught.value.hint


def test_an_unknown_name_is_refused_with_the_names_there_are():
    with pytest.raises(ConvertError, match="'cie31'") as caught:
        distance_named("cie31")
    assert "ciede2000" in caught.value.hint
