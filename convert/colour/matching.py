"""The nearest palette colour of each colour, exactly.

Equal colours are matched once. Under CIEDE2000 the distinct ones are sorted into small cells; a lower bound
of the difference between a whole cell and a palette colour (`convert.colour.bounds`) rules out most of the
palette for most cells, and the formula is evaluated only for the pairs that are left. Nothing is
approximated: the answer is that of all pairs.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from convert.colour.bounds import lower_bound
from convert.colour.cells import sort_into_cells, spread_evenly
from convert.colour.distances import CIEDE2000, Distance
from convert.colour.lab import lab_to_lch

Match = tuple[NDArray[np.int32], NDArray[np.float64]]

# Pairs evaluated at a time, so that the intermediate arrays of the formula stay in the processor's cache.
_CHUNK = 1 << 14


def nearest(lab: ArrayLike, palette_lab: ArrayLike, distance: Distance = CIEDE2000) -> Match:
    """Return the nearest palette colour of each colour; of equally near ones the first in the palette.

    Parameters
    ----------
    lab : array of shape (N, 3)
        CIELAB of the colours wanted.
    palette_lab : array of shape (K, 3), K >= 1
        CIELAB of the palette.
    distance : Distance
        The colour difference.

    Returns
    -------
    index : ndarray of shape (N,), int32
    distance : ndarray of shape (N,), float64
    """
    lab = np.ascontiguousarray(lab, dtype=np.float64)
    palette_lab = np.ascontiguousarray(palette_lab, dtype=np.float64)
    if len(lab) == 0:
        return np.empty(0, dtype=np.int32), np.empty(0)
    distinct, inverse = merge_equal(lab)
    search = _search_pruned if distance.bounded else _search_all
    index, least = search(distinct, palette_lab, distance)
    return index[inverse], least[inverse]


def merge_equal(lab: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Return the distinct rows (M, 3) of `lab` (N, 3), and for each row the place of its like (N,).

    Rows are sorted by a hash of their bits. Should two different colours share a hash, a colour may
    come out twice, which costs time but changes no answer.
    """
    bits = lab.view(np.uint64)
    multipliers = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9], dtype=np.uint64)
    mixed = bits * multipliers
    mixed ^= mixed >> np.uint64(29)
    order = np.argsort((mixed * multipliers[::-1]).sum(axis=1))
    ordered = lab[order]
    is_new = np.ones(len(lab), dtype=bool)
    is_new[1:] = (ordered[1:] != ordered[:-1]).any(axis=1)
    inverse = np.empty(len(lab), dtype=np.intp)
    inverse[order] = np.cumsum(is_new) - 1
    return ordered[is_new], inverse


def _search_all(lab: NDArray[np.float64], palette_lab: NDArray[np.float64], measure: Distance) -> Match:
    index = np.empty(len(lab), dtype=np.int32)
    least = np.empty(len(lab))
    for rows in _chunks(len(lab), max(1, _CHUNK // len(palette_lab))):
        table = measure(lab[rows, np.newaxis], palette_lab)
        index[rows] = table.argmin(axis=1)
        least[rows] = table.min(axis=1)
    return index, least


def _search_pruned(lab: NDArray[np.float64], palette_lab: NDArray[np.float64], measure: Distance) -> Match:
    cells = sort_into_cells(lab)
    size = np.diff(cells.start, append=len(lab))
    lab = lab[cells.order]
    palette_lch = lab_to_lch(palette_lab)

    def exact(row: NDArray[np.intp], entry: NDArray[np.intp]) -> NDArray[np.float64]:
        return _by_chunks(lambda part: measure(lab[row[part]], palette_lab[entry[part]]), len(row))

    coarse_bound = np.concatenate(
        [
            lower_bound(cells.coarse_box[rows, np.newaxis], palette_lch, measure.lightness)
            for rows in _chunks(len(cells.coarse_box), max(1, _CHUNK // len(palette_lab)))
        ]
    )

    # An entry good for the whole cell: the one nearest to the colour in its middle on the axes of the grid,
    # where plain distance is close to the difference.
    middle = spread_evenly(lab_to_lch(lab[cells.start + size // 2]), measure.lightness)
    place = spread_evenly(palette_lch, measure.lightness)
    incumbent = ((place**2).sum(axis=1) - 2 * middle @ place.T).argmin(axis=1)
    index = np.repeat(incumbent, size)
    least = exact(np.arange(len(lab)), index)

    # What may still beat it, first for some colour of the cell, then for each colour.
    worst = np.maximum.reduceat(least, cells.start)
    cell, entry = np.nonzero(coarse_bound[cells.coarse] <= worst[:, np.newaxis])

    def bounds(part: slice) -> NDArray[np.float64]:
        return lower_bound(cells.box[cell[part]], palette_lch[entry[part]], measure.lightness)

    bound = _by_chunks(bounds, len(cell))
    kept = (bound <= worst[cell]) & (entry != incumbent[cell])
    cell, entry, bound = cell[kept], entry[kept], bound[kept]
    length = size[cell]
    row = np.repeat(cells.start[cell] - np.cumsum(length) + length, length) + np.arange(length.sum())
    kept = np.repeat(bound, length) <= least[row]
    row, entry = row[kept], np.repeat(entry, length)[kept]
    difference = exact(row, entry)

    before = least.copy()
    np.minimum.at(least, row, difference)
    index[least < before] = len(palette_lab)
    best = difference == least[row]
    np.minimum.at(index, row[best], entry[best])

    result = np.empty(len(lab), dtype=np.int32)
    result[cells.order] = index
    distance = np.empty(len(lab))
    distance[cells.order] = least
    return result, distance


def _by_chunks(evaluate: Callable[[slice], NDArray[np.float64]], length: int) -> NDArray[np.float64]:
    values = np.empty(length)
    for part in _chunks(length, _CHUNK):
        values[part] = evaluate(part)
    return values


def _chunks(length: int, step: int) -> list[slice]:
    return [slice(start, start + step) for start in range(0, length, step)]
