"""What the eye makes of beads: the light of each is seen at the places of the beads round it, too.

The filters are those of S-CIELAB (`convert.colour.scielab`), taken from bead to bead instead of from pixel to
pixel. A Gaussian that is spread over a cell is close to a Gaussian of both variances; of each channel the
narrow ones reach a neighbourhood and the broad one, which only luminance has, the whole piece.
"""

import math

import numpy as np
from numpy.typing import NDArray

from convert.colour.scielab import FILTERS

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int32]

# Where a neighbourhood ends. Nine tenths of the widest narrow Gaussian lie within; the rest is given to those
# within in proportion.
_REACH_DEGREES = 0.75
# From farther away a neighbourhood would hold more and more beads that are all seen alike. It ends so many
# sides of a square cell off.
_MOST_SIDES = 10
# exp(-r^2 / s^2) of the same variance as an even cell: s^2 is a sixth of the squared side of a rhombus of 60
# degrees, the cell of a sheet, of which the area is sqrt(3) / 2 of the squared side. A fifth more stands for
# what is seen off the cell's middle; found by trying, on photographs.
_CELL_SPREAD = 1.2 / (3 * math.sqrt(3))
# The broad Gaussian is so even that sums over squares of an eighth of it do.
_BROAD_SQUARES = 8
_BLOCK = 1 << 13


class Pooling:
    """How the light of beads is seen at the places of beads.

    Parameters
    ----------
    bead_xy : ndarray of shape (B, 2), float64
        Centres of the beads in mm.
    cell_mm2 : float
        Area of a bead's cell.
    distance_mm : float
        Distance of the eye.

    Attributes
    ----------
    sites : ndarray of shape (B, N), int32
        The beads at whose places each bead is seen, the nearest first, which is itself; B where there are
        fewer.
    weights : ndarray of shape (B, N, 3), float32
        How much of the bead's light is seen there, for each opponent channel; 0 where there is no site.
    """

    def __init__(self, bead_xy: FloatArray, cell_mm2: float, distance_mm: float) -> None:
        from scipy.spatial import cKDTree

        beads = len(bead_xy)
        degree_mm = distance_mm * math.tan(math.radians(1))
        tree = cKDTree(bead_xy)
        reach_mm = min(_REACH_DEGREES * degree_mm, _MOST_SIDES * math.sqrt(cell_mm2))
        most = int(tree.query_ball_point(bead_xy, reach_mm, return_length=True).max())
        self.sites = np.empty((beads, most), np.int32)
        self.weights = np.empty((beads, most, len(FILTERS)), np.float32)
        for rows in _blocks(beads):
            # In the order of their distance; a bead more than there is stands for none.
            apart, self.sites[rows] = tree.query(bead_xy[rows], np.arange(1, most + 1), 0, 2, reach_mm)
            for channel, gaussians in enumerate(FILTERS):
                squared = [
                    (weight, (spread * degree_mm) ** 2 + _CELL_SPREAD * cell_mm2)
                    for weight, spread in gaussians
                    if weight > 0
                ]
                kernel = sum(weight / wide * np.exp(-(apart**2) / wide) for weight, wide in squared)
                self.weights[rows, :, channel] = kernel
        # What is seen at a place is made of shares; two beads reach each other alike.
        total = np.append(self.weights.sum(axis=1), np.ones((1, len(FILTERS)), np.float32), axis=0)
        for rows in _blocks(beads):
            self.weights[rows] /= total[self.sites[rows]]
        (broad, spread), *_ = [gaussian for gaussian in FILTERS[0] if gaussian[0] < 0]
        self._broad = broad / sum(weight for weight, _ in FILTERS[0])
        self.weights[..., 0] *= np.float32(1 - self._broad)
        self._set_squares(bead_xy, spread * degree_mm, math.sqrt(cell_mm2))

    def _set_squares(self, bead_xy: FloatArray, spread_mm: float, least_mm: float) -> None:
        step = max(spread_mm / _BROAD_SQUARES, least_mm)
        place = ((bead_xy - bead_xy.min(axis=0)) / step).astype(np.int64)
        self._columns, self._rows = (place.max(axis=0) + 1).tolist()
        self._square = place[:, 1] * self._columns + place[:, 0]
        self._down, self._across = (
            np.exp(-(((np.arange(n) - np.arange(n)[:, None]) * step / spread_mm) ** 2))
            for n in (self._rows, self._columns)
        )
        self._beads_about = self._about(np.ones(len(bead_xy)))

    def _about(self, values: FloatArray) -> FloatArray:
        """Return the sum of values (B,) under the broad Gaussian about each bead, (B,)."""
        sums = np.bincount(self._square, values, self._rows * self._columns).astype(np.float64)
        spread = self._down @ sums.reshape(self._rows, self._columns) @ self._across
        return np.asarray(spread.ravel()[self._square])

    def seen(self, opponent: FloatArray) -> FloatArray:
        """Return what is seen at the place of each bead of beads of these colours, (B, 3), opponent."""
        seen = np.zeros((len(opponent) + 1, 3))
        for sites, weights in zip(self.sites.T, self.weights.transpose(1, 2, 0), strict=True):
            for channel, of_channel in enumerate(weights):
                seen[:, channel] += np.bincount(sites, of_channel * opponent[:, channel], len(seen))
        seen = seen[:-1]
        seen[:, 0] += self._broad * self._about(opponent[:, 0]) / self._beads_about
        return seen


def _blocks(beads: int) -> list[slice]:
    return [slice(start, start + _BLOCK) for start in range(0, beads, _BLOCK)]


def groups_apart(bead_xy: FloatArray, apart_mm: float, square_mm: float) -> list[NDArray[np.intp]]:
    """Return the beads in groups of which no two lie nearer to each other than a distance.

    The plane is laid out in tiles of small squares; beads of a group lie in the same square of their tiles,
    and no two of them in one. The groups come in a fixed scrambled order, so that a change does not run
    through the piece in one direction.

    Parameters
    ----------
    bead_xy : ndarray of shape (B, 2), float64
        Centres of the beads in mm.
    apart_mm : float
        The distance.
    square_mm : float
        Side of a square, best such that few hold two beads.
    """
    place = ((bead_xy - bead_xy.min(axis=0)) / square_mm).astype(np.int64)
    across = math.ceil(apart_mm / square_mm) + 1
    square = place[:, 1] * (place[:, 0].max() + 1) + place[:, 0]
    order = np.argsort(square, kind="stable")
    in_order = square[order]
    turn = np.empty_like(square)
    turn[order] = np.arange(len(square)) - np.searchsorted(in_order, in_order)
    in_tile = place % across
    _, group = np.unique((turn * across + in_tile[:, 1]) * across + in_tile[:, 0], return_inverse=True)
    groups = np.split(np.argsort(group, kind="stable"), np.cumsum(np.bincount(group))[:-1])
    scramble = np.arange(len(groups), dtype=np.uint64) * np.uint64(0x9E3779B97F4A7C15)
    return [groups[number] for number in np.argsort(scramble, kind="stable")]
