"""The mean colour of a picture over polygons, exact to the last fraction of a pixel.

By Green's theorem the integral of a picture over a polygon is a sum over its edges: with S(x, y) the
integral of pixel column x from the top down to y, an edge adds the integral of S along it. Edges are cut
at the borders of pixels; within a pixel S is linear, so that a piece adds its width times S at its middle.
S is a prefix sum down the columns: the work grows with the pixels of the picture and with those that edges
cross, whatever the ratio of cells to pixels.
"""

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from convert.colour.srgb import decode
from convert.picture.model import Picture
from convert.weave.boxes import boxes

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

# So many pixels of a strip are summed at a time: they and their sums stay in the processor's cache.
_BLOCK_PIXELS = 100_000
# Polygons are taken until their edges are cut into about so many pieces.
_BLOCK_PIECES = 400_000
# Each thread holds a block of its own; more threads would trade memory for little time.
_MOST_THREADS = 4
# Coverage below this is what rounding leaves of none.
_NO_COVERAGE = 1e-9


def polygon_means(picture: Picture, polygons: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the mean colour of a picture over each polygon, in linear light.

    Transparent pixels and what lies outside the picture do not count.

    Parameters
    ----------
    picture : Picture
        The picture.
    polygons : ndarray of shape (N, K, 2)
        Corners in pixels, x right and y down; pixel (r, c) covers [c, c + 1] x [r, r + 1]. The corners of a
        polygon may run either way round; its edges do not cross each other.

    Returns
    -------
    means : ndarray of shape (N, 3), float64
        Linear sRGB; NaN where the polygon shows nothing.
    coverage : ndarray of shape (N,), float64
        Share of the polygon's area that shows the picture, 0 to 1.
    """
    means = np.empty((len(polygons), 3))
    coverage = np.empty(len(polygons))
    for part, light, shown in _in_strips(picture, polygons, range(3)):
        means[part], coverage[part] = _divided(light, shown, _areas(polygons[part]))
    return means, coverage


def polygon_coverage(picture: Picture, polygons: FloatArray) -> FloatArray:
    """Return the share of each polygon's area that shows a picture, as `polygon_means` does."""
    coverage = np.empty(len(polygons))
    for part, _, shown in _in_strips(picture, polygons, ()):
        coverage[part] = _covered(shown, _areas(polygons[part]))
    return coverage


def _in_strips(
    picture: Picture, polygons: FloatArray, channels: Sequence[int]
) -> Iterator[tuple[IntArray, FloatArray, FloatArray]]:
    """Yield some of the polygons at a time, with the integrals of some channels over them and of opacity."""
    parts = _strips(polygons, picture.pixels.shape[:2])
    with ThreadPoolExecutor(min(_MOST_THREADS, os.cpu_count() or 1)) as pool:
        results = pool.map(lambda part: _integrals(picture, polygons[part], channels), parts)
        for part, (light, shown) in zip(parts, results, strict=True):
            yield part, light, shown


def _strips(polygons: FloatArray, shape: tuple[int, ...]) -> list[IntArray]:
    """Return the polygons in parts of about as much work each, which lie in strips across the picture."""
    if not len(polygons):
        return []
    low, high = boxes(polygons)
    across = np.clip(high, 0, shape[::-1]) - np.clip(low, 0, shape[::-1])
    order = np.argsort(low[:, 1] + high[:, 1], kind="stable")
    pieces = np.cumsum(2 * (across.sum(axis=1) + polygons.shape[1])[order])
    return np.split(order, np.flatnonzero(np.diff(pieces // _BLOCK_PIECES)) + 1)


def _integrals(
    picture: Picture, polygons: FloatArray, channels: Sequence[int]
) -> tuple[FloatArray, FloatArray]:
    height, width = picture.pixels.shape[:2]
    # Rows that the polygons do not reach are not summed.
    top = int(np.clip(np.floor(polygons[..., 1].min()), 0, height - 1))
    bottom = int(np.clip(np.ceil(polygons[..., 1].max()), top + 1, height))
    columns = _cut_at_columns(polygons - (0, top), width)
    light = np.zeros((len(channels), len(polygons)))
    shown = np.zeros(len(polygons))
    block = max(1, _BLOCK_PIXELS // (bottom - top))
    firsts = range(0, width, block)
    bounds = np.searchsorted(columns.column, [*firsts, width]).tolist()
    for first, start, end in zip(firsts, bounds[:-1], bounds[1:], strict=True):
        if start == end:
            continue
        here = _cut_at_rows(columns.some(slice(start, end), first), bottom - top)
        pixels = picture.pixels[top:bottom, first : first + block]
        if picture.alpha is None:
            shown += here.covered(len(polygons))
            for number, channel in enumerate(channels):
                light[number] += here.integrals(decode(pixels[..., channel]), len(polygons))
        else:
            opacity = picture.alpha[top:bottom, first : first + block] / 255.0
            shown += here.integrals(opacity, len(polygons))
            for number, channel in enumerate(channels):
                light[number] += here.integrals(decode(pixels[..., channel]) * opacity, len(polygons))
    return light, shown


def _divided(light: FloatArray, shown: FloatArray, area: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return means and coverage for integrals of light and opacity, whose signs are those of the areas."""
    coverage = _covered(shown, area)
    seen = coverage > 0
    means = np.full((len(area), 3), np.nan)
    means[seen] = np.clip(light[:, seen] / shown[seen], 0.0, 1.0).T
    return means, coverage


def _covered(shown: FloatArray, area: FloatArray) -> FloatArray:
    """Return coverage for integrals of opacity, whose signs are those of the areas."""
    coverage = np.clip(np.divide(shown, area, out=np.zeros_like(area), where=area != 0), 0.0, 1.0)
    coverage[coverage < _NO_COVERAGE] = 0.0
    return np.asarray(coverage)


def _areas(polygons: FloatArray) -> FloatArray:
    """Return the areas by the shoelace formula, positive for corners that run clockwise on the page."""
    # From a corner of its own: small polygons far from the origin would lose digits.
    x, y = np.moveaxis(polygons - polygons[:, :1], -1, 0)
    return np.asarray(0.5 * (x * np.roll(y, -1, axis=1) - y * np.roll(x, -1, axis=1)).sum(axis=1))


class _ColumnPieces(NamedTuple):
    """Edges cut at the borders of pixel columns, in the order of the columns; arrays of shape (n,)."""

    polygon: IntArray
    column: IntArray
    # With y down and corners clockwise on the page the edges at the bottom run left: they count as positive.
    width: FloatArray
    low: FloatArray
    high: FloatArray

    def some(self, which: slice, first: int) -> "_ColumnPieces":
        """Return some of the pieces, their columns counted from `first`."""
        return _ColumnPieces(
            self.polygon[which],
            self.column[which] - first,
            self.width[which],
            self.low[which],
            self.high[which],
        )


class _Pieces(NamedTuple):
    """Edges cut at the borders of pixels; arrays of shape (n,)."""

    polygon: IntArray
    column: IntArray
    row: IntArray
    # How far down in its pixel the middle of the piece is, 0 to 1.
    part: FloatArray
    width: FloatArray

    def covered(self, count: int) -> FloatArray:
        """Return what these pieces add to the area inside the picture of each of `count` polygons."""
        return np.asarray(np.bincount(self.polygon, self.width * (self.row + self.part), count))

    def integrals(self, plane: FloatArray, count: int) -> FloatArray:
        """Return what these pieces add to the integral of one channel over each of `count` polygons.

        Parameters
        ----------
        plane : ndarray of shape (rows, columns), float64
            The channel.
        count : int
            Number of polygons.
        """
        rows, columns = plane.shape
        sums = np.empty((rows + 1, columns))
        sums[0] = 0
        np.cumsum(plane, axis=0, out=sums[1:])
        above = self.row * columns + self.column
        at_middle = sums.take(above)
        at_middle += self.part * (sums.take(above + columns) - at_middle)
        at_middle *= self.width
        return np.asarray(np.bincount(self.polygon, at_middle, count))


def _cut_at_columns(polygons: FloatArray, columns: int) -> _ColumnPieces:
    """Cut all edges of polygons at the borders of columns; what lies beside the picture falls away."""
    start = polygons.reshape(-1, 2)
    end = np.roll(polygons, -1, axis=1).reshape(-1, 2)
    low, high = np.minimum(start[:, 0], end[:, 0]), np.maximum(start[:, 0], end[:, 0])
    first = np.clip(np.floor(low), 0, columns).astype(np.intp)
    last = np.clip(np.ceil(high), 0, columns).astype(np.intp)
    edge, column = _runs(first, np.where(high > low, last - first, 0))
    # numpy sorts 16-bit numbers in linear time.
    order = np.argsort(column.astype(np.min_scalar_type(columns)), kind="stable")
    edge, column = edge[order], column[order]
    rise, run = end[:, 1] - start[:, 1], end[:, 0] - start[:, 0]
    slope = np.divide(rise, run, out=np.zeros_like(run), where=high > low)[edge]
    from_x, from_y = start[edge, 0], start[edge, 1]
    x0, x1 = np.clip(from_x, column, column + 1), np.clip(end[edge, 0], column, column + 1)
    y0, y1 = from_y + (x0 - from_x) * slope, from_y + (x1 - from_x) * slope
    return _ColumnPieces(edge // polygons.shape[1], column, x0 - x1, np.minimum(y0, y1), np.maximum(y0, y1))


def _cut_at_rows(pieces: _ColumnPieces, rows: int) -> _Pieces:
    """Cut pieces at the borders of rows.

    What lies above the picture falls away, as S is zero there; below it S is what it is at the bottom.
    """
    first = np.clip(np.floor(pieces.low), 0, rows).astype(np.intp)
    last = np.clip(np.ceil(pieces.high), first + 1, rows + 1).astype(np.intp)
    piece, row = _runs(first, last - first)
    low, high = pieces.low[piece], pieces.high[piece]
    upper = np.maximum(low, row)
    lower = np.where(row == rows, high, np.minimum(high, row + 1))
    rise = high - low
    share = np.divide(np.maximum(lower - upper, 0), rise, out=np.ones_like(rise), where=rise > 0)
    row = np.minimum(row, rows - 1)
    return _Pieces(
        polygon=pieces.polygon[piece],
        column=pieces.column[piece],
        row=row,
        part=np.clip((upper + lower) / 2 - row, 0, 1),
        width=pieces.width[piece] * share,
    )


def _runs(first: IntArray, counts: IntArray) -> tuple[IntArray, IntArray]:
    """Return for runs of numbers, given by first number and length, the run of each number and the number."""
    run = np.repeat(np.arange(len(counts)), counts)
    return run, np.arange(len(run)) + (first - np.cumsum(counts) + counts)[run]
