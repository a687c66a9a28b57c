"""Beads that change places or take what is spare, so that of no entry more are used than there are."""

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int32]

# Pairs are looked for among so many beads at a time, and so often: each time all that are each other's best.
_BLOCK = 512
_ROUNDS = 6
# What rounding can make of a price.
_SLIGHT = 1e-3


def within_stock(price: FloatArray, held: IntArray, entries: IntArray, spare: NDArray[np.int64]) -> IntArray:
    """Return the entries of beads after changes that make them cheaper and use no more than there is.

    Parameters
    ----------
    price : ndarray of shape (N, S), float64
        Price of each of `entries` for each bead, whatever the others have.
    held : ndarray of shape (N,), int32
        The entry of each bead, one of `entries`.
    entries : ndarray of shape (S,), int32
        Entries of the palette that the beads can take, ascending.
    spare : ndarray of shape (K,), int64
        Beads of each entry of the palette that are not used. Brought up to date.

    Returns
    -------
    ndarray of shape (N,), int32
    """
    place = np.searchsorted(entries, held)
    rows = np.arange(len(held))
    gain = price - price[rows, place][:, None]
    moved = _take_spare(gain, place, entries, spare)
    still = rows[moved == place]
    for start in range(0, len(still), _BLOCK):
        block = still[start : start + _BLOCK]
        moved[block] = _swap(gain[block], place[block])
    return entries[moved]


def _take_spare(
    gain: FloatArray, place: NDArray[np.intp], entries: IntArray, spare: NDArray[np.int64]
) -> NDArray[np.intp]:
    """Return the places in `entries` after beads took their best of what is spare, who gains most first."""
    left = spare[entries]
    best = np.where(left > 0, gain, np.inf).argmin(axis=1)
    gained = gain[np.arange(len(place)), best]
    order = np.lexsort((gained, best))
    in_order = best[order]
    turn = np.arange(len(order)) - np.searchsorted(in_order, in_order)
    goes = order[(turn < left[in_order]) & (gained[order] < -_SLIGHT)]
    moved = place.copy()
    moved[goes] = best[goes]
    count = len(entries)
    spare[entries] += np.bincount(place[goes], minlength=count)
    spare[entries] -= np.bincount(best[goes], minlength=count)
    return moved


def _swap(gain: FloatArray, place: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return the places of beads after swaps of pairs that gain together."""
    moved = place.copy()
    one_way = gain[:, place]
    both = one_way + one_way.T
    rows = np.arange(len(place))
    for _ in range(_ROUNDS):
        best = both.argmin(axis=1)
        pairs = rows[(best[best] == rows) & (rows < best) & (both[rows, best] < -_SLIGHT)]
        if not len(pairs):
            break
        others = best[pairs]
        moved[pairs], moved[others] = place[others], place[pairs]
        done = np.concatenate([pairs, others])
        both[done] = both[:, done] = np.inf
    return moved
