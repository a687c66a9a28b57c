import numpy as np

from convert.weave.boxes import box, boxes


def test_boxes_are_those_of_numpy():
    polygons = np.random.default_rng(2).normal(size=(50, 5, 2))
    low, high = boxes(polygons)
    assert np.array_equal(low, polygons.min(axis=1))
    assert np.array_equal(high, polygons.max(axis=1))
    low, high = box(polygons)
    assert np.array_equal(low, polygons.reshape(-1, 2).min(axis=0))
    assert np.array_equal(high, polygons.reshape(-1, 2).max(axis=0))
