"""What a piece takes: beads by colour in grams and packs, its cost, and its finished size with the range."""

import math
from dataclasses import dataclass

from convert.colour.palette import BeadColour
from convert.pattern import Pattern
from convert.weave.beads import BeadSize

# Beads break, and some are too narrow for a last pass. Common practice, no source.
SPARE = 0.10


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
    to_buy : int
        Beads missing, with the spare; all of them where the palette does not say what is on hand.
    packs : int or None
        Packs to buy, where the palette says how much a pack holds.
    cost : float or None
        Price of those packs, where the palette says.
    """

    entry: int
    colour: BeadColour
    size: BeadSize
    beads: int
    grams: float
    on_hand: int | None
    to_buy: int
    packs: int | None
    cost: float | None


def materials(pattern: Pattern) -> list[Material]:
    """Return what the piece takes, most beads first.

    Parameters
    ----------
    pattern : Pattern
        The piece; its copies are counted in.
    """
    rows = []
    for entry in pattern.used.tolist():
        colour = pattern.palette.entries[entry]
        for size, count in zip(pattern.weave.sizes, pattern.counts[entry].tolist(), strict=True):
            if count:
                rows.append(_material(entry, colour, size, count * pattern.copies))
    return rows


def _material(entry: int, colour: BeadColour, size: BeadSize, beads: int) -> Material:
    per_gram = colour.per_gram or size.beads_per_gram
    wanted = beads + math.ceil(beads * SPARE - 1e-9)  # 1e-9: 0.1 has no exact binary form
    on_hand = stock_beads(colour, size)
    to_buy = max(0, wanted - (on_hand or 0))
    packs = None if colour.pack_g is None else math.ceil(to_buy / per_gram / colour.pack_g - 1e-9)
    cost = None if packs is None or colour.price is None else packs * colour.price
    return Material(entry, colour, size, beads, wanted / per_gram, on_hand, to_buy, packs, cost)


def stock_beads(colour: BeadColour, size: BeadSize) -> int | None:
    """Return how many beads of a colour are on hand, None where the palette does not say.

    Parameters
    ----------
    colour : BeadColour
        Entry of the palette, which may give its stock in beads or in grams.
    size : BeadSize
        Size it is used in, for the beads in a gram where the palette does not give them.
    """
    if colour.on_hand is not None:
        return colour.on_hand
    if colour.on_hand_g is not None:
        return math.floor(colour.on_hand_g * (colour.per_gram or size.beads_per_gram))
    return None


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
    """

    width_mm: float
    height_mm: float
    width_range_mm: tuple[float, float]
    height_range_mm: tuple[float, float]
    basis: str

    def __str__(self) -> str:
        """Say the size in words, with its range and what it rests on."""
        expected = f"{self.width_mm:.0f} x {self.height_mm:.0f} mm"
        if self.basis == "gauge":
            return f"{expected}, from your gauge"
        width, height = self.width_range_mm, self.height_range_mm
        return (
            f"{expected} ({width[0]:.0f} to {width[1]:.0f} x {height[0]:.0f} to {height[1]:.0f} mm,"
            " from the bead shapes)"
        )


def finished_size(pattern: Pattern) -> FinishedSize:
    """Return the finished size of a piece with its range.

    Parameters
    ----------
    pattern : Pattern
        The piece. Small beads at the tips add their own length at each side.
    """
    weave = pattern.weave
    left, top, right, bottom = weave.extent_mm
    tips = 0.0
    if pattern.edge == "points":
        tips = 2 * weave.sizes[weave.tip_size].diameter_mm
    measures = []
    for span, axis in ((right - left, 0), (bottom - top, 1)):
        # The beads keep their size; only the distances between their centres stretch.
        drawn = float(weave.bead_xy[:, axis].max() - weave.bead_xy[:, axis].min())
        centres, fixed = drawn * pattern.shape.width_share, span - drawn + tips
        measures.append(
            tuple(fixed + centres * factor for factor in (1.0, weave.spacing.low, weave.spacing.high))
        )
    (width, width_low, width_high), (height, height_low, height_high) = measures
    return FinishedSize(
        width, height, (width_low, width_high), (height_low, height_high), weave.spacing.basis
    )
