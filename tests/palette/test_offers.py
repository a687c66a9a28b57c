import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import linear_to_lab
from convert.palette.offers import Mixture, mixture, offers

GREYS = np.array([[20.0, 0, 0], [40, 0, 0], [60, 0, 0], [80, 0, 0]])
ALL = np.arange(4, dtype=np.int32)


def entries_of(found):
    return [offer.entry for offer in found]


def test_nearest_first():
    found = offers(np.array([57.0, 0, 0]), GREYS, ALL, [None] * 4, 2)
    assert entries_of(found) == [2, 1]
    assert found[0].difference == pytest.approx(ciede2000([57.0, 0, 0], GREYS[2]))


def test_better_ones_out_of_stock_are_shown_besides():
    found = offers(np.array([57.0, 0, 0]), GREYS, ALL, [5, 100, 0, None], 2)
    assert entries_of(found) == [2, 1, 3]
    assert [offer.missing for offer in found] == [True, False, False]


def test_worse_ones_out_of_stock_are_not():
    assert entries_of(offers(np.array([57.0, 0, 0]), GREYS, ALL, [0, 0, 7, 0], 3)) == [2]


def test_with_an_empty_shelf_all_are_shown():
    assert entries_of(offers(np.array([57.0, 0, 0]), GREYS, ALL, [0] * 4, 2)) == [2, 1, 3, 0]


def test_only_entries_of_the_size():
    found = offers(np.array([57.0, 0, 0]), GREYS, np.array([0, 3], np.int32), [None] * 4, 5)
    assert entries_of(found) == [3, 0]


@settings(deadline=None, max_examples=25, derandomize=True)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(1, 6))
def test_no_usable_bead_left_out_is_nearer(seed, count):
    draw = np.random.default_rng(seed)
    palette = draw.uniform([0, -60, -60], [100, 60, 60], (12, 3))
    stock = [[None, 0, 50][kind] for kind in draw.integers(0, 3, 12)]
    wanted = draw.uniform([0, -60, -60], [100, 60, 60])
    found = offers(wanted, palette, np.arange(12, dtype=np.int32), stock, count)
    off = ciede2000(wanted, palette)
    usable = [entry for entry in range(12) if stock[entry] != 0]
    shown = [offer.entry for offer in found if not offer.missing]
    assert shown == sorted(usable, key=lambda entry: off[entry])[:count]
    if shown:
        nearer = {entry for entry in range(12) if stock[entry] == 0 and off[entry] < off[shown[-1]]}
        assert {offer.entry for offer in found if offer.missing} == nearer


def test_grey_lies_between_black_and_white():
    """Half the light of white is halfway between black and white beads."""
    palette = np.array([[0.0, 0, 0], [1, 1, 1], [0.9, 0.1, 0.1]])
    found = mixture(np.full(3, 0.5), palette, np.arange(3, dtype=np.int32))
    assert isinstance(found, Mixture)
    assert {found.first, found.second} == {0, 1}
    assert found.share == pytest.approx(0.5, abs=1e-3)
    assert found.difference == pytest.approx(0, abs=0.01)


def test_nothing_lies_beyond_the_last():
    palette = np.array([[0.1, 0.1, 0.1], [0.5, 0.5, 0.5]])
    assert mixture(np.full(3, 0.8), palette, np.arange(2, dtype=np.int32)) is None
    assert mixture(np.full(3, 0.3), palette, np.array([1], np.int32)) is None


@settings(deadline=None, max_examples=25, derandomize=True)
@given(seed=st.integers(0, 2**32 - 1))
def test_a_mixture_is_nearer_than_its_beads(seed):
    draw = np.random.default_rng(seed)
    palette, wanted = draw.random((15, 3)), draw.random(3)
    found = mixture(wanted, palette, np.arange(15, dtype=np.int32))
    if found is not None:
        mixed = (1 - found.share) * palette[found.first] + found.share * palette[found.second]
        off = ciede2000(linear_to_lab(wanted), linear_to_lab(np.stack([mixed, *palette])))
        assert off[0] == pytest.approx(found.difference)
        assert off[0] < off[1:].min()
