"""The nearest palette colour of each colour."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from convert.colour.ciede2000 import ciede2000

_CHUNK_PAIRS = 40_000


def nearest(
    lab: ArrayLike, palette_lab: ArrayLike, distance: str = "ciede2000"
) -> tuple[NDArray[np.int32], NDArray[np.float64]]:
    """Return the nearest palette colour of each colour; of equals the first in the palette.

    Parameters
    ----------
    lab : array of shape (N, 3)
    palette_lab : array of shape (K, 3), K >= 1
    distance : {"ciede2000"}

    Returns
    -------
    index : ndarray of shape (N,), int32
    distance : ndarray of shape (N,), float64
    """
    if distance != "ciede2000":
        raise ValueError(distance)
    lab, palette_lab = np.asarray(lab, dtype=np.float64), np.asarray(palette_lab, dtype=np.float64)
    index = np.empty(len(lab), dtype=np.int32)
    least = np.empty(len(lab))
    rows = max(1, _CHUNK_PAIRS // len(palette_lab))
    for start in range(0, len(lab), rows):
        chunk = slice(start, start + rows)
        table = ciede2000(lab[chunk, np.newaxis], palette_lab)
        index[chunk] = table.argmin(axis=1)
        least[chunk] = table.min(axis=1)
    return index, least
