"""What a piece takes: beads by colour in grams and packs, its cost, and its finished size with the range."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.palette.model import BeadColour, Palette
from convert.piece.pattern import SPARE, Pattern, most_beads_first
from convert.weave.beads import BeadSize
from convert.weave.tips import tip_places, tips_of

COSTS_EXPLAINED = (
    "Cost of packs is what is to be paid; cost of beads is that of the beads woven in, by weight, whether"
    " they are on hand or not."
)
_ROUNDING = 1e-6  # of quotients that ought to be whole, such as 2.1 g in packs of 0.3 g


@dataclass(frozen=True, slots=True)
class Material:
    """Beads of one colour and size.

    Parameters
    ----------
    entry : int
        Entry of the palette.
    colour : BeadColour
        That entry.
    size : BeadSize
        Size of the beads.
    beads : int
        Beads woven in, over all copies.
    grams : float
        Weight to have at hand, with the spare beads.
    on_hand : int or None
        Beads on the shelf, where the palette says.
    left : int or None
        What of them stays there once the piece is woven. Of a colour that comes in any size both sizes have
        taken their beads.
    to_buy : int
        Beads missing, with the spare; all of them where the palette does not say what is on hand. Of a colour
        that comes in any size the cores have the first call on the stock.
    packs : int or None
        Packs to buy, where the palette says how much a pack holds.
    cost : float or None
        Price of those packs, where the palette says.
    cost_used : float or None
        Price of the beads woven in, by their weight, whether they are on hand or not; where the palette says
        what a pack holds and costs.
    """

    entry: int
    colour: BeadColour
    size: BeadSize
    beads: int
    grams: float
    on_hand: int | None
    left: int | None
    to_buy: int
    packs: int | None
    cost: float | None
    cost_used: float | None


def materials(pattern: Pattern) -> list[Material]:
    """Return what the piece takes, most beads first.

    Parameters
    ----------
    pattern : Pattern
        The piece; its copies, those for each student, are counted in.
    """
    counts = pattern.counts * pattern.copies
    return materials_of(
        *pooled([(counts, pattern.weave.sizes)]), pattern.palette, pattern.bags, pattern.spare
    )


def pooled(
    taken: Sequence[tuple[NDArray[np.int64], tuple[BeadSize, BeadSize]]],
) -> tuple[NDArray[np.int64], tuple[BeadSize, ...]]:
    """Return what pieces take together, shape (K, S), and the sizes it is of.

    Parameters
    ----------
    taken : sequence of (ndarray of shape (K, 2), tuple of BeadSize)
        Beads of each entry and size, and core and connector, of each piece.
    """
    sizes = tuple(dict.fromkeys(size for _, own in taken for size in own))
    counts = np.zeros((len(taken[0][0]), len(sizes)), np.int64)
    for own_counts, own in taken:
        for size, of_size in zip(own, own_counts.T, strict=True):
            counts[:, sizes.index(size)] += of_size
    return counts, sizes


def materials_of(
    counts: NDArray[np.int64],
    sizes: Sequence[BeadSize],
    palette: Palette,
    bags: int = 1,
    spare: float = SPARE,
) -> list[Material]:
    """Return what so many beads of a palette take, most beads first.

    Parameters
    ----------
    counts : ndarray of shape (K, S), int64
        Beads that go into each bag, of each entry and size, see `pooled`.
    sizes : sequence of BeadSize
        The sizes.
    palette : Palette
        The entries.
    bags : int
        Persons who weave so many; each gets spare beads of their own.
    spare : float
        Share of beads to have besides.
    """
    rows = []
    for entry in most_beads_first(counts).tolist():
        beads = {size: count for size, count in zip(sizes, counts[entry].tolist(), strict=True) if count}
        rows += _materials(entry, palette.entries[entry], beads, bags, spare)
    return rows


def _materials(
    entry: int, colour: BeadColour, beads: dict[BeadSize, int], bags: int, spare: float
) -> list[Material]:
    """Return the rows of an entry, one for each size, of which all draw on the same stock."""
    stock = {size: colour.beads_on_hand(size.beads_per_gram) for size in beads}
    # In shares of the stock, as its grams are more beads of one size than of the other: what all sizes weave
    # in, and what the rows so far have the first call on.
    woven = sum(bags * count / (stock[size] or math.inf) for size, count in beads.items())
    rows: list[Material] = []
    promised = 0.0
    for size, in_bag in beads.items():
        per_gram = colour.per_gram or size.beads_per_gram
        count, wanted = bags * in_bag, bags * with_spare(in_bag, spare)
        on_hand = stock[size]
        left = None if on_hand is None else max(0, math.floor(on_hand * (1 - woven) + _ROUNDING))
        free = math.floor((on_hand or 0) * (1 - promised) + _ROUNDING)
        to_buy = max(0, wanted - free)
        promised += (wanted - to_buy) / (on_hand or math.inf)
        packs = cost = cost_used = None
        if colour.pack_g is not None:
            packs = math.ceil(to_buy / per_gram / colour.pack_g - _ROUNDING)
            if colour.price is not None:
                cost, cost_used = packs * colour.price, count / per_gram / colour.pack_g * colour.price
        rows.append(
            Material(
                entry, colour, size, count, wanted / per_gram, on_hand, left, to_buy, packs, cost, cost_used
            )
        )
    return rows


def with_spare(beads: int, spare: float) -> int:
    """Return so many beads with those to spare, which are counted up to whole ones."""
    return beads + math.ceil(beads * spare - _ROUNDING)


def total_cost(costs: Iterable[float | None]) -> float | None:
    """Return the sum of the costs that are known, None where none is."""
    known = [cost for cost in costs if cost is not None]
    return sum(known) if known else None


def spare_told(spare: float) -> str:
    """Say in words how many beads are counted in besides those woven in."""
    if not spare:
        return "none to spare counted in"
    return "a tenth to spare counted in" if spare == SPARE else f"{spare * 100:.3g}% to spare counted in"


def grams_told(grams: float) -> str:
    """Return a weight in grams, finer below one gram, so that a few beads do not come to nothing."""
    return f"{grams:.1f}" if grams >= 1 else f"{grams:.2f}"


@dataclass(frozen=True, slots=True)
class FinishedSize:
    """Size of the finished piece, over its beads.

    Parameters
    ----------
    width_mm, height_mm : float
        What to expect.
    width_range_mm, height_range_mm : tuple of float
        Least and most.
    basis : str
        ``model`` or ``gauge``: what the figures rest on.
    closed : str
        Of a ring which measure is the way round it: ``across`` the width, ``down`` the height.
    """

    width_mm: float
    height_mm: float
    width_range_mm: tuple[float, float]
    height_range_mm: tuple[float, float]
    basis: str
    closed: str = ""

    def __str__(self) -> str:
        """Say the size in words, with its range and what it rests on."""
        expected = {
            "": f"{self.width_mm:.0f} x {self.height_mm:.0f} mm",
            "across": f"{self.width_mm:.0f} mm round x {self.height_mm:.0f} mm",
            "down": f"{self.width_mm:.0f} mm x {self.height_mm:.0f} mm round",
        }[self.closed]
        if self.basis == "gauge":
            return f"{expected}, from your gauge"
        width, height = self.width_range_mm, self.height_range_mm
        return (
            f"{expected} ({width[0]:.0f} x {height[0]:.0f} to {width[1]:.0f} x {height[1]:.0f} mm,"
            " from the bead shapes)"
        )


def finished_size(pattern: Pattern) -> FinishedSize:
    """Return the finished size of a piece with its range.

    Parameters
    ----------
    pattern : Pattern
        The piece, with the small beads at its tips if there are such.
    """
    weave = pattern.weave
    low, high = np.split(np.array(weave.extent_mm), 2)
    if pattern.edge == "points":
        tip_xy, hole = tip_places(weave)
        reach = tips_of(weave).size.reach_mm(hole, hole[:, ::-1])
        low = np.minimum(low, (tip_xy - reach).min(axis=0))
        high = np.maximum(high, (tip_xy + reach).max(axis=0))
    spans, drawns = (high - low).tolist(), np.ptp(weave.bead_xy, axis=0).tolist()
    closed = ""
    if weave.seam is not None:
        axis = int(weave.seam.round_mm[0] == 0)
        closed = ("across", "down")[axis]
        spans[axis] = drawns[axis] = weave.seam.round_mm[axis]
    measures = []
    for span, drawn in zip(spans, drawns, strict=True):
        # The beads keep their size; only the distances between their centres stretch.
        centres, fixed = drawn * pattern.shape.width_share, span - drawn
        measures.append(
            tuple(fixed + centres * factor for factor in (1.0, weave.spacing.low, weave.spacing.high))
        )
    (width, width_low, width_high), (height, height_low, height_high) = measures
    return FinishedSize(
        width, height, (width_low, width_high), (height_low, height_high), weave.spacing.basis, closed
    )
