"""The best few columns of a table of costs, and prices that bound what any choice could reach.

Each row is served by the cheapest of the chosen columns, and the sum is to be least: the k-median problem.
Columns are added greedily, then exchanged one for one while that helps (Teitz and Bart 1968; all exchanges at
once, brought up to date after each, as in Resende and Werneck 2007). A Lagrangian relaxation of "each row is
served by one column" gives a lower bound (Cornuejols, Fisher and Nemhauser 1977), raised by subgradient steps
of Polyak's length. Where the bound is not reached, the columns that it takes are a second start for the
exchange; then pairs are exchanged, among those columns that by the bound can be part of a better choice.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# Far beyond any cost: a column that cannot serve a row.
UNUSABLE = 1_000.0
_BOUND_STEPS, _PATIENCE = 400, 10
_GOOD_ENOUGH = 2e-4
# Of exchanges that make things worse so many are looked at for a second one that more than makes up for it,
# the least bad ones first, and so many columns are tried beside those chosen.
_FIRST_EXCHANGES, _MOST_OPEN = 60, 60
_BETTER = 1 - 1e-12


class _Nearest(NamedTuple):
    """For each row the place of the cheapest of some columns, its cost, and the second least cost."""

    owner: IntArray
    first: FloatArray
    second: FloatArray


class _Relaxed(NamedTuple):
    """The best lower bound found.

    Attributes
    ----------
    price : ndarray of shape (M,)
        The price of each row.
    bound : float
        No choice costs less.
    values : ndarray of shape (P,)
        What each column saves against the prices, not above 0.
    picked : ndarray of shape (N,)
        The columns worth most, of which the bound is made.
    """

    price: FloatArray
    bound: float
    values: FloatArray
    picked: IntArray


def solve(cost: FloatArray, weights: FloatArray, count: int, keep: IntArray) -> tuple[IntArray, FloatArray]:
    """Return chosen columns, and prices that give a lower bound.

    Parameters
    ----------
    cost : ndarray of shape (M, P)
        What a bead of each row costs in each column, at most `UNUSABLE`.
    weights : ndarray of shape (M,)
        Beads of each row.
    count : int
        Columns to choose.
    keep : ndarray of int
        Columns that must be chosen.

    Returns
    -------
    chosen : ndarray of shape (count,), int64
    price : ndarray of shape (M,), float64
        Prices, one for a bead of each row. With a column worth what its beads save against their prices, all
        beads at their prices less the `count` columns worth most are at most the cost of the best choice.
    """
    chosen = _exchange(cost, weights, _greedy(cost, weights, count, keep), keep)
    while True:
        relaxed = _relax(cost, weights, chosen, keep)
        total = _total(cost, weights, chosen)
        if total - relaxed.bound <= _GOOD_ENOUGH * total:
            return chosen, relaxed.price
        better = _exchange(cost, weights, relaxed.picked, keep)
        if _total(cost, weights, better) >= total * _BETTER:
            better = _exchange_pair(cost, weights, chosen, keep, _open(relaxed, chosen, total, keep))
            better = _exchange(cost, weights, better, keep)
        if _total(cost, weights, better) >= total * _BETTER:
            return chosen, relaxed.price
        chosen = better


def ladder(
    cost: FloatArray, weights: FloatArray, counts: Sequence[int], keep: IntArray
) -> Iterator[IntArray]:
    """Yield good columns for each of several counts, without a bound.

    Each choice is begun with that of the count before, so that all cost little more than the last of them;
    parameters as in `solve`.

    Parameters
    ----------
    counts : sequence of int
        Columns to choose, ascending, at least those to keep.
    """
    chosen = keep
    for count in counts:
        chosen = _exchange(cost, weights, _greedy(cost, weights, count, chosen), keep)
        yield chosen


def two_nearest(of_chosen: FloatArray) -> _Nearest:
    """Return the place of the least cost in each row (M, N), that cost, and the second least."""
    rows = np.arange(len(of_chosen))
    owner = of_chosen.argmin(axis=1)
    first = of_chosen[rows, owner]
    if of_chosen.shape[1] == 1:
        return _Nearest(owner, first, np.full(len(rows), 2 * UNUSABLE))
    rest = of_chosen.copy()
    rest[rows, owner] = np.inf
    return _Nearest(owner, first, rest.min(axis=1))


def best_values(values: FloatArray, count: int, keep: IntArray) -> tuple[IntArray, float]:
    """Return the columns with the least values, the kept ones among them, and the sum of those."""
    free = values.copy()
    free[keep] = -np.inf
    best = np.argpartition(free, count - 1)[:count]
    return best, float(values[best].sum())


def _total(cost: FloatArray, weights: FloatArray, chosen: IntArray) -> float:
    return float(weights @ cost[:, chosen].min(axis=1))


def _greedy(cost: FloatArray, weights: FloatArray, count: int, start: IntArray) -> IntArray:
    """Return the columns to start with and those that help most, one after the other, up to a count."""
    chosen = list(start)
    least = cost[:, start].min(axis=1, initial=2 * UNUSABLE)
    totals = weights @ np.minimum(cost, least[:, np.newaxis])
    while len(chosen) < count:
        totals[chosen] = np.inf
        new = int(totals.argmin())
        chosen.append(new)
        # Only rows that the new column serves cost another sum from now on.
        moved = cost[:, new] < least
        part, before, after = cost[moved], least[moved, np.newaxis], cost[moved, new, np.newaxis]
        totals += weights[moved] @ (np.minimum(part, after) - np.minimum(part, before))
        least[moved] = after[:, 0]
    return np.array(chosen, np.int64)


def _changes(cost: FloatArray, weights: FloatArray, nearest: _Nearest, slots: int) -> FloatArray:
    """Return what it costs to exchange each chosen column, by its place, for each other one.

    It is the sum over rows, so that a part of them gives that part of it.
    """
    heavy = weights[:, np.newaxis]
    off = (cost - nearest.first[:, np.newaxis]) * heavy
    # What all rows gain from a new column, and what those of the old one must give up. That is summed owner
    # after owner: as a product of matrices it would wake the threads of the library for little work each.
    gain = np.minimum(off, 0).sum(axis=0)
    lost = np.clip(off, 0, (nearest.second - nearest.first)[:, np.newaxis] * heavy)
    order = np.argsort(nearest.owner, kind="stable")
    owners, starts = np.unique(nearest.owner[order], return_index=True)
    changes = np.tile(gain, (slots, 1))
    if len(owners):
        changes[owners] += np.add.reduceat(lost[order], starts, axis=0)
    return changes


def _forbid(change: FloatArray, chosen: IntArray, keep: IntArray) -> FloatArray:
    """Return the changes with those that are none, or take out a column to keep, beyond reach."""
    allowed = change.copy()
    allowed[:, chosen] = np.inf
    allowed[np.isin(chosen, keep)] = np.inf
    return allowed


def _exchange(cost: FloatArray, weights: FloatArray, chosen: IntArray, keep: IntArray) -> IntArray:
    """Exchange the chosen column and the other one that help most together, until none does."""
    chosen = chosen.copy()
    if np.isin(chosen, keep).all() or len(chosen) == cost.shape[1]:
        return chosen
    nearest = two_nearest(cost[:, chosen])

    def changes(rows: NDArray[np.bool_]) -> FloatArray:
        part = _Nearest(nearest.owner[rows], nearest.first[rows], nearest.second[rows])
        return _changes(cost[rows], weights[rows], part, len(chosen))

    change = _changes(cost, weights, nearest, len(chosen))
    total = float(weights @ nearest.first)
    while True:
        candidates = _forbid(change, chosen, keep)
        old, new = np.unravel_index(int(candidates.argmin()), change.shape)
        trial = chosen.copy()
        trial[old] = new
        after = two_nearest(cost[:, trial])
        improved = float(weights @ after.first)
        if improved >= total * _BETTER:
            return chosen
        moved = np.any([one != other for one, other in zip(nearest, after, strict=True)], axis=0)
        change -= changes(moved)
        nearest = after
        change += changes(moved)
        chosen, total = trial, improved


def _open(relaxed: _Relaxed, chosen: IntArray, total: float, keep: IntArray) -> IntArray:
    """Return the columns, besides those chosen, that by the bound can be part of a better choice.

    A choice with a column that was not picked costs at least the bound, with that column in the place of the
    one picked that is worth least.
    """
    free = relaxed.picked[~np.isin(relaxed.picked, keep)]
    with_it = relaxed.bound + relaxed.values - relaxed.values[free].max(initial=-np.inf)
    with_it[relaxed.picked] = relaxed.bound
    with_it[chosen] = np.inf
    best: IntArray = np.argsort(with_it, kind="stable")[:_MOST_OPEN]
    return np.asarray(best[with_it[best] < total])


def _exchange_pair(
    cost: FloatArray, weights: FloatArray, chosen: IntArray, keep: IntArray, others: IntArray
) -> IntArray:
    """Return the choice with two columns exchanged for two others, where that helps; else as it is."""
    columns = np.concatenate([chosen, others])
    places, kept = np.arange(len(chosen)), np.flatnonzero(np.isin(chosen, keep))
    if not len(others) or len(kept) == len(chosen):
        return chosen
    part = np.ascontiguousarray(cost[:, columns])
    nearest = two_nearest(part[:, places])
    total = float(weights @ nearest.first)
    change = _forbid(_changes(part, weights, nearest, len(places)), places, kept)
    first = min(_FIRST_EXCHANGES, int(np.isfinite(change).sum()))
    for flat in np.argsort(change, axis=None, kind="stable")[:first]:
        old, new = np.unravel_index(int(flat), change.shape)
        trial = places.copy()
        trial[old] = new
        after = two_nearest(part[:, trial])
        second = _forbid(_changes(part, weights, after, len(trial)), trial, kept)
        if float(weights @ after.first) + second.min() < total * _BETTER:
            old, new = np.unravel_index(int(second.argmin()), second.shape)
            trial[old] = new
            return columns[trial]
    return chosen


def _relax(cost: FloatArray, weights: FloatArray, chosen: IntArray, keep: IntArray) -> _Relaxed:
    """Return the best lower bound that subgradient steps find, with the cost of a choice to aim at."""
    rows, columns = cost.shape
    ends = np.sort(cost[:, chosen], axis=1)
    upper = float(weights @ ends[:, 0])
    # At the best prices a row pays at most what its second nearest column costs. Capped a little above
    # that, most pairs can never count and are left out.
    cap = ends[:, min(2, len(chosen) - 1)] + 1e-9 if len(chosen) > 1 else cost.max(axis=1)
    column, row = np.nonzero((cost < cap[:, np.newaxis]).T)
    pair_cost, pair_weight = cost[row, column], weights[row]
    starts = np.searchsorted(column, np.arange(columns))
    is_empty = starts == np.append(starts[1:], len(column))

    price = (ends[:, 0] + np.minimum(ends[:, min(1, len(chosen) - 1)], cap)) / 2
    best = _Relaxed(price, -np.inf, np.zeros(columns), chosen)
    length, idle = 1.0, 0
    for _ in range(_BOUND_STEPS):
        reduced = np.minimum(pair_cost - price[row], 0)
        values = np.add.reduceat(np.append(pair_weight * reduced, 0), starts)
        values[is_empty] = 0
        picked, value = best_values(values, len(chosen), keep)
        bound = float(weights @ price) + value
        if bound > best.bound:
            idle = 0 if bound > best.bound + 1e-4 * (upper - best.bound) else idle + 1
            best = _Relaxed(price, bound, values, picked)
        else:
            idle += 1
        if upper - best.bound <= _GOOD_ENOUGH * upper:
            break
        if idle >= _PATIENCE:
            length, idle, price = length / 2, 0, best.price
            if length < 1e-3:
                break
        is_picked = np.zeros(columns, bool)
        is_picked[picked] = True
        slack = 1.0 - np.bincount(row[is_picked[column] & (reduced < 0)], minlength=rows)
        size = float(weights @ slack**2)
        if size == 0:
            break
        price = np.clip(price + length * (upper - bound) / size * slack, 0, cap)
    return best
