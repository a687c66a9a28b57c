"""How a woven piece looks from a distance, beside the picture it was made from.

What an eye gets from the cell of a bead is taken in one of two ways.

* The bead fills its cell. This is the figure to rank choices of beads by, for it takes nothing from what lies
  behind them: a backing that shows in two pieces makes them more alike.
* With gaps. The bead covers the share c of its cell, its outline seen from above: the mean of the two
  outlines that also say how far apart beads lie (`convert.weave.spacing`); 0.65 in the one-size weave of
  rounded beads. In the rest the backing is seen, at the foot of a well: half a diameter below where the beads
  are widest, and as wide as what is open of a loop's three cells. Of an even light from above the share F
  reaches the foot, the view factor between two equal discs of radius r that face each other at a distance h:
  F = (X - sqrt(X^2 - 4)) / 2 with X = 2 + (h / r)^2 (in any textbook of heat transfer; from memory). The rest
  comes there off the beads round about, of their colour. Areas too fine to be told apart add in linear light
  (Murray 1936, Davies 1936; from memory): bead c + backing (1 - c) (F + (1 - F) bead). In the one-size weave
  F is 0.43, so that white paper lays a veil of 15% of its light over all.

The difference is that of `convert.colour.scielab`: S-CIELAB, by CIEDE2000.
"""

import math
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from convert.colour import scielab
from convert.colour.scielab import pixels_per_degree, seen
from convert.errors import SizeError
from convert.weave.beads import BeadSize
from convert.weave.boxes import boxes
from convert.weave.model import FloatArray, IntArray, Weave

VIEW_DISTANCE_M = scielab.VIEW_DISTANCE_M
BACKING = "#FFFFFF"
# Fine enough for the shapes of the cells; the blur makes more of no use.
_PIXELS_IN_PITCH = 6
_BARE = -1
# In a sheet each loop has six beads and shares each with another.
_BEADS_TO_LOOP = 3
# Nobody looks at beads from nearer or further; beyond, the figures mean nothing.
LEAST_DISTANCE_M, MOST_DISTANCE_M = 0.01, 1_000.0


def check_distance(distance_m: float) -> None:
    """Refuse a view distance from which nothing is seen.

    Raises
    ------
    SizeError
        It is not more than 0, or further than anything is looked at.
    """
    if not LEAST_DISTANCE_M <= distance_m <= MOST_DISTANCE_M:
        raise SizeError(
            f"the view distance is {LEAST_DISTANCE_M:g} to {MOST_DISTANCE_M:,.0f} m, not {distance_m:g}",
            "give --view-distance in metres",
        )


def outline_area_mm2(size: BeadSize) -> float:
    """Return the area of a bead seen from above, the mean of the outlines of `convert.weave.spacing`."""
    length, diameter = size.length_mm, size.diameter_mm
    if not size.rounded:
        return length * diameter
    tight = math.pi / 4 * length**2 + (diameter - length) * length
    # The hull of the two ellipses of the loose outline.
    wall, apart = (diameter - size.hole_mm) / 2, (diameter + size.hole_mm) / 2
    loose = math.pi / 4 * length * wall + apart * length
    return (tight + loose) / 2


def covered_share(weave: Weave) -> FloatArray:
    """Return how much of each bead's cell the bead covers, shape (B,); the rest shows the backing."""
    outline = np.array([outline_area_mm2(size) for size in weave.sizes])[weave.bead_size]
    return np.asarray(np.minimum(outline / weave.cell_mm2, 1))


def lit_share(weave: Weave) -> float:
    """Return how much of the light reaches the backing in the gaps straight, and not off the beads."""
    open_mm2 = float(((1 - covered_share(weave)) * weave.cell_mm2).mean()) * _BEADS_TO_LOOP
    depth_mm = float(np.array([size.diameter_mm for size in weave.sizes])[weave.bead_size].mean()) / 2
    if open_mm2 == 0:
        return 0.0
    x = 2 + math.pi * depth_mm**2 / open_mm2
    return (x - math.sqrt(x * x - 4)) / 2


def cell_raster(weave: Weave, pixel_mm: float) -> IntArray:
    """Return which bead's cell each pixel's centre lies in, shape (H, W); -1 outside the weave.

    Parameters
    ----------
    weave : Weave
        The piece. The raster begins at the left and top of its cells, which are taken to be convex.
    pixel_mm : float
        Side of a pixel.
    """
    corners = weave.cells / pixel_mm
    corners = corners - corners.reshape(-1, 2).min(axis=0)
    width, height = np.ceil(corners.reshape(-1, 2).max(axis=0)).astype(int)
    return raster_of_cells(corners, (height, width))


def raster_of_cells(corners: FloatArray, shape: tuple[int, int]) -> IntArray:
    """Return which cell each pixel's centre lies in, shape `shape`; -1 where there is none.

    Parameters
    ----------
    corners : ndarray of shape (N, 4, 2)
        Convex cells, x right and y down, in pixels; what lies off the raster is cut.
    shape : tuple of int
        Rows and columns.
    """
    height, width = shape
    (_, top), (_, bottom) = (side.T for side in boxes(corners))
    first = np.clip(np.ceil(top - 0.5), 0, height).astype(np.int64)
    rows = np.clip(np.ceil(bottom - 0.5), 0, height).astype(np.int64) - first
    # One span for each cell and row of pixels it crosses.
    cell = np.repeat(np.arange(len(corners)), rows)
    row = np.arange(len(cell)) - np.repeat(np.cumsum(rows) - rows, rows) + first[cell]
    left, right = np.full(len(cell), np.inf), np.full(len(cell), -np.inf)
    starts = np.ascontiguousarray(corners.transpose(1, 2, 0))
    for (x, y), (next_x, next_y) in zip(starts, np.roll(starts, -1, axis=0), strict=True):
        rise = next_y - y
        slope = np.divide(next_x - x, rise, out=np.zeros_like(rise), where=rise != 0)
        down = row + 0.5 - y[cell]
        crossed = (down >= 0) != (down >= rise[cell])
        crossing = x[cell] + down * slope[cell]
        np.minimum(left, crossing, out=left, where=crossed)
        np.maximum(right, crossing, out=right, where=crossed)
    column = np.clip(np.ceil(left - 0.5), 0, width).astype(np.int64)
    length = np.clip(np.ceil(right - 0.5), 0, width).astype(np.int64) - column

    raster = np.full(height * width, _BARE, np.int32)
    place = np.arange(length.sum()) - np.repeat(np.cumsum(length) - length, length)
    raster[np.repeat(row * width + column, length) + place] = np.repeat(cell, length)
    return raster.reshape(height, width)


class View:
    """One piece seen from one distance, for comparing choices of beads.

    Parameters
    ----------
    weave : Weave
        The piece.
    wanted : ndarray of shape (B, 3)
        Linear sRGB of the picture at each bead.
    backing : ndarray of shape (3,) or None
        Linear sRGB of what lies behind the beads and shows in the gaps; None for beads that fill their cells.
    distance_m : float
        Distance of the eye.

    Raises
    ------
    SizeError
        The distance is not more than 0.
    """

    def __init__(
        self,
        weave: Weave,
        wanted: FloatArray,
        backing: FloatArray | None = None,
        distance_m: float = VIEW_DISTANCE_M,
    ) -> None:
        check_distance(distance_m)
        pixel_mm = weave.spacing.pitch_mm / _PIXELS_IN_PITCH
        self._raster = cell_raster(weave, pixel_mm)
        self._per_degree = pixels_per_degree(pixel_mm, distance_m * 1000)
        self._wanted, self._backing = wanted, backing
        self._covered, self._lit = covered_share(weave)[:, None], lit_share(weave)

    def _seen(self, beads: FloatArray) -> NDArray[np.float32]:
        """Return what is seen of beads of one colour each, in CIELAB, at the pixels of the piece.

        Around the piece lies its own mean colour: what it is laid on is no part of the question.
        """
        cells = self._light(beads)
        around = np.vstack([cells, cells.mean(axis=0)]).astype(np.float32)
        return np.asarray(seen(around[self._raster], self._per_degree)[self._raster != _BARE])

    def _light(self, beads: FloatArray) -> FloatArray:
        """Return the light of each bead's cell, linear sRGB."""
        if self._backing is None:
            return beads
        gap = self._backing * (self._lit + (1 - self._lit) * beads)
        return np.asarray(self._covered * beads + (1 - self._covered) * gap)

    @cached_property
    def _picture(self) -> NDArray[np.float32]:
        return self._seen(self._wanted)

    def from_best(self, beads: FloatArray) -> float:
        """Return the mean S-CIELAB difference between beads (B, 3) and beads of just the picture's colours.

        Both are seen in the same way, so this is what the choice of beads accounts for.
        """
        return float(scielab.difference(self._picture, self._seen(beads)).mean())
