"""The best few colours of a palette for a picture, and how far from the best possible they can be.

Like picture colours are gathered, and for those the best few are chosen (`convert.choice.medians`), with
prices that bound what any choice could reach. In the end the prices are carried over to each picture colour,
at the same share of the way from its nearest to its second nearest chosen colour and as much beyond, and the
bound is taken over all picture colours: what it says holds for the picture, not just for the gathered ones.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.choice.medians import UNUSABLE, best_values, ladder, solve, two_nearest
from convert.colour.bounds import lower_bound
from convert.colour.cells import sort_into_cells, spread_evenly
from convert.colour.distances import CIEDE2000, Distance
from convert.colour.lab import lab_to_lch
from convert.colour.matching import merge_equal

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# Colours are chosen on at most so many gathered picture colours, fewer for a large palette.
_MOST_CLUSTERS = 4_000
_MOST_PAIRS = 6_000_000
_FINEST_CELL, _COARSER = 0.5, 1.2
_CHUNK_PAIRS = 1 << 16


@dataclass(frozen=True, eq=False, slots=True)
class Reduction:
    """A choice of colours.

    Parameters
    ----------
    chosen : ndarray of shape (N,), int64
        Columns chosen, ascending.
    total : float
        Sum of the distances of all beads to the nearest chosen colour.
    bound : float
        No choice of as many colours has a smaller sum.
    """

    chosen: IntArray
    total: float
    bound: float

    @property
    def gap(self) -> float:
        """Largest share by which the best choice could be better than this one; 0 where this is the best."""
        return max(0.0, 1 - self.bound / self.total) if self.total > 0 else 0.0


@dataclass(frozen=True, eq=False, slots=True)
class Demand:
    """Distinct picture colours of the beads of one size, and what the palette offers them.

    Parameters
    ----------
    lab : ndarray of shape (M, 3), float64
        Colours wanted, CIELAB.
    weights : ndarray of shape (M,), float64
        Beads of each.
    columns : ndarray of int64
        Colours that come in this size, as columns of the problem.
    offered : ndarray of shape (len(columns), 3), float64
        CIELAB of those.
    """

    lab: FloatArray
    weights: FloatArray
    columns: IntArray
    offered: FloatArray

    @classmethod
    def of_beads(
        cls, lab: FloatArray, columns: IntArray, offered: FloatArray, weight: float = 1.0
    ) -> "Demand":
        """Return the demand of beads that want these colours, shape (B, 3), and weigh so much each."""
        distinct, inverse = merge_equal(np.ascontiguousarray(lab, dtype=np.float64))
        counts = np.bincount(inverse, minlength=len(distinct)).astype(np.float64)
        return cls(distinct, weight * counts, columns, offered)


@dataclass(frozen=True, eq=False, slots=True)
class Problem:
    """Demands made ready once, for choices of several sizes.

    Parameters
    ----------
    demands : sequence of Demand
        One for each bead size of each piece; a colour that comes in several has one column in all.
    columns : int
        Colours to choose from.
    measure : Distance
        The colour difference.
    gathered : list of tuple
        The demands as `gather` returns them.
    cost : ndarray of shape (C, columns), float64
        What a bead of each gathered colour costs in each column.
    """

    demands: Sequence[Demand]
    columns: int
    measure: Distance
    gathered: list[tuple[FloatArray, FloatArray, IntArray]]
    cost: FloatArray

    @classmethod
    def of(cls, demands: Sequence[Demand], columns: int, measure: Distance = CIEDE2000) -> "Problem":
        """Return the problem of some demands."""
        limit = _cluster_limit(columns, len(demands))
        gathered = [gather(demand, limit, measure.lightness) for demand in demands]
        every = np.arange(columns)
        cost = [
            _costs(demand, lab, every, measure) for demand, (lab, _, _) in zip(demands, gathered, strict=True)
        ]
        return cls(demands, columns, measure, gathered, np.concatenate(cost))

    @property
    def weights(self) -> FloatArray:
        """Beads of each gathered colour, shape (C,)."""
        return np.concatenate([sums for _, sums, _ in self.gathered])

    def ladder(self, counts: Sequence[int], keep: IntArray) -> Iterator[IntArray]:
        """Yield good columns for each of several counts, ascending, without a bound; see `best`."""
        return ladder(self.cost, self.weights, counts, keep)

    def best(self, count: int, keep: IntArray) -> Reduction:
        """Return the best colours, with a bound.

        Parameters
        ----------
        count : int
            Colours to choose, from 1 to `columns` and at least those to keep.
        keep : ndarray of int
            Columns that must be chosen.
        """
        chosen, price = solve(self.cost, self.weights, count, keep)
        chosen = np.sort(chosen)
        _, first, second = two_nearest(self.cost[:, chosen])
        share = np.clip((price - first) / np.maximum(second - first, 1e-12), 0, 1)
        beyond = price - (first + share * (second - first))

        total, offset, values, cluster_start = 0.0, 0.0, np.zeros(self.columns), 0
        for demand, (lab, _, cluster) in zip(self.demands, self.gathered, strict=True):
            _, first, second = two_nearest(_costs(demand, demand.lab, chosen, self.measure))
            here = cluster_start + cluster
            prices = first + share[here] * (second - first) + beyond[here]
            cluster_start += len(lab)
            total += float(demand.weights @ first)
            offset += float(demand.weights @ prices)
            values[demand.columns] += _values(demand, prices, self.measure)
        return Reduction(chosen, total, offset + best_values(values, count, keep)[1])


def reduce_colours(
    demands: Sequence[Demand], columns: int, count: int, keep: IntArray, measure: Distance = CIEDE2000
) -> Reduction:
    """Return the best colours for a picture; parameters as in `Problem` and `Problem.best`."""
    return Problem.of(demands, columns, measure).best(count, keep)


def gather(demand: Demand, limit: int, lightness: float = 1.0) -> tuple[FloatArray, FloatArray, IntArray]:
    """Return at most about `limit` clusters of the colours of a demand.

    Cells of a grid on axes where plain distance is close to the colour difference; the finest grid that has
    no more cells than the limit.

    Returns
    -------
    lab : ndarray of shape (C, 3)
        Mean colour of each cluster.
    weights : ndarray of shape (C,)
        Beads of each.
    cluster : ndarray of shape (M,), int64
        Cluster of each colour.
    """
    if len(demand.lab) <= limit:
        return demand.lab, demand.weights, np.arange(len(demand.lab))
    place = spread_evenly(lab_to_lch(demand.lab), lightness)
    place -= place.min(axis=0)
    step = _FINEST_CELL
    while True:
        cell = (place / step).astype(np.int64)
        widths = cell.max(axis=0) + 1
        number = (cell[:, 0] * widths[1] + cell[:, 1]) * widths[2] + cell[:, 2]
        distinct, cluster = np.unique(number, return_inverse=True)
        if len(distinct) <= limit:
            break
        step *= _COARSER
    weights = np.bincount(cluster, demand.weights).astype(np.float64)
    sums = [np.bincount(cluster, demand.weights * axis) for axis in demand.lab.T]
    means: FloatArray = np.stack(sums, axis=1) / weights[:, np.newaxis]
    return means, weights, cluster


def _cluster_limit(columns: int, demands: int) -> int:
    """Return the most clusters of a demand; those of one piece, at most two, may all be large."""
    limit = min(_MOST_CLUSTERS, max(1_000, _MOST_PAIRS // columns))
    return limit * 2 // max(2, demands)


def _costs(demand: Demand, lab: FloatArray, columns: IntArray, measure: Distance) -> FloatArray:
    """Return what a bead of each colour (C, 3) costs in each of some columns, which ascend."""
    cost = np.full((len(lab), len(columns)), UNUSABLE)
    offers = np.flatnonzero(np.isin(demand.columns, columns))
    place = np.searchsorted(columns, demand.columns[offers])
    for rows in _chunks(len(lab), max(1, _CHUNK_PAIRS // max(1, len(offers)))):
        cost[rows, place] = measure(lab[rows, np.newaxis], demand.offered[offers])
    return cost


def _values(demand: Demand, prices: FloatArray, measure: Distance) -> FloatArray:
    """Return what each colour of a demand is worth at these prices: the sum of its costs below them."""
    values = np.zeros(len(demand.columns))
    for rows, offers in _pairs_that_count(demand, prices, measure):
        cost = measure(demand.lab[rows, np.newaxis], demand.offered[offers])
        values[offers] += demand.weights[rows] @ np.minimum(cost - prices[rows, np.newaxis], 0)
    return values


def _pairs_that_count(
    demand: Demand, prices: FloatArray, measure: Distance
) -> Iterator[tuple[IntArray, IntArray]]:
    """Give blocks of colours and offers with all pairs that may cost less than the colour's price."""
    everything = np.arange(len(demand.columns))
    if not measure.bounded:
        for part in _chunks(len(prices), max(1, _CHUNK_PAIRS // max(1, len(everything)))):
            yield np.arange(len(prices))[part], everything
        return
    cells = sort_into_cells(demand.lab)
    offered = lab_to_lch(demand.offered)
    ends = np.append(cells.start[1:], len(prices))
    for start, end, box in zip(cells.start, ends, cells.box, strict=True):
        rows = cells.order[start:end]
        yield rows, everything[lower_bound(box[np.newaxis], offered, measure.lightness) < prices[rows].max()]


def _chunks(length: int, step: int) -> list[slice]:
    return [slice(start, start + step) for start in range(0, length, step)]
