"""A piece cut into parts that fit on pages, each overlapping the parts beside it."""

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.drawing.style import Box
from convert.weave.model import FloatArray

NO_CUTS: FloatArray = np.empty(0)


@dataclass(frozen=True, slots=True)
class Tile:
    """A part of the piece on a page of its own.

    Parameters
    ----------
    column, row : int
        Place of the part, from 0.
    window : tuple of float
        What is drawn.
    own : tuple of float
        What belongs to this part; the rest of the window belongs to the parts beside it, and is drawn so that
        the parts can be put together.
    """

    column: int
    row: int
    window: Box
    own: Box

    def holds(self, xy: FloatArray) -> NDArray[np.bool_]:
        """Return which points of shape (N, 2) belong to this part."""
        return np.asarray(((xy >= self.own[:2]) & (xy < self.own[2:])).all(axis=1))


@dataclass(frozen=True, slots=True)
class Tiling:
    """Parts in rows and columns, all of one size.

    Parameters
    ----------
    columns, rows : int
        How many there are.
    scale : float
        Millimetres on the page for a millimetre of the piece.
    tiles : tuple of Tile
        The parts, row by row.
    """

    columns: int
    rows: int
    scale: float
    tiles: tuple[Tile, ...]

    @property
    def window_mm(self) -> tuple[float, float]:
        """Width and height of a part on the page."""
        left, top, right, bottom = self.tiles[0].window
        return (right - left) * self.scale, (bottom - top) * self.scale


def tile(
    extent_mm: Box,
    area_mm: tuple[float, float],
    overlap_mm: float,
    scales: tuple[float, float],
    cuts: tuple[FloatArray, FloatArray] = (NO_CUTS, NO_CUTS),
) -> Tiling:
    """Return the fewest parts at a least scale, drawn as large as they then fit.

    Parameters
    ----------
    extent_mm : tuple of float
        The piece.
    area_mm : tuple of float
        Width and height that a page has for a part.
    overlap_mm : float
        How much of the piece two neighbouring parts share; at most half a part.
    scales : tuple of float
        Least and greatest scale.
    cuts : tuple of ndarray
        Where the piece is best parted across and down; where there are none, anywhere.
    """
    least_scale, most_scale = scales
    left, top, right, bottom = extent_mm
    spans = right - left, bottom - top
    most = [area / least_scale for area in area_mm]
    # Where a page holds hardly more than the overlap, every part still brings as much again.
    overlaps = [min(overlap_mm, length / 2) for length in most]
    counts = [_count(*lengths) for lengths in zip(spans, most, overlaps, strict=True)]
    fits = [
        count * area / (span + (count - 1) * overlap)
        for span, area, count, overlap in zip(spans, area_mm, counts, overlaps, strict=True)
    ]
    scale = min(most_scale, *fits)
    across, down = (_parts(*line) for line in zip((left, top), spans, counts, overlaps, cuts, strict=True))
    tiles = tuple(
        Tile(column, row, (x[0], y[0], x[1], y[1]), (x[2], y[2], x[3], y[3]))
        for row, y in enumerate(down)
        for column, x in enumerate(across)
    )
    return Tiling(len(across), len(down), scale, tiles)


def _count(span: float, most: float, overlap: float) -> int:
    """Return how many parts of at most a length cover a span."""
    if span <= most * (1 + 1e-9):
        return 1
    return math.ceil((span - overlap) / (most - overlap) - 1e-9)


def _parts(start: float, span: float, count: int, overlap: float, cuts: FloatArray) -> list[Box]:
    """Return where each part's window begins and ends, and where its own part does."""
    length = (span + (count - 1) * overlap) / count
    lows = [start + number * (length - overlap) for number in range(count)]
    owns = [-math.inf, *(_cut(low + overlap / 2, overlap / 4, cuts) for low in lows[1:]), math.inf]
    return [(low, low + length, *own) for low, own in zip(lows, itertools.pairwise(owns), strict=True)]


def _cut(at: float, most_off: float, cuts: FloatArray) -> float:
    """Return the best place to cut near one, if one is near enough."""
    if not len(cuts):
        return at
    nearest = float(cuts[np.abs(cuts - at).argmin()])
    return nearest if abs(nearest - at) <= most_off else at
