"""Beads within stock for pieces of which unlike numbers are made, all copies of a piece alike.

A bead of a pair of earrings takes two beads of the stock, both of one colour. That is no flow any more but a
choice in whole numbers. The flow in which copies may differ bounds it from below, and the prices of the stock
say by how much the bound rises at least where an entry is given to a colour. So only pairs are put to the
solver (HiGHS, as scipy comes with it) that the gap between what it finds and the bound leaves open: what it
finds is then the least of all.
"""

import numpy as np
from numpy.typing import NDArray

from convert.choice.flow import UNIT, least_cost_flow, stock_prices, whole

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# By how much, at first, a choice may exceed the bound: the solver is quick with the few pairs this leaves.
_FIRST_REACH = round(1.0 / UNIT)
_WIDER = 4


def in_whole_pieces(
    supply: IntArray,
    times: IntArray,
    capacity: IntArray,
    first: IntArray,
    entry: IntArray,
    cost: FloatArray,
) -> IntArray | None:
    """Return how many beads of each pair of colour and entry there are in a piece, None where it cannot be.

    Parameters
    ----------
    supply : ndarray of shape (M,), int64
        Beads of each colour in one piece.
    times : ndarray of shape (M,), int64
        Beads of the stock that each of them takes.
    capacity, first, entry, cost
        As of `convert.choice.flow.least_cost_flow`; the cost is that of each bead of the stock.
    """
    relaxed = least_cost_flow(supply * times, capacity, first, entry, cost)
    if relaxed is None:
        return None
    price, units = stock_prices(first, entry, cost, relaxed, len(capacity)), whole(cost)
    bound = int(units @ relaxed)
    dear = units + price[entry]
    least = np.full(len(supply), np.iinfo(np.int64).max)
    np.minimum.at(least, first, dear)
    # A bead given to a pair raises the bound by so much at least.
    rise = times[first] * (dear - least[first])
    reach = _FIRST_REACH
    while True:
        kept = np.flatnonzero(rise <= reach)
        found = _best_of(supply, times, capacity, first[kept], entry[kept], units[kept])
        above = reach * _WIDER
        if found is not None:
            above = int((times[first[kept]] * units[kept]) @ found) - bound
        if (found is not None and above <= reach) or len(kept) == len(rise):
            break
        reach = above
    if found is None:
        return None
    beads = np.zeros(len(rise), np.int64)
    beads[kept] = found
    return beads


def _best_of(
    supply: IntArray,
    times: IntArray,
    capacity: IntArray,
    first: IntArray,
    entry: IntArray,
    units: IntArray,
) -> IntArray | None:
    """Return the beads of each of some pairs at the least cost, None where these cannot serve all."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    pairs = np.arange(len(first))
    served = csr_array((np.ones(len(first)), (first, pairs)), shape=(len(supply), len(first)))
    drawn = csr_array((times[first].astype(float), (entry, pairs)), shape=(len(capacity), len(first)))
    answer = milp(
        (times[first] * units).astype(float),
        integrality=np.ones(len(first)),
        bounds=Bounds(0, supply[first]),
        constraints=[LinearConstraint(served, supply, supply), LinearConstraint(drawn, -np.inf, capacity)],
        options={"mip_rel_gap": 0},
    )
    return None if answer.x is None else np.rint(answer.x).astype(np.int64)
