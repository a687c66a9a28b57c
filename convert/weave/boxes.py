"""Boxes about polygons and points; by comparing whole columns, several times faster than numpy's axes."""

from functools import reduce

import numpy as np

from convert.weave.model import FloatArray


def boxes(polygons: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the least and the greatest coordinates of each polygon, both of shape (N, 2).

    Parameters
    ----------
    polygons : ndarray of shape (N, K, 2)
        Corners.
    """
    corners = np.moveaxis(polygons, 1, 0)
    return reduce(np.minimum, corners), reduce(np.maximum, corners)


def box(points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the least and the greatest coordinates of points of shape (..., 2), both of shape (2,)."""
    axes = points[..., 0], points[..., 1]
    return np.array([axis.min() for axis in axes]), np.array([axis.max() for axis in axes])
