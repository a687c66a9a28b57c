import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from convert.drawing.tiles import tile

LENGTHS = st.floats(5, 600)


@settings(deadline=None, max_examples=60, derandomize=True)
@given(
    st.tuples(LENGTHS, LENGTHS),
    st.tuples(st.floats(80, 200), st.floats(80, 260)),
    st.floats(1, 400),
    st.floats(0.8, 3),
)
def test_parts_fit_the_page_and_share_out_the_piece(span, area, overlap, least):
    extent = (-7.0, 3.0, span[0] - 7.0, span[1] + 3.0)
    tiling = tile(extent, area, overlap, (least, least * 2))
    assert least * 0.999 <= tiling.scale <= least * 2.001
    assert len(tiling.tiles) == tiling.columns * tiling.rows
    assert np.all(np.array(tiling.window_mm) <= np.array(area) * (1 + 1e-6))
    xy = np.random.default_rng(0).uniform(extent[:2], extent[2:], (300, 2))
    held = np.array([part.holds(xy) for part in tiling.tiles])
    assert np.all(held.sum(axis=0) == 1)
    for part, inside in zip(tiling.tiles, held, strict=True):
        assert np.all(xy[inside] >= np.array(part.window[:2]) - 1e-6)
        assert np.all(xy[inside] <= np.array(part.window[2:]) + 1e-6)


def test_neighbouring_parts_share_the_overlap_and_no_part_is_needless():
    tiling = tile((0.0, 0.0, 300.0, 100.0), (130.0, 100.0), 10.0, (1.0, 5.0))
    assert (tiling.columns, tiling.rows) == (3, 1)
    assert tiling.scale == 1.0
    first, second, third = tiling.tiles
    assert np.isclose(first.window[2] - second.window[0], 10.0)
    assert first.own[2] == second.own[0]
    assert np.isclose(third.window[2], 300.0)


def test_one_page_is_filled_as_far_as_the_greatest_scale_allows():
    assert tile((0.0, 0.0, 50.0, 20.0), (150.0, 200.0), 5.0, (1.0, 10.0)).scale == 3.0
    assert tile((0.0, 0.0, 50.0, 20.0), (150.0, 200.0), 5.0, (1.0, 2.0)).scale == 2.0


def test_a_cut_moves_between_rows_where_one_is_near():
    rows = np.array([20.0, 58.0, 63.0, 90.0])
    tiling = tile((0.0, 0.0, 100.0, 120.0), (100.0, 65.0), 10.0, (1.0, 1.0), (np.empty(0), rows))
    assert tiling.tiles[0].own[3] == tiling.tiles[1].own[1] == 58.0
    far = tile((0.0, 0.0, 100.0, 120.0), (100.0, 65.0), 10.0, (1.0, 1.0), (np.empty(0), rows + 50))
    assert np.isclose(far.tiles[0].own[3], 60.0)


@pytest.mark.parametrize(("row", "cut"), [(57.6, 57.6), (57.4, 60.0), (62.4, 62.4), (62.6, 60.0)])
def test_a_cut_moves_by_at_most_a_quarter_of_the_overlap(row, cut):
    rows = np.array([row])
    tiling = tile((0.0, 0.0, 100.0, 120.0), (100.0, 65.0), 10.0, (1.0, 1.0), (np.empty(0), rows))
    assert [part.own[3] for part in tiling.tiles] == pytest.approx([cut, np.inf])
