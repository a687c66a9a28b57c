"""Beads within what is on hand: the least total colour difference, as a minimum-cost flow.

Beads flow from the picture's colours over the palette's entries to one sink; what an entry lets through is
its stock. Where the stock does not suffice, a pseudo entry takes the beads that are missing, and the dual
prices of that flow say which purchase helps most.

Of several pieces, some are made more often than others, and all copies of a piece are alike: that is no flow
any more, see `convert.choice.alike`.

Entries of one colour are taken for dye lots. A later lot is opened only where the earlier ones do not
suffice; then they are mixed evenly, so that no line shows where they meet (to alternate lots is common
practice, no source).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from convert.choice.alike import in_whole_pieces
from convert.choice.flow import UNIT, least_cost_flow, stock_prices
from convert.colour.distances import Distance
from convert.colour.matching import merge_equal
from convert.errors import StockError

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int32]

# A missing bead costs more than any detour of the others over all entries.
MISSING = 1_000_000.0
_CHUNK_PAIRS = 1 << 16
# So many sizes can be looked at in all their sets.
_MOST_SIZES_IN_SETS = 12


@dataclass(frozen=True, eq=False, slots=True)
class Wish:
    """Beads of one size and one picture colour, merged.

    Parameters
    ----------
    of_bead : ndarray of shape (B,), intp
        The merged colour of each bead.
    count : ndarray of shape (M,), int64
        Beads of each merged colour.
    size : ndarray of shape (M,), int64
        Size of those beads.
    lot : ndarray of shape (K,), intp
        A number for the colour of each entry of the palette: dye lots of one colour share it.
    first : ndarray of shape (P,)
        Merged colour, `entry` and difference `cost` of each pair that the sizes allow.
    entry, cost : ndarray of shape (P,)
        See `first`.
    times : ndarray of shape (M,), int64
        How many beads of the stock each bead takes: as many as copies are made of its piece.
    """

    of_bead: NDArray[np.intp]
    count: NDArray[np.int64]
    size: NDArray[np.int64]
    lot: NDArray[np.intp]
    first: NDArray[np.int64]
    entry: NDArray[np.int64]
    cost: FloatArray
    times: NDArray[np.int64]


@dataclass(frozen=True, eq=False, slots=True)
class Shortage:
    """What is missing when the beads on hand cannot fill a piece.

    Parameters
    ----------
    beads : ndarray of shape (S,), int64
        Beads missing in each size, over all copies.
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
    bead_size: NDArray[np.integer[Any]],
    labs: FloatArray,
    allowed: Sequence[IntArray],
    measure: Distance,
    times: NDArray[np.int64] | None = None,
) -> Wish:
    """Return the beads of a piece merged by colour and size, with the pairs of colour and entry.

    Parameters
    ----------
    lab : ndarray of shape (B, 3), float64
        CIELAB wanted at each bead.
    bead_size : ndarray of shape (B,), int
        Size of each.
    labs : ndarray of shape (K, 3), float64
        CIELAB of the entries.
    allowed : sequence of ndarray of int32
        For each size the entries that come in it.
    measure : Distance
        The colour difference.
    times : ndarray of shape (S,), int64, optional
        For each size how many beads of the stock each bead takes; 1 if not given.
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
        sizes.append(np.full(len(distinct), size, np.int64))
        step = max(1, _CHUNK_PAIRS // max(1, len(offered)))
        later = UNIT * earlier_lots[offered]
        costs += [
            (measure(distinct[start : start + step, np.newaxis], labs[offered]) + later).ravel()
            for start in range(0, len(distinct), step)
        ]
        firsts.append(np.repeat(np.arange(merged, merged + len(distinct)), len(offered)))
        entries.append(np.tile(offered, len(distinct)))
        merged += len(distinct)
    of_size = np.concatenate(sizes)
    return Wish(
        of_bead,
        np.concatenate(counts),
        of_size,
        lot,
        np.concatenate(firsts),
        np.concatenate(entries).astype(np.int64),
        np.concatenate(costs),
        np.ones(len(of_size), np.int64) if times is None else times[of_size],
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
    if (wish.times == wish.times[0]).all():
        alone = capacity // wish.times[0]
        flow = least_cost_flow(wish.count, alone, wish.first, wish.entry, wish.cost)
    else:
        flow = in_whole_pieces(wish.count, wish.times, capacity, wish.first, wish.entry, wish.cost)
    if flow is None:
        raise StockError(
            "the beads on hand do not suffice", "leave out --stock to see what there would be to buy"
        )
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
    supply = wish.count * wish.times
    wanted = np.bincount(wish.size, supply, len(allowed)).astype(np.int64)
    if len(allowed) <= _MOST_SIZES_IN_SETS and _suffices(wanted, capacity, allowed):
        return None
    entries, colours = len(capacity), len(supply)
    first = np.append(wish.first, np.arange(colours))
    entry = np.append(wish.entry, np.full(colours, entries))
    cost = np.append(wish.cost, np.full(colours, MISSING))
    flow = least_cost_flow(supply, np.append(capacity, supply.sum()), first, entry, cost)
    if flow is None:
        raise AssertionError("a flow with room for every bead was refused")
    missing = np.bincount(wish.size, flow[-colours:], len(allowed)).astype(np.int64)
    if not missing.any():
        return None
    saving = UNIT * stock_prices(first, entry, cost, flow, entries + 1)[:entries].astype(np.float64)
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
