"""The colour of each heap: neither its glints nor the gaps between its beads."""

import numpy as np
from numpy.typing import NDArray

from convert.colour.ciede2000 import ciede2000
from convert.shelf.heaps import Found
from convert.shelf.light import Correction
from convert.shelf.photograph import Light

# Of the depth of a heap: its rim lies in its own shadow, or is half paper.
_INNER = 0.25
# Shares of its pixels, from the darkest: those that are gaps, and those that turn away from the light. What
# is left below the glints is the lit face of the beads, by which people name a colour.
_GAPS = 0.3
_SHADED = 0.7
_GLINTS = 0.12
# The share of the pixels that lie within the spread, as within one standard deviation of a normal one.
_WITHIN = 0.68


def heap_colours(
    flat: Light, found: Found, correction: Correction
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the colour of each heap, and how much it varies.

    Parameters
    ----------
    flat : ndarray of shape (H, W, 3)
        Linear light relative to bare paper.
    found : Found
        The heaps.
    correction : Correction
        What the light did.

    Returns
    -------
    labs : ndarray of shape (N, 3), float64
        CIELAB under D65: the mean over the inner pixels that are lit and are no glints.
    spreads : ndarray of shape (N,), float64
        The CIEDE2000 difference from it within which two thirds of the pixels of beads lie, lit or shaded.
    """
    from scipy.ndimage import distance_transform_edt, find_objects

    labs, spreads = np.empty((len(found.centres), 3)), np.empty(len(found.centres))
    for number, place in enumerate(find_objects(found.labels)):
        inside = found.labels[place] == number + 1
        depth = distance_transform_edt(np.pad(inside, 1))[1:-1, 1:-1]
        lab = correction.lab(flat[place][inside & (depth >= _INNER * depth.max())])
        gaps, shaded, glints = np.quantile(lab[:, 0], (_GAPS, _SHADED, 1 - _GLINTS))
        labs[number] = lab[(lab[:, 0] >= shaded) & (lab[:, 0] <= glints)].mean(axis=0)
        bead = lab[(lab[:, 0] >= gaps) & (lab[:, 0] <= glints)]
        spreads[number] = np.quantile(ciede2000(bead, labs[number]), _WITHIN)
    return labs, spreads
