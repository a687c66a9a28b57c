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

# Price of a lone bead, as a colour difference at one bead. With it there are fewer lone beads than when
# errors are spread; at 1 about as many as among the nearest beads, and all is seen a twentieth farther off.
_LONE = 0.2
# Price of the square of a bead's own difference, at full strength. It keeps out beads of quite another
# colour, such as yellow ones in a black collar, which the filters call for where bright meets dark. By eye;
# the figure from afar is worse by a hundredth for it.
_OWN = 0.003
# The bead itself and its four neighbours.
_NEAR = 5
_SHORTLIST = 10
MOST_SWEEPS = 8
# Sweeps end with one that changes no more than this share of the beads.
_FEW = 0.01
# Beads this many sides of a square cell apart share no neighbour, nor one of the few places next to them.
_APART, _SQUARE = 3.7, 0.6
# From farther off than so many sides of a square cell, 3 m for beads of 11/0, a change is seen at too many
# places to be reckoned at a few of them; what is found for this distance is closer from there, too.
_FARTHEST = 1450
# What rounding can make of a price.
_SLIGHT = 1e-3
_CHUNK_PAIRS = 1 << 16
# So many differences of beads from entries are kept, once reckoned.
_MOST_KNOWN = 1 << 24
_NONE = -1


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
        """Return the eye at a distance, or as far off as it can search from; parameters as of `Pooling`."""
        side_mm = math.sqrt(cell_mm2)
        distance_mm = min(distance_mm, _FARTHEST * side_mm)
        groups = groups_apart(bead_xy, _APART * side_mm, _SQUARE * side_mm)
        return cls(Pooling(bead_xy, cell_mm2, distance_mm), groups)


class Search:
    """A piece made ready once, to be searched for several choices of entries.

    Parameters
    ----------
    wanted : ndarray of shape (B, 3), float64
        Linear sRGB of the picture at each bead.
    palette : ndarray of shape (K, 3), float64
        Linear sRGB of the entries.
    entry_colour : ndarray of shape (K,), int32
        Colour of each entry, see `convert.palette.model.Palette.colour_numbers`.
    bead_size : ndarray of shape (B,), uint8
        Size of each bead, as an index.
    eye : Eye
        From where the piece is seen.
    neighbours : ndarray of shape (B, N), int32
        Neighbouring beads, -1 where there are fewer.
    measure : callable
        The colour difference of CIELAB.
    """

    def __init__(
        self,
        wanted: FloatArray,
        palette: FloatArray,
        entry_colour: IntArray,
        bead_size: NDArray[np.uint8],
        eye: Eye,
        neighbours: IntArray,
        measure: Distance,
    ) -> None:
        self._eye, self._bead_size = eye, bead_size
        self._sight = Sight(eye.pooling, wanted, palette, measure)
        self._lone = _Lone(entry_colour, neighbours)
        self._own = _Own(wanted, palette, measure)

    def beads(
        self,
        bead_colour: IntArray,
        allowed: Sequence[IntArray],
        strength: float,
        spare: NDArray[np.int64] | None = None,
        most_sweeps: int = MOST_SWEEPS,
    ) -> IntArray:
        """Choose beads such that from afar they differ least from the picture.

        Parameters
        ----------
        bead_colour : ndarray of shape (B,), int32
            The entry of each bead to begin with, which is the answer at strength 0.
        allowed : sequence of ndarray of int32
            For each size the entries that may be used.
        strength : float
            From 0 to 1: how much what is seen counts against each bead's own difference from the picture, of
            which the square is charged, at half the strength twice as much.
        spare : ndarray of shape (K,), int64, optional
            Beads on hand of each entry beyond those used. With it beads change places and take what is spare,
            so that of no entry more are used than there are.
        most_sweeps : int
            How often each bead is looked at, at most.

        Returns
        -------
        ndarray of shape (B,), int32
        """
        if strength == 0:
            return bead_colour.copy()
        sight = self._sight
        sight.show(bead_colour)
        self._own.weight = _OWN / strength
        left = None if spare is None else spare.copy()
        # Beads next to which nothing has changed since they were looked at stay as they are.
        is_due = np.ones(len(bead_colour), bool)
        for _ in range(most_sweeps):
            sight.look()
            changed = 0
            for group in self._eye.groups:
                for size, entries in enumerate(allowed):
                    beads = group[(self._bead_size[group] == size) & is_due[group]]
                    if not len(beads):
                        continue
                    if left is None:
                        is_due[beads] = False
                        taken = self._best(beads, entries)
                    else:
                        every = np.broadcast_to(entries, (len(beads), len(entries)))
                        price = self._prices(beads, every, _NEAR)
                        taken = within_stock(price, sight.chosen[beads], entries, left)
                    moved = taken != sight.chosen[beads]
                    changed += int(moved.sum())
                    if moved.any():
                        sight.change(beads[moved], taken[moved])
                        near = self._eye.pooling.sites[beads[moved], :_NEAR]
                        is_due[near[near < len(is_due)]] = True
            if changed <= _FEW * len(bead_colour):
                break
        return sight.chosen.copy()

    def _best(self, beads: NDArray[np.intp], entries: IntArray) -> IntArray:
        """Return the best entry for each bead; its own, if none is better."""
        tried = np.broadcast_to(entries, (len(beads), len(entries)))
        if len(entries) > _SHORTLIST:
            rough = self._prices(beads, tried, 1)
            best = np.argpartition(rough, _SHORTLIST, axis=1)[:, :_SHORTLIST]
            tried = entries[np.sort(best, axis=1)]
        tried = np.concatenate([self._sight.chosen[beads][:, None], tried], axis=1)
        price = self._prices(beads, tried, _NEAR)
        price[:, 0] -= _SLIGHT
        return np.asarray(tried[np.arange(len(beads)), price.argmin(axis=1)])

    def _prices(self, beads: NDArray[np.intp], entries: IntArray, near: int) -> FloatArray:
        """Return the price of entries (N, S) for beads (N,), beside that of all the others."""
        price = np.empty(entries.shape)
        step = max(1, _CHUNK_PAIRS // (entries.shape[1] * near))
        for start in range(0, len(beads), step):
            rows = slice(start, start + step)
            price[rows] = self._sight.differences(beads[rows], entries[rows], near)
            price[rows] += _LONE * self._lone.made(self._sight.chosen, beads[rows], entries[rows])
            price[rows] += self._own.of(beads[rows], entries[rows])
        return price


class _Own:
    """The square of each bead's own difference from the picture, weighted."""

    def __init__(self, wanted: FloatArray, palette: FloatArray, measure: Distance) -> None:
        self.weight, self._measure = 0.0, measure
        self._wanted, self._palette = linear_to_lab(wanted), linear_to_lab(palette)
        self._known: NDArray[np.float32] | None = None
        if len(wanted) * len(palette) <= _MOST_KNOWN:
            self._known = np.full((len(wanted), len(palette)), np.nan, np.float32)

    def of(self, beads: NDArray[np.intp], entries: IntArray) -> FloatArray:
        """Return it for entries (N, S) of beads (N,)."""
        if self._known is None:
            return self.weight * self._squared(beads[:, None], entries)
        squared = self._known[beads[:, None], entries]
        row, column = np.nonzero(np.isnan(squared))
        if len(row):
            bead, entry = beads[row], entries[row, column]
            self._known[bead, entry] = squared[row, column] = self._squared(bead, entry)
        return np.asarray(self.weight * squared)

    def _squared(self, beads: NDArray[np.intp], entries: IntArray) -> FloatArray:
        return np.asarray(self._measure(self._wanted[beads], self._palette[entries]) ** 2)


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
