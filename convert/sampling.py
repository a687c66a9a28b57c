"""The mean colour of a picture over polygons, exact to the last fraction of a pixel.

By Green's theorem the integral of a picture over a polygon is a sum over its edges: with S(x, y) the
integral of pixel column x from the top down to y, each edge adds the integral of S along it. Within a column
an edge is straight and S is piecewise linear in y, so with T the integral of S the edge's share is
dx * (T(y1) - T(y0)) / (y1 - y0), and dx * S(y) where it is level. S and T are prefix sums down the columns,
so the work grows with the picture and with the columns that edges cross, not with the cells' area.
"""

import os
from concurrent.futures import ThreadPoolExecutor
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from convert.colour.srgb import decode
from convert.picture import Picture

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

# Prefix sums are held for so many pixels at a time: they and the pixels stay in the processor's cache.
_BLOCK_PIXELS = 100_000
# Edges are cut at pixel columns into about so many pieces at a time.
_BLOCK_PIECES = 500_000
# An edge lower than this within a column is taken as level; T would cancel there.
_LEVEL = 1e-6


def polygon_means(picture: Picture, polygons: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the mean colour of a picture over each polygon, in linear light.

    Transparent pixels and what lies outside the picture do not count.

    Parameters
    ----------
    picture : Picture
        The picture.
    polygons : ndarray of shape (N, K, 2)
        Corners in pixels, x right and y down; pixel (r, c) covers [c, c + 1] x [r, r + 1].

    Returns
    -------
    means : ndarray of shape (N, 3), float64
        Linear sRGB; NaN where the polygon shows nothing.
    coverage : ndarray of shape (N,), float64
        Share of the polygon's area that shows the picture, 0 to 1.
    """
    means = np.empty((len(polygons), 3))
    coverage = np.empty(len(polygons))
    pieces_each = (
        polygons.shape[1] * (1 + float(np.ptp(polygons[..., 0], axis=1).mean())) if len(polygons) else 1
    )
    step = max(1, int(_BLOCK_PIECES / pieces_each))
    # Cells come row by row, so that a block of them lies in a strip of the picture.
    parts = [slice(start, start + step) for start in range(0, len(polygons), step)]
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        results = pool.map(lambda part: _means(picture, polygons[part]), parts)
        for part, result in zip(parts, results, strict=True):
            means[part], coverage[part] = result
    return means, coverage


def _means(picture: Picture, polygons: FloatArray) -> tuple[FloatArray, FloatArray]:
    height, width = picture.pixels.shape[:2]
    x, y = polygons[..., 0], polygons[..., 1]
    area = 0.5 * (x * np.roll(y, -1, axis=1) - y * np.roll(x, -1, axis=1)).sum(axis=1)
    # Rows outside hold nothing, so only those that the polygons reach are summed.
    top = int(np.clip(np.floor(y.min()), 0, height - 1))
    bottom = int(np.clip(np.ceil(y.max()), top + 1, height))
    pieces = _cut_at_columns(polygons - (0, top), width)
    channels = 3 if picture.alpha is None else 4
    totals = np.zeros((channels, len(polygons)))
    block = max(1, _BLOCK_PIXELS // (bottom - top))
    bounds = np.searchsorted(pieces.column, np.arange(0, width + block, block))
    for number, (start, end) in enumerate(zip(bounds[:-1].tolist(), bounds[1:].tolist(), strict=True)):
        if start == end:
            continue
        here = pieces.part(slice(start, end))
        first = number * block
        sums = _PrefixSums(picture, slice(top, bottom), slice(first, min(first + block, width)))
        for channel, shares in enumerate(sums.along(here, first).T):
            totals[channel] += np.bincount(here.polygon, shares, len(polygons))
    if picture.alpha is None:
        shown = np.bincount(pieces.polygon, _covered(pieces, bottom - top), len(polygons))
    else:
        shown = totals[3]
    # Corners that run anticlockwise turn all signs round.
    sign = np.where(area < 0, -1.0, 1.0)
    shown, light = shown * sign, totals[:3] * sign
    coverage = np.clip(shown / np.where(area == 0, np.inf, np.abs(area)), 0.0, 1.0)
    coverage[coverage < 1e-9] = 0.0
    means = np.full((len(polygons), 3), np.nan)
    seen = coverage > 0
    means[seen] = np.clip(light[:, seen] / shown[seen], 0.0, 1.0).T
    return means, coverage


class _Pieces(NamedTuple):
    """Edges cut at the borders of pixel columns, in the order of the columns; arrays of shape (n,)."""

    polygon: IntArray
    column: IntArray
    x0: FloatArray
    x1: FloatArray
    y0: FloatArray
    y1: FloatArray

    def part(self, some: slice) -> "_Pieces":
        """Return some of the pieces."""
        return _Pieces(
            self.polygon[some], self.column[some], self.x0[some], self.x1[some], self.y0[some], self.y1[some]
        )

    @property
    def level(self) -> NDArray[np.bool_]:
        """Which pieces are as good as level."""
        return np.asarray(np.abs(self.y1 - self.y0) < _LEVEL)


def _cut_at_columns(polygons: FloatArray, width: int) -> _Pieces:
    """Cut all edges at the borders of pixel columns; what lies beside the picture falls away."""
    start = polygons.reshape(-1, 2)
    end = np.roll(polygons, -1, axis=1).reshape(-1, 2)
    low, high = np.minimum(start[:, 0], end[:, 0]), np.maximum(start[:, 0], end[:, 0])
    first = np.clip(np.floor(low), 0, width).astype(np.intp)
    last = np.clip(np.ceil(high), 0, width).astype(np.intp)
    pieces = np.where(high > low, np.maximum(last - first, 0), 0)
    edge = np.repeat(np.arange(len(start)), pieces)
    offset = np.cumsum(pieces) - pieces
    column = first[edge] + np.arange(len(edge)) - offset[edge]
    order = np.argsort(column, kind="stable")
    edge, column = edge[order], column[order]
    from_x, from_y, to_x = start[edge, 0], start[edge, 1], end[edge, 0]
    slope = (end[edge, 1] - from_y) / (to_x - from_x)
    x0, x1 = np.clip(from_x, column, column + 1), np.clip(to_x, column, column + 1)
    return _Pieces(
        edge // polygons.shape[1],
        column,
        x0,
        x1,
        from_y + (x0 - from_x) * slope,
        from_y + (x1 - from_x) * slope,
    )


def _covered(pieces: _Pieces, rows: int) -> FloatArray:
    """Return what pieces of edges add to the area inside an opaque picture: the sums of ones."""

    def double(y: FloatArray) -> FloatArray:
        return np.asarray(np.clip(y, 0, rows) ** 2 / 2 + np.maximum(y - rows, 0) * rows)

    level = pieces.level
    rise = np.where(level, 1.0, pieces.y1 - pieces.y0)
    middle = np.clip((pieces.y0 + pieces.y1) / 2, 0, rows)
    height = np.where(level, middle, (double(pieces.y1) - double(pieces.y0)) / rise)
    return np.asarray((pieces.x0 - pieces.x1) * height)


class _PrefixSums:
    """S and T of a block of columns, for each channel.

    Parameters
    ----------
    picture : Picture
        The picture.
    rows, columns : slice
        The block.
    """

    def __init__(self, picture: Picture, rows: slice, columns: slice) -> None:
        linear = decode(picture.pixels[rows, columns])
        if picture.alpha is not None:
            alpha = picture.alpha[rows, columns, None] / 255.0
            linear = np.concatenate([linear * alpha, alpha], axis=2)
        self.rows = len(linear)
        self.value = linear
        # Whole rows are added, which is quicker than numpy's cumsum down the columns. Within a pixel S is
        # linear, so its integral is that of a trapezium.
        self.single = np.empty((self.rows + 1, *linear.shape[1:]))
        self.double = np.empty_like(self.single)
        self.single[0] = self.double[0] = 0
        for row in range(self.rows):
            np.add(self.single[row], linear[row], out=self.single[row + 1])
            np.add(self.single[row], self.single[row + 1], out=self.double[row + 1])
            self.double[row + 1] *= 0.5
            self.double[row + 1] += self.double[row]

    def along(self, pieces: _Pieces, first: int) -> FloatArray:
        """Return what pieces of edges add to the integral of each channel, shape (n, channels).

        Parameters
        ----------
        pieces : _Pieces
            Pieces in the columns of this block.
        first : int
            Column of the picture at which the block begins.
        """
        column, level = pieces.column - first, pieces.level
        rise = np.where(level, 1.0, pieces.y1 - pieces.y0)
        shares = self._at(pieces.y1, column, double=True) - self._at(pieces.y0, column, double=True)
        shares /= rise[:, None]
        if level.any():
            shares[level] = self._at((pieces.y0 + pieces.y1)[level] / 2, column[level], double=False)
        # With y down and corners clockwise on the page the edges at the top run to the right.
        shares *= (pieces.x0 - pieces.x1)[:, None]
        return shares

    def _at(self, y: FloatArray, column: IntArray, *, double: bool) -> FloatArray:
        """Return T (or S) at a height in a column, shape (n, channels)."""
        row = np.clip(y, 0, self.rows - 1).astype(np.intp)
        part = np.clip(y - row, 0, 1)[:, None]
        beyond = np.maximum(y - self.rows, 0)[:, None]
        value, single = self.value[row, column], self.single[row, column]
        if not double:
            return np.asarray(single + part * value)
        upto = self.double[row, column] + part * (single + part / 2 * value)
        return np.asarray(upto + beyond * self.single[self.rows, column] if beyond.any() else upto)
