"""Colours that cannot be told apart, by most people or with a colour-vision deficiency."""

import numpy as np
from numpy.typing import NDArray

from convert.colour.deficiency import seen_with
from convert.colour.distances import distance_named
from convert.colour.lab import lab_to_linear, linear_to_lab

# Below this two beads side by side are hard to tell apart (CIEDE2000; about 1 is just visible).
ALIKE = 2.0
_CHUNK = 1 << 14

Pairs = tuple[NDArray[np.intp], NDArray[np.float64]]


def alike_pairs(lab: NDArray[np.float64], below: float = ALIKE, distance: str = "ciede2000") -> Pairs:
    """Return the pairs of colours whose difference is below a limit, the most alike first.

    Parameters
    ----------
    lab : ndarray of shape (N, 3), float64
        CIELAB.
    below : float
        The limit.
    distance : str
        A name of `convert.colour.distances.DISTANCES`.

    Returns
    -------
    pairs : ndarray of shape (M, 2), intp
        Places in `lab`, the smaller first.
    differences : ndarray of shape (M,), float64
    """
    measure = distance_named(distance)
    first, second = np.triu_indices(len(lab), 1)
    difference = np.empty(len(first))
    for start in range(0, len(first), _CHUNK):
        part = slice(start, start + _CHUNK)
        difference[part] = measure(lab[first[part]], lab[second[part]])
    near = np.flatnonzero(difference < below)
    near = near[np.argsort(difference[near], kind="stable")]
    return np.stack([first[near], second[near]], axis=1), difference[near]


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
    apart = distance_named("ciede2000")(lab[pairs[:, 0]], lab[pairs[:, 1]]) >= below
    return pairs[apart], difference[apart]
