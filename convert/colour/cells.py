"""Many colours sorted into small cells of a polar grid, and those into coarse cells.

The axes are L*, R cos h and R sin h, with R = ln(1 + 0.045 C) / 0.045: this spreads chroma about as the
weight S_C of CIEDE2000 compresses it, so that cells are about equally wide in that difference.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.colour.lab import lab_to_lch

_COLOURS_PER_CELL = 16  # measured: up to 32 makes little odds, 128 takes twice as long
_WIDEST, _NARROWEST = 8.0, 1.0
_OFFSET = 1 << 12  # makes grid coordinates positive: 4096 cells reach past any colour
_BITS = 14


@dataclass(frozen=True, eq=False)
class Cells:
    """Colours in cells.

    Attributes
    ----------
    order : ndarray of shape (N,), intp
        The colours, cell by cell.
    start : ndarray of shape (F,), intp
        Where each cell begins in `order`.
    box : ndarray of shape (F, 3, 2), float64
        The ranges of lightness, chroma and hue of each cell's colours, see `convert.colour.bounds`.
    coarse : ndarray of shape (F,), intp
        The coarse cell that holds each cell.
    coarse_box : ndarray of shape (A, 3, 2), float64
    """

    order: NDArray[np.intp]
    start: NDArray[np.intp]
    box: NDArray[np.float64]
    coarse: NDArray[np.intp]
    coarse_box: NDArray[np.float64]


def sort_into_cells(lab: NDArray[np.float64]) -> Cells:
    """Return the cells, of about 16 colours where colours are dense enough, of N >= 1 colours (N, 3)."""
    lch = lab_to_lch(lab)
    place = spread_evenly(lch)
    widest = len(np.unique(_packed(np.floor(place / _WIDEST).astype(np.int64) + _OFFSET)))
    side = _WIDEST * (_COLOURS_PER_CELL * widest / len(lab)) ** (1 / 3)
    grid = np.floor(place / np.clip(side, _NARROWEST, _WIDEST)).astype(np.int64) + _OFFSET
    # Four cells a side make a coarse cell; with the coarse place in the high bits both lie together.
    key = _packed(grid >> 2) << 6 | (grid[:, 0] & 3) << 4 | (grid[:, 1] & 3) << 2 | grid[:, 2] & 3
    order = np.argsort(key)
    key = key[order]
    start = _starts(key)
    coarse_start = _starts(key >> 6)
    lch = lch[order]
    return Cells(
        order=order,
        start=start,
        box=_ranges(lch, start),
        coarse=np.searchsorted(coarse_start, start, side="right") - 1,
        coarse_box=_ranges(lch, coarse_start),
    )


def spread_evenly(lch: NDArray[np.float64], lightness: float = 1.0) -> NDArray[np.float64]:
    """Return the places of colours (N, 3) on the axes of the grid, from lightness, chroma and hue.

    Where lightness weighs more in the difference its axis is as many times longer.
    """
    spread = np.log1p(0.045 * lch[:, 1]) / 0.045
    return np.stack([lightness * lch[:, 0], spread * np.cos(lch[:, 2]), spread * np.sin(lch[:, 2])], axis=-1)


def _packed(grid: NDArray[np.int64]) -> NDArray[np.int64]:
    packed: NDArray[np.int64] = grid[:, 0] << (2 * _BITS) | grid[:, 1] << _BITS | grid[:, 2]
    return packed


def _starts(key: NDArray[np.int64]) -> NDArray[np.intp]:
    return np.flatnonzero(np.diff(key, prepend=-1))


def _ranges(lch: NDArray[np.float64], start: NDArray[np.intp]) -> NDArray[np.float64]:
    """Return the least and greatest lightness, chroma and hue of each run of colours, (F, 3, 2)."""
    count = np.diff(start, append=len(lch))
    # Hue is measured from the cell's first colour, so that a cell across the 180-degree seam stays narrow.
    first = lch[start, 2]
    turn = lch[:, 2] - np.repeat(first, count)
    turn -= 2 * np.pi * np.rint(turn / (2 * np.pi))
    measured = np.stack([lch[:, 0], lch[:, 1], turn], axis=-1)
    ranges = np.stack([np.minimum.reduceat(measured, start), np.maximum.reduceat(measured, start)], axis=-1)
    ranges[:, 2] += first[:, np.newaxis]
    return ranges
