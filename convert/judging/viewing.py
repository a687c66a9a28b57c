"""How a woven piece looks from a distance, beside the picture it was made from."""

import math
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from convert.colour.distances import cie76
from convert.colour.scielab import pixels_per_degree, seen
from convert.errors import SizeError
from convert.weave.beads import BeadSize
from convert.weave.boxes import boxes
from convert.weave.model import FloatArray, IntArray, Weave

VIEW_DISTANCE_M = 1.0
BACKING = "#FFFFFF"
# Fine enough for the shapes of the cells; the blur makes more of no use.
_PIXELS_IN_PITCH = 6
_BARE = -1
_BLOCK_PIXELS = 1 << 16


def check_distance(distance_m: float) -> None:
    """Refuse a view distance from which nothing is seen.

    Raises
    ------
    SizeError
        It is not more than 0, or endless.
    """
    if not (math.isfinite(distance_m) and distance_m > 0):
        raise SizeError(f"the view distance must be more than 0 m and finite, not {distance_m:g}")


def outline_area_mm2(size: BeadSize) -> float:
    """Return the area of a bead seen from above, of the outline that `BeadSize.reach_mm` describes."""
    if not size.rounded:
        return size.length_mm * size.diameter_mm
    return math.pi / 4 * size.length_mm**2 + (size.diameter_mm - size.length_mm) * size.length_mm


def covered_share(weave: Weave) -> FloatArray:
    """Return how much of each bead's cell the bead covers, shape (B,); the rest shows the backing."""
    across = weave.cells[:, 2] - weave.cells[:, 0]
    along = weave.cells[:, 3] - weave.cells[:, 1]
    cell = np.abs(across[:, 0] * along[:, 1] - across[:, 1] * along[:, 0]) / 2
    outline = np.array([outline_area_mm2(size) for size in weave.sizes])[weave.bead_size]
    return np.asarray(np.minimum(outline / cell, 1))


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
    backing : ndarray of shape (3,)
        Linear sRGB of what lies behind the beads.
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
        backing: FloatArray,
        distance_m: float = VIEW_DISTANCE_M,
    ) -> None:
        check_distance(distance_m)
        pixel_mm = weave.spacing.pitch_mm / _PIXELS_IN_PITCH
        self._raster = cell_raster(weave, pixel_mm)
        self._per_degree = pixels_per_degree(pixel_mm, distance_m * 1000)
        self._share = covered_share(weave)[:, None]
        self._wanted, self._backing = wanted, backing

    def _seen(self, cells: FloatArray) -> NDArray[np.float32]:
        """Return what is seen of one colour for each cell, in CIELAB, at the pixels of the piece.

        Around the piece lies its own mean colour: what it is laid on is no part of the question.
        """
        around = np.vstack([cells, cells.mean(axis=0)]).astype(np.float32)
        return np.asarray(seen(around[self._raster], self._per_degree)[self._raster != _BARE])

    def _with_gaps(self, beads: FloatArray) -> FloatArray:
        return np.asarray(self._share * beads + (1 - self._share) * self._backing)

    @cached_property
    def _picture_with_gaps(self) -> NDArray[np.float32]:
        return self._seen(self._with_gaps(self._wanted))

    def from_best(self, beads: FloatArray) -> float:
        """Return the mean S-CIELAB difference between beads (B, 3) and beads of just the picture's colours.

        Both are seen with the same gaps and backing, so this is what the choice of beads accounts for.
        """
        return _mean_difference(self._picture_with_gaps, self._seen(self._with_gaps(beads)))


def _mean_difference(picture: NDArray[np.float32], beads: NDArray[np.float32]) -> float:
    """Return the mean difference in CIELAB of two arrays (N, 3), some at a time to save memory."""
    total = 0.0
    for start in range(0, len(picture), _BLOCK_PIXELS):
        block = slice(start, start + _BLOCK_PIXELS)
        total += float(cie76(picture[block], beads[block]).sum())
    return total / len(picture)
