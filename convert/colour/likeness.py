"""Colours that cannot be told apart, by most people or with a colour-vision deficiency."""

import numpy as np
from numpy.typing import NDArray

from convert.colour.ciede2000 import ciede2000
from convert.colour.deficiency import seen_with
from convert.colour.lab import lab_to_linear, linear_to_lab

# Below this two beads side by side are hard to tell apart (CIEDE2000; about 1 is just visible).
ALIKE = 2.0
# The weight S_L of CIEDE2000 is greatest at black and white, 1.747 (Sharma, Wu, Dalal 2005, equation 18).
_MOST_S_L = 1.75
_PAIRS_AT_A_TIME = 1 << 16

Pairs = tuple[NDArray[np.intp], NDArray[np.float64]]


def alike_pairs(lab: NDArray[np.float64], below: float = ALIKE) -> Pairs:
    """Return the pairs of colours whose CIEDE2000 difference is below a limit, the most alike first.

    Parameters
    ----------
    lab : ndarray of shape (N, 3), float64
        CIELAB.
    below : float
        The limit.

    Returns
    -------
    pairs : ndarray of shape (M, 2), intp
        Places in `lab`, the smaller first.
    differences : ndarray of shape (M,), float64
    """
    # By lightness, so that only those following within reach in lightness have to be compared.
    order = np.argsort(lab[:, 0], kind="stable")
    lightness = lab[order, 0]
    following = np.searchsorted(lightness, lightness + below * _MOST_S_L) - np.arange(len(lab)) - 1
    ends = np.cumsum(following)
    pairs, differences = [np.empty((0, 2), np.intp)], [np.empty(0)]
    start = 0
    while start < len(lab):
        end = max(start + 1, int(np.searchsorted(ends, ends[start] + _PAIRS_AT_A_TIME)))
        rows = np.arange(start, min(end, len(lab)))
        first = np.repeat(rows, following[rows])
        begins = np.cumsum(following[rows]) - following[rows]
        second = first + 1 + np.arange(len(first)) - np.repeat(begins, following[rows])
        pair = np.sort(np.stack([order[first], order[second]], axis=1), axis=1)
        difference = ciede2000(lab[pair[:, 0]], lab[pair[:, 1]])
        near = difference < below
        pairs.append(pair[near])
        differences.append(difference[near])
        start = end
    found, difference = np.concatenate(pairs), np.concatenate(differences)
    by_likeness = np.lexsort((found[:, 1], found[:, 0], difference))
    return found[by_likeness], difference[by_likeness]


def alike_with(lab: NDArray[np.float64], deficiency: str, below: float = ALIKE) -> Pairs:
    """Return the pairs that only a colour-vision deficiency makes alike, the most alike first.

    Parameters
    ----------
    lab : ndarray of shape (N, 3), float64
        CIELAB.
    deficiency : str
        A name of `convert.colour.deficiency.DEFICIENCIES`.
    below : float
        The limit; pairs that differ by less for everybody are left out.

    Returns
    -------
    pairs : ndarray of shape (M, 2), intp
        Places in `lab`, the smaller first.
    differences : ndarray of shape (M,), float64
        As seen with the deficiency.
    """
    seen = linear_to_lab(seen_with(np.clip(lab_to_linear(lab), 0, 1), deficiency))
    pairs, difference = alike_pairs(seen, below)
    apart = ciede2000(lab[pairs[:, 0]], lab[pairs[:, 1]]) >= below
    return pairs[apart], difference[apart]
