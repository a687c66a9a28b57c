"""Antialiased coverage of polygons, the one place where outlines become pixels."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike, NDArray
from PIL import Image, ImageDraw

SUPERSAMPLE = 8


def coverage(polygons: Iterable[ArrayLike], shape: tuple[int, int]) -> NDArray[np.float32]:
    """Return the share of each pixel that polygons cover under the even-odd rule, shape `shape`, from 0 to 1.

    Parameters
    ----------
    polygons : iterable of array of shape (N, 2)
        Corners x, y in pixels, y down, pixel (r, c) covering [c, c + 1] x [r, r + 1].
    shape : tuple of int
        Rows and columns.
    """
    rows, columns = shape
    filled = np.zeros((rows * SUPERSAMPLE, columns * SUPERSAMPLE), bool)
    for polygon in polygons:
        # Pillow puts whole numbers on pixel centres.
        corners = np.asarray(polygon, float) * SUPERSAMPLE - 0.5
        mask = Image.new("L", (filled.shape[1], filled.shape[0]))
        ImageDraw.Draw(mask).polygon([tuple(corner) for corner in corners.tolist()], fill=1)
        filled ^= np.asarray(mask, bool)
    # Summed in bytes, down and then across: many times as quick as a mean over both at once.
    down = filled.view(np.uint8).reshape(rows, SUPERSAMPLE, -1).sum(axis=1, dtype=np.uint8)
    both = down.reshape(rows, columns, SUPERSAMPLE).sum(axis=2, dtype=np.uint8)
    return np.asarray(both / np.float32(SUPERSAMPLE**2), np.float32)
