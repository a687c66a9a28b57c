import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from convert.drawing import style
from convert.drawing.raster import coverage
from convert.drawing.symbols import PLAIN, choose_symbols, similarity, symbols


def drawn(symbol, side_px, shift=(0.0, 0.0)):
    size = int(side_px) + 6
    middle = np.array(shift) + size / 2
    return coverage([np.array(polygon) * side_px + middle for polygon in symbol], (size, size))


def test_there_are_enough_and_they_stay_in_their_square():
    assert PLAIN >= 50
    assert len(symbols()) >= 250
    corners = np.concatenate([np.array(polygon) for symbol in symbols() for polygon in symbol])
    assert np.abs(corners).max() <= 0.55


def test_no_two_look_alike():
    alike = similarity() - np.eye(len(symbols()))
    assert alike[:PLAIN, :PLAIN].max() < 0.8
    assert alike.max() < 0.9


@pytest.mark.parametrize("shift", [(0.0, 0.0), (0.5, 0.25)], ids=["on the pixel", "off the pixel"])
def test_each_is_told_from_all_others_at_5_points_and_300_dots(shift):
    """Draw each at its least size, pixels out of place and noisy, and compare it with every symbol."""
    side = style.LEAST_SYMBOL_PT * style.SYMBOL_EM / 72 * style.DOTS_PER_INCH
    masters = np.stack([drawn(symbol, side).ravel() for symbol in symbols()])
    masters -= masters.mean(axis=1, keepdims=True)
    masters /= np.linalg.norm(masters, axis=1, keepdims=True)
    noise = np.random.default_rng(5).normal(0, 0.1, (len(symbols()), masters.shape[1]))
    seen = np.stack([drawn(symbol, side, shift).ravel() for symbol in symbols()]) + noise
    seen -= seen.mean(axis=1, keepdims=True)
    np.testing.assert_array_equal((seen @ masters.T).argmax(axis=1), np.arange(len(symbols())))


def touching(seed, colours):
    pairs = np.random.default_rng(seed).exponential(20, (colours, colours)) ** 2
    return (pairs + pairs.T).astype(np.int64)


def clash(beside, chosen):
    weights = beside * (1 - np.eye(len(chosen)))
    return (weights * similarity()[np.ix_(chosen, chosen)] ** 2).sum()


@settings(max_examples=20, deadline=None, derandomize=True)
@given(seed=st.integers(0, 999), colours=st.integers(2, 45))
def test_neighbours_get_less_alike_symbols_than_by_the_list(seed, colours):
    beside = touching(seed, colours)
    counts = beside.sum(axis=1).tolist()
    chosen = choose_symbols(beside, counts)
    assert len(set(chosen)) == colours
    assert max(chosen) < PLAIN
    draws = np.random.default_rng(seed).permuted(np.tile(np.arange(PLAIN), (20, 1)), axis=1)[:, :colours]
    assert clash(beside, chosen) < np.median([clash(beside, draw) for draw in draws])


def test_colours_beyond_the_symbols_share_them_evenly():
    colours = len(symbols()) + 20
    chosen = choose_symbols(touching(1, colours), list(range(colours)))
    uses = np.bincount(chosen, minlength=len(symbols()))
    assert uses.min() == 1
    assert uses.max() == 2


def test_a_single_colour_gets_a_plain_symbol():
    assert choose_symbols(np.zeros((1, 1), np.int64), [6])[0] < PLAIN
