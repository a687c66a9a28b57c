import numpy as np
import pytest

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


def test_an_unknown_name_is_refused_with_the_names_there_are():
    with pytest.raises(ConvertError, match="'cie31'") as caught:
        distance_named("cie31")
    assert "ciede2000" in caught.value.hint
