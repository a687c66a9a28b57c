"""Antialiased coverage of polygons, the one place where outlines become pixels."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike, NDArray
from PIL import Image, ImageChops, ImageDraw

SUPERSAMPLE = 8


def coverage(polygons: Iterable[ArrayLike], shape: tuple[int, int]) -> NDArray[np.float32]:
    """Return the share of each pixel that polygons cover under the even-odd rule, shape `shape`, from 0 to 1.

    Parameters
    ----------
    polygons : iterable of array of shape (N, 2)
        Corners x, y in pixels, y down, pixel (r, c) covering [c, c + 1] x [r, r + 1].
    shape : tuple of int
        Rows and columns.

    Notes
    -----
    Pillow also fills what an edge touches, so that outlines are 1/16 pixel too large on each side.
    """
    rows, columns = shape
    large = columns * SUPERSAMPLE, rows * SUPERSAMPLE
    filled = Image.new("L", large)
    for number, polygon in enumerate(polygons):
        mask = filled if number == 0 else Image.new("L", large)
        corners = np.asarray(polygon, float) * SUPERSAMPLE
        ImageDraw.Draw(mask).polygon(corners.ravel().tolist(), fill=255)
        if number:
            filled = ImageChops.difference(filled, mask)
    return np.asarray(filled.reduce(SUPERSAMPLE)).astype(np.float32) / np.float32(255)
