"""Beads that flow from colours to the entries of a palette, none beyond its stock, at the least cost.

An exact minimum-cost flow, and the prices of the stock that prove it.
"""

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# Costs are whole numbers of this for the flow. The sum is exact to half a unit a bead. A later lot of a
# colour costs a unit more than the one before it.
UNIT = 1e-4
# Beyond all sums of whole costs.
_NEVER = 1 << 60


def whole(cost: FloatArray) -> IntArray:
    """Return costs in whole units."""
    return np.rint(cost / UNIT).astype(np.int64)


def least_cost_flow(
    supply: IntArray, capacity: IntArray, first: IntArray, entry: IntArray, cost: FloatArray
) -> IntArray | None:
    """Return how many beads of each pair of colour and entry flow, None where they cannot all.

    Parameters
    ----------
    supply : ndarray of shape (M,), int64
        Beads of each colour.
    capacity : ndarray of shape (K,), int64
        Beads on hand of each entry.
    first, entry : ndarray of shape (P,), int64
        Colour and entry of each pair that may be.
    cost : ndarray of shape (P,), float64
        What a bead of each pair costs.
    """
    from ortools.graph.python.min_cost_flow import SimpleMinCostFlow

    colours, entries = len(supply), len(capacity)
    sink = colours + entries
    solver = SimpleMinCostFlow()
    pairs = solver.add_arcs_with_capacity_and_unit_cost(
        first.astype(np.int32),
        (colours + entry).astype(np.int32),
        supply[first],
        whole(cost),
    )
    solver.add_arcs_with_capacity_and_unit_cost(
        np.arange(colours, sink, dtype=np.int32),
        np.full(entries, sink, np.int32),
        np.asarray(capacity, np.int64),
        np.zeros(entries, np.int64),
    )
    balance = np.zeros(sink + 1, np.int64)
    balance[:colours], balance[sink] = supply, -supply.sum()
    solver.set_nodes_supplies(np.arange(sink + 1, dtype=np.int32), balance)
    if solver.solve() != solver.OPTIMAL:
        return None
    return np.asarray(solver.flows(pairs), np.int64)


def stock_prices(
    first: IntArray, entry: IntArray, cost: FloatArray, flow: IntArray, entries: int
) -> IntArray:
    """Return what one more bead of each of the entries would save, in units: the dual prices of the stock.

    A bead more of an entry lets a bead of another one move there, one of a third into its place, and so on,
    until the last move leaves a bead of its entry unused. The least cost of a move from one entry to another
    is that of the colour best moved; the cheapest chains are least paths over these (Bellman 1958), from
    any entry that has beads to move.

    Parameters
    ----------
    first, entry, cost : ndarray of shape (P,)
        As of `least_cost_flow`.
    flow : ndarray of shape (P,), int64
        What that has found.
    entries : int
        Entries there are, K.
    """
    offered, place = np.unique(entry, return_inverse=True)
    table = np.full((first.max() + 1, len(offered)), _NEVER)
    # The flow is the best one for whole costs; of others a chain round could come out below nothing.
    table[first, place] = whole(cost)
    used = flow > 0
    origins = np.unique(place[used])
    move = np.empty((len(origins), len(offered)), np.int64)
    for number, origin in enumerate(origins):
        rows = first[used & (place == origin)]
        move[number] = (table[rows] - table[rows, origin, np.newaxis]).min(axis=0)
    chain = np.zeros(len(offered), np.int64)
    while True:
        longer = np.minimum(chain, (chain[origins, np.newaxis] + move).min(axis=0))
        if (longer == chain).all():
            break
        chain = longer
    prices = np.zeros(entries, np.int64)
    prices[offered] = -chain
    return prices
