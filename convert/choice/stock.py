"""Beads within what is on hand: the least total colour difference, as a minimum-cost flow.

Beads flow from the picture's colours over the palette's entries to one sink; what an entry lets through is
its stock. Where the stock does not suffice, a pseudo entry takes the beads that are missing, and the dual
prices of that flow say which purchase helps most.

Entries of one colour are taken for dye lots. A later lot is opened only where the earlier ones do not
suffice; then they are mixed evenly, so that no line shows where they meet (to alternate lots is common
practice, no source).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.colour.distances import Distance
from convert.colour.matching import merge_equal
from convert.errors import StockError

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int32]

# Costs are whole numbers of this for the flow. The sum is exact to half a unit a bead. A later lot of a
# colour costs a unit more than the one before it.
UNIT = 1e-4
# A missing bead costs more than any detour of the others over all entries.
MISSING = 1_000_000.0
_CHUNK_PAIRS = 1 << 16
# Beyond all sums of whole costs.
_NEVER = 1 << 60


@dataclass(frozen=True, eq=False, slots=True)
class Wish:
    """Beads of one size and one picture colour, merged.

    Parameters
    ----------
    of_bead : ndarray of shape (B,), intp
        The merged colour of each bead.
    count : ndarray of shape (M,), int64
        Beads of each merged colour.
    size : ndarray of shape (M,), uint8
        Size of those beads.
    lot : ndarray of shape (K,), intp
        A number for the colour of each entry of the palette: dye lots of one colour share it.
    first : ndarray of shape (P,)
        Merged colour, `entry` and difference `cost` of each pair that the sizes allow.
    entry, cost : ndarray of shape (P,)
        See `first`.
    """

    of_bead: NDArray[np.intp]
    count: NDArray[np.int64]
    size: NDArray[np.uint8]
    lot: NDArray[np.intp]
    first: NDArray[np.int64]
    entry: NDArray[np.int64]
    cost: FloatArray


@dataclass(frozen=True, eq=False, slots=True)
class Shortage:
    """What is missing when the beads on hand cannot fill a piece.

    Parameters
    ----------
    beads : ndarray of shape (S,), int64
        Beads missing in each size.
    entry : int
        The entry one more bead of which helps most.
    bought : int
        Beads of that entry to buy so that none is missing that it could stand for.
    saving : ndarray of shape (K,), float64
        What one more bead of each entry saves, a bead missing counted as `MISSING`.
    """

    beads: NDArray[np.int64]
    entry: int
    bought: int
    saving: FloatArray


def merge(
    lab: FloatArray,
    bead_size: NDArray[np.uint8],
    labs: FloatArray,
    allowed: Sequence[IntArray],
    measure: Distance,
) -> Wish:
    """Return the beads of a piece merged by colour and size, with the pairs of colour and entry.

    Parameters
    ----------
    lab : ndarray of shape (B, 3), float64
        CIELAB wanted at each bead.
    bead_size : ndarray of shape (B,), uint8
        Size of each.
    labs : ndarray of shape (K, 3), float64
        CIELAB of the entries.
    allowed : sequence of ndarray of int32
        For each size the entries that come in it.
    measure : Distance
        The colour difference.
    """
    of_bead = np.empty(len(lab), np.intp)
    counts, sizes, firsts, entries, costs = [], [], [], [], []
    lot = np.unique(labs, axis=0, return_inverse=True)[1].ravel()
    by_lot = np.argsort(lot, kind="stable")
    earlier_lots = np.empty(len(lot), np.int64)
    earlier_lots[by_lot] = np.arange(len(lot)) - np.searchsorted(lot[by_lot], lot[by_lot])
    merged = 0
    for size, offered in enumerate(allowed):
        of_size = bead_size == size
        if not of_size.any():
            continue
        distinct, inverse = merge_equal(np.ascontiguousarray(lab[of_size]))
        of_bead[of_size] = merged + inverse
        counts.append(np.bincount(inverse, minlength=len(distinct)))
        sizes.append(np.full(len(distinct), size, np.uint8))
        step = max(1, _CHUNK_PAIRS // max(1, len(offered)))
        later = UNIT * earlier_lots[offered]
        costs += [
            (measure(distinct[start : start + step, np.newaxis], labs[offered]) + later).ravel()
            for start in range(0, len(distinct), step)
        ]
        firsts.append(np.repeat(np.arange(merged, merged + len(distinct)), len(offered)))
        entries.append(np.tile(offered, len(distinct)))
        merged += len(distinct)
    return Wish(
        of_bead,
        np.concatenate(counts),
        np.concatenate(sizes),
        lot,
        np.concatenate(firsts),
        np.concatenate(entries).astype(np.int64),
        np.concatenate(costs),
    )


def assign(wish: Wish, capacity: NDArray[np.int64], order: FloatArray) -> IntArray:
    """Return the entry of each bead, shape (B,): none beyond its stock, the least total difference.

    Beads between which it makes no odds, as they want one colour or get dye lots of one, take their entries
    by `order`: the first in the palette goes to the beads that come first in it.

    Parameters
    ----------
    wish : Wish
        The beads, see `merge`.
    capacity : ndarray of shape (K,), int64
        Beads on hand of each entry. They must suffice, see `shortage`.
    order : ndarray of shape (B,), float64
        A number for each bead, such that those with the least lie evenly spread over the piece, as
        `convert.choice.blue_noise.thresholds` gives.

    Raises
    ------
    StockError
        They do not suffice.
    """
    flow = _least_cost_flow(wish.count, capacity, wish.first, wish.entry, wish.cost)
    if flow is None:
        raise StockError("the beads on hand do not suffice")
    entry = np.repeat(wish.entry, flow)
    by_colour = np.lexsort((entry, np.repeat(wish.first, flow)))
    bead_entry = np.empty(len(wish.of_bead), np.int32)
    bead_entry[np.lexsort((order, wish.of_bead))] = entry[by_colour]
    # Lots may change places between colours, too, but not between sizes: not every lot comes in each.
    lot, size = wish.lot[bead_entry], wish.size[wish.of_bead]
    mixed = np.empty_like(bead_entry)
    mixed[np.lexsort((order, lot, size))] = bead_entry[np.lexsort((bead_entry, lot, size))]
    return mixed


def shortage(wish: Wish, capacity: NDArray[np.int64], allowed: Sequence[IntArray]) -> Shortage | None:
    """Return what is missing, None where the beads on hand suffice.

    Parameters
    ----------
    wish : Wish
        The beads, see `merge`.
    capacity : ndarray of shape (K,), int64
        Beads on hand of each entry.
    allowed : sequence of ndarray of int32
        For each size the entries that come in it.
    """
    wanted = np.bincount(wish.size, wish.count, len(allowed)).astype(np.int64)
    if _suffices(wanted, capacity, allowed):
        return None
    entries, colours = len(capacity), len(wish.count)
    first = np.append(wish.first, np.arange(colours))
    entry = np.append(wish.entry, np.full(colours, entries))
    cost = np.append(wish.cost, np.full(colours, MISSING))
    flow = _least_cost_flow(wish.count, np.append(capacity, wish.count.sum()), first, entry, cost)
    if flow is None:
        raise AssertionError("a flow with room for every bead was refused")
    missing = np.bincount(wish.size, flow[-colours:], len(allowed)).astype(np.int64)
    saving = _savings(first, entry, cost, flow, entries)
    best = int(saving.argmax())
    fits = np.array([best in offered for offered in allowed])
    return Shortage(missing, best, int(missing[fits].sum()), saving)


def _suffices(wanted: NDArray[np.int64], capacity: NDArray[np.int64], allowed: Sequence[IntArray]) -> bool:
    """Tell whether every set of sizes finds enough beads, which is enough for a flow (Hall 1935)."""
    sizes = len(allowed)
    for chosen in range(1, 1 << sizes):
        members = [size for size in range(sizes) if chosen >> size & 1]
        usable = np.unique(np.concatenate([allowed[size] for size in members]))
        if capacity[usable].sum() < wanted[members].sum():
            return False
    return True


def _savings(
    first: NDArray[np.int64],
    entry: NDArray[np.int64],
    cost: FloatArray,
    flow: NDArray[np.int64],
    entries: int,
) -> FloatArray:
    """Return what one more bead of each entry would save: the dual prices of the stock.

    A bead more of an entry lets a bead of another one move there, one of a third into its place, and so on,
    until the last move leaves a bead of its entry unused. The least cost of a move from one entry to another
    is that of the colour best moved; the cheapest chains are least paths over these (Bellman 1958), from
    any entry that has beads to move.
    """
    offered, place = np.unique(entry, return_inverse=True)
    table = np.full((first.max() + 1, len(offered)), _NEVER)
    # The flow is the best one for whole costs; of others a chain round could come out below nothing.
    table[first, place] = _whole(cost)
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
    savings = np.zeros(entries + 1)
    savings[offered] = -chain * UNIT
    return savings[:entries]


def _whole(cost: FloatArray) -> NDArray[np.int64]:
    return np.rint(cost / UNIT).astype(np.int64)


def _least_cost_flow(
    supply: NDArray[np.int64],
    capacity: NDArray[np.int64],
    first: NDArray[np.int64],
    entry: NDArray[np.int64],
    cost: FloatArray,
) -> NDArray[np.int64] | None:
    """Return how many beads of each pair flow, None where they cannot all."""
    from ortools.graph.python.min_cost_flow import SimpleMinCostFlow

    colours, entries = len(supply), len(capacity)
    sink = colours + entries
    solver = SimpleMinCostFlow()
    pairs = solver.add_arcs_with_capacity_and_unit_cost(
        first.astype(np.int32),
        (colours + entry).astype(np.int32),
        supply[first],
        _whole(cost),
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
