"""Mixing bead colours by a direct search for what the eye sees from afar.

The price of a choice of beads is the sum over all beads of the colour difference seen at their places
(`convert.choice.sight`), with a price for how far each is from its own colour and one for each lone bead.
Bead after bead takes the entry at which all is cheapest, those beads at once that do not share a
neighbourhood, until hardly any changes: a direct binary search (Analoui, Allebach 1992, "Model-based
halftoning using direct binary search", SPIE 1666, 96-108; from memory) with more than two colours.

At the bead's own place and at the few next to it a change is reckoned in full; at those farther off, where a
bead is seen by a hundredth at most, by the slope of the difference.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.choice.pooling import Pooling, groups_apart
from convert.choice.sight import Sight
from convert.choice.swapping import within_stock
from convert.colour.distances import Distance
from convert.colour.lab import linear_to_lab

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int32]

# Price of a lone bead, as a colour difference at one bead. At 0 there are as many lone beads as when errors
# are spread, at 1 about as many as among the nearest beads, and all is seen a twentieth farther off.
_LONE = 0.2
# Price of the square of a bead's own difference, at full strength. It keeps out beads of quite another
# colour, such as yellow ones in a black collar, which the filters call for where bright meets dark. By eye;
# the figure from afar is worse by a hundredth for it.
_OWN = 0.008
# The bead itself and its four neighbours.
_NEAR = 5
_SHORTLIST = 10
MOST_SWEEPS = 8
# Sweeps end with one that changes no more than this share of the beads.
_FEW = 0.01
# Beads this many sides of a square cell apart share no neighbour, nor one of the few places next to them.
_APART, _SQUARE = 3.7, 0.6
# What rounding can make of a price.
_SLIGHT = 1e-3
_CHUNK_PAIRS = 1 << 16
_NONE = -1


def search(
    bead_colour: IntArray,
    wanted: FloatArray,
    palette: FloatArray,
    entry_colour: IntArray,
    allowed: Sequence[IntArray],
    bead_size: NDArray[np.uint8],
    eye: "Eye",
    neighbours: IntArray,
    strength: float,
    measure: Distance,
    spare: NDArray[np.int64] | None = None,
    most_sweeps: int = MOST_SWEEPS,
) -> IntArray:
    """Choose beads such that from afar they differ least from the picture.

    Parameters
    ----------
    bead_colour : ndarray of shape (B,), int32
        The entry of each bead to begin with, which is the answer at strength 0.
    wanted : ndarray of shape (B, 3), float64
        Linear sRGB of the picture at each bead.
    palette : ndarray of shape (K, 3), float64
        Linear sRGB of the entries.
    entry_colour : ndarray of shape (K,), int32
        Colour of each entry, see `convert.palette.model.Palette.colour_numbers`.
    allowed : sequence of ndarray of int32
        For each size the entries that come in it.
    bead_size : ndarray of shape (B,), uint8
        Index into `allowed`.
    eye : Eye
        From where the piece is seen.
    neighbours : ndarray of shape (B, N), int32
        Neighbouring beads, -1 where there are fewer.
    strength : float
        From 0 to 1: how much what is seen counts against each bead's own difference from the picture, of
        which the square is charged, at half the strength twice as much.
    measure : callable
        The colour difference of CIELAB.
    spare : ndarray of shape (K,), int64, optional
        Beads on hand of each entry beyond those used. With it beads change places and take what is spare, so
        that of no entry more are used than there are.
    most_sweeps : int
        How often each bead is looked at, at most.

    Returns
    -------
    ndarray of shape (B,), int32
    """
    if strength == 0:
        return bead_colour.copy()
    sight = Sight(eye.pooling, wanted, palette, bead_colour, measure)
    own = _Own(wanted, palette, measure, _OWN / strength)
    lone = _Lone(entry_colour, neighbours)
    left = None if spare is None else spare.copy()
    # Beads next to which nothing has changed since they were looked at stay as they are.
    is_due = np.ones(len(bead_colour), bool)
    for _ in range(most_sweeps):
        sight.look()
        changed = 0
        for group in eye.groups:
            for size, entries in enumerate(allowed):
                beads = group[(bead_size[group] == size) & is_due[group]]
                if not len(beads):
                    continue
                if left is None:
                    is_due[beads] = False
                    taken = _best(sight, own, lone, beads, entries)
                else:
                    every = np.broadcast_to(entries, (len(beads), len(entries)))
                    price = _prices(sight, own, lone, beads, every, _NEAR)
                    taken = within_stock(price, sight.chosen[beads], entries, left)
                moved = taken != sight.chosen[beads]
                changed += int(moved.sum())
                if moved.any():
                    sight.change(beads[moved], taken[moved])
                    near = eye.pooling.sites[beads[moved], :_NEAR]
                    is_due[near[near < len(is_due)]] = True
        if changed <= _FEW * len(bead_colour):
            break
    return sight.chosen


@dataclass(frozen=True, eq=False, slots=True)
class Eye:
    """How a piece is seen from one distance, made ready once for several searches.

    Parameters
    ----------
    pooling : Pooling
        How beads are seen at places of beads.
    groups : list of ndarray
        All beads, in groups that share no neighbourhood.
    """

    pooling: Pooling
    groups: list[NDArray[np.intp]]

    @classmethod
    def at(cls, bead_xy: FloatArray, cell_mm2: float, distance_mm: float) -> "Eye":
        """Return the eye at a distance; parameters as of `Pooling`."""
        side_mm = math.sqrt(cell_mm2)
        groups = groups_apart(bead_xy, _APART * side_mm, _SQUARE * side_mm)
        return cls(Pooling(bead_xy, cell_mm2, distance_mm), groups)


def seen_off(
    bead_colour: IntArray, wanted: FloatArray, palette: FloatArray, eye: Eye, measure: Distance
) -> float:
    """Return the mean difference from the picture that is seen of beads; parameters as of `search`."""
    sight = Sight(eye.pooling, wanted, palette, bead_colour, measure)
    sight.look()
    return float(sight.differences(np.arange(len(bead_colour)), bead_colour[:, None], 1).mean())


def _best(sight: Sight, own: "_Own", lone: "_Lone", beads: NDArray[np.intp], entries: IntArray) -> IntArray:
    """Return the best entry for each bead; its own, if none is better."""
    tried = np.broadcast_to(entries, (len(beads), len(entries)))
    if len(entries) > _SHORTLIST:
        rough = _prices(sight, own, lone, beads, tried, 1)
        best = np.argpartition(rough, _SHORTLIST, axis=1)[:, :_SHORTLIST]
        tried = entries[np.sort(best, axis=1)]
    tried = np.concatenate([sight.chosen[beads][:, None], tried], axis=1)
    price = _prices(sight, own, lone, beads, tried, _NEAR)
    price[:, 0] -= _SLIGHT
    return np.asarray(tried[np.arange(len(beads)), price.argmin(axis=1)])


def _prices(
    sight: Sight, own: "_Own", lone: "_Lone", beads: NDArray[np.intp], entries: IntArray, near: int
) -> FloatArray:
    """Return the price of entries (N, S) for beads (N,), beside that of all the others."""
    price = np.empty(entries.shape)
    step = max(1, _CHUNK_PAIRS // (entries.shape[1] * near))
    for start in range(0, len(beads), step):
        rows = slice(start, start + step)
        price[rows] = sight.differences(beads[rows], entries[rows], near)
        price[rows] += _LONE * lone.made(sight.chosen, beads[rows], entries[rows])
        price[rows] += own.of(beads[rows], entries[rows])
    return price


class _Own:
    """The square of each bead's own difference from the picture, weighted."""

    def __init__(self, wanted: FloatArray, palette: FloatArray, measure: Distance, weight: float) -> None:
        self._weight, self._measure = weight, measure
        self._wanted, self._palette = linear_to_lab(wanted), linear_to_lab(palette)

    def of(self, beads: NDArray[np.intp], entries: IntArray) -> FloatArray:
        """Return it for entries (N, S) of beads (N,)."""
        off = self._measure(self._wanted[beads, None], self._palette[entries])
        return self._weight * off * off


class _Lone:
    """Counts the lone beads that a choice makes."""

    def __init__(self, entry_colour: IntArray, neighbours: IntArray) -> None:
        self._colour, self._neighbours = entry_colour, neighbours

    def made(self, chosen: IntArray, beads: NDArray[np.intp], entries: IntArray) -> NDArray[np.int64]:
        """Return how many of each bead and its neighbours are lone with entries (N, S) for it."""
        beside = self._neighbours[beads]
        there = beside != _NONE
        colour = self._colour[chosen[beside]]
        # Whether a neighbour has one of its colour other than the bead itself.
        beyond = self._neighbours[beside]
        other = (beyond != _NONE) & (beyond != beads[:, None, None])
        company = ((self._colour[chosen[beyond]] == colour[:, :, None]) & other).any(axis=2)
        like = (self._colour[entries][:, :, None] == colour[:, None]) & there[:, None]
        left_alone = (there & ~company)[:, None] & ~like
        return np.asarray(~like.any(axis=2) + left_alone.sum(axis=2), np.int64)
