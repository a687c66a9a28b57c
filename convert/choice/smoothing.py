"""Fewer lone beads and fewer changes of colour, at a small price in likeness.

The energy of a choice of beads is the sum of the squared colour differences from the picture and a price
for each pair of neighbours of unlike colour (a Potts model). What is compared is what the eye compares:
entries of a palette that differ only in the size of the bead are one colour. Beads that are not neighbours do
not feel each other, so that a whole class of them can be set to its best at once; class after class, no step
raises the energy.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.colour.distances import CIEDE2000, Distance

# Price of a pair of unlike neighbours at full strength, as a squared colour difference: a lone bead that fits
# the picture takes the colour its four neighbours share if that is at most 20 units off.
_PRICE = 100.0
_MOST_SWEEPS = 40
_NONE = -1


@dataclass(frozen=True, slots=True)
class Unrest:
    """How restless a choice of beads is.

    Parameters
    ----------
    lone : int
        Beads of a colour that none of their neighbours has.
    changes : int
        Pairs of neighbours of unlike colour.
    pairs : int
        All pairs of neighbours.
    """

    lone: int
    changes: int
    pairs: int


def unrest(colour: NDArray[np.int32], neighbours: NDArray[np.int32]) -> Unrest:
    """Count lone beads and changes of colour.

    Parameters
    ----------
    colour : ndarray of shape (B,), int32
        Colour of each bead, the same number for all sizes it comes in.
    neighbours : ndarray of shape (B, N), int32
        Neighbouring beads, -1 where there are fewer.
    """
    there = neighbours != _NONE
    like = (colour[neighbours] == colour[:, None]) & there
    lone = int((~like.any(axis=1) & there.any(axis=1)).sum())
    pairs = int(there.sum()) // 2
    return Unrest(lone, pairs - int(like.sum()) // 2, pairs)


def smooth(
    bead_colour: NDArray[np.int32],
    wanted_lab: NDArray[np.float64],
    palette_lab: NDArray[np.float64],
    entry_colour: NDArray[np.int32],
    allowed: Sequence[NDArray[np.int32]],
    bead_size: NDArray[np.uint8],
    neighbours: NDArray[np.int32],
    classes: NDArray[np.uint8],
    strength: float,
    measure: Distance = CIEDE2000,
) -> NDArray[np.int32]:
    """Return the choice of beads with fewer lone beads and fewer changes of colour.

    Parameters
    ----------
    bead_colour : ndarray of shape (B,), int32
        The nearest entry of each bead, which is the answer at strength 0.
    wanted_lab : ndarray of shape (B, 3), float64
        CIELAB of the picture at each bead.
    palette_lab : ndarray of shape (K, 3), float64
        CIELAB of the entries.
    entry_colour : ndarray of shape (K,), int32
        Colour of each entry, from 0; of a size at most one entry is of a colour.
    allowed : sequence of ndarray of int32
        For each size the entries that come in it.
    bead_size : ndarray of shape (B,), uint8
        Index into `allowed`.
    neighbours : ndarray of shape (B, N), int32
        Neighbouring beads, -1 where there are fewer.
    classes : ndarray of shape (B,), uint8
        No two neighbours are of one class.
    strength : float
        From 0 to 1.
    measure : Distance
        The colour difference.

    Returns
    -------
    ndarray of shape (B,), int32
    """
    if strength == 0:
        return bead_colour.copy()
    # Of each size the entry of a colour.
    entry_of = np.full((len(allowed), int(entry_colour.max()) + 1), _NONE, np.int32)
    for size, entries in enumerate(allowed):
        entry_of[size, entry_colour[entries]] = entries
    price = strength * _PRICE
    own = measure(wanted_lab, palette_lab[bead_colour]) ** 2
    nearest = entry_colour[bead_colour]
    chosen = nearest.copy()

    # A bead is best off with its nearest colour or with that of one of its neighbours: any other is farther
    # off than the nearest one and has no neighbour of its colour either.
    there = neighbours != _NONE
    restless = np.flatnonzero(((chosen[neighbours] != chosen[:, None]) & there).any(axis=1))
    sweeps = 0
    while len(restless) and sweeps < _MOST_SWEEPS:
        sweeps += 1
        changed = []
        for index in range(int(classes.max()) + 1):
            beads = restless[classes[restless] == index]
            beside = np.where(there[beads], chosen[neighbours[beads]], _NONE)
            options = np.concatenate([nearest[beads][:, None], beside], axis=1)
            off = np.full(options.shape, np.inf)
            off[:, 0] = own[beads]
            entry = entry_of[bead_size[beads][:, None], beside]
            worth = there[beads] & (entry != _NONE) & (beside != options[:, :1])
            row, column = np.nonzero(worth)
            off[row, column + 1] = measure(wanted_lab[beads[row]], palette_lab[entry[row, column]]) ** 2
            energy = off - price * (options[:, :, None] == beside[:, None, :]).sum(axis=2)
            # Of equal ones the first: the nearest colour, then the neighbours in their order.
            best = options[np.arange(len(beads)), energy.argmin(axis=1)]
            changed.append(beads[best != chosen[beads]])
            chosen[beads] = best
        # Only a bead beside one that changed can do better than before.
        near = np.unique(neighbours[np.concatenate(changed)])
        restless = near[near != _NONE]
    return entry_of[bead_size, chosen]
