"""What a palette holds: sizes, stock, colours that are hard to tell apart, and gaps in its range."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.colour.deficiency import DEFICIENCIES
from convert.colour.distances import distance_named
from convert.colour.lab import srgb_to_lab
from convert.colour.likeness import alike_pairs, alike_with
from convert.colour.matching import nearest
from convert.colour.srgb import to_hex
from convert.palette.model import Palette

# Steps of each channel at which displayable colours are tried against the palette.
_GRID = 18
GAPS_TOLD = 5
# Gaps nearer to each other than this are one gap.
_GAP_APART = 20.0


@dataclass(frozen=True, slots=True)
class Stock:
    """Colours of one bead size.

    Parameters
    ----------
    size : str or None
        The size; None for colours that come in every size.
    colours : int
        How many there are.
    beads : int or None
        Beads on hand over all of them that say; None where none does.
    out_of_stock : int
        Colours of which none is on hand.
    """

    size: str | None
    colours: int
    beads: int | None
    out_of_stock: int


@dataclass(frozen=True, slots=True)
class Alike:
    """Two colours that are hard to tell apart.

    Parameters
    ----------
    first, second : int
        Entries of the palette.
    difference : float
        CIEDE2000, as the eye in question sees them.
    """

    first: int
    second: int
    difference: float


@dataclass(frozen=True, slots=True)
class Gap:
    """A colour that no entry comes near.

    Parameters
    ----------
    hex : str
        The colour.
    nearest : int
        The entry that comes nearest.
    difference : float
        How far it is off, CIEDE2000.
    """

    hex: str
    nearest: int
    difference: float


@dataclass(frozen=True, slots=True)
class Assortment:
    """The description of a palette.

    Parameters
    ----------
    stock : tuple of Stock
        A size each, in the order of the palette.
    alike : tuple of Alike
        Pairs that nobody can tell apart and that may lie side by side, the most alike first.
    alike_with : dict of str to tuple of Alike
        Pairs that only people with a colour-vision deficiency cannot tell apart, by its name.
    gaps : tuple of Gap
        The largest gaps among displayable colours.
    """

    stock: tuple[Stock, ...]
    alike: tuple[Alike, ...]
    alike_with: dict[str, tuple[Alike, ...]]
    gaps: tuple[Gap, ...]


def describe(palette: Palette, beads_per_gram: Mapping[str, float]) -> Assortment:
    """Return the description of a palette.

    Parameters
    ----------
    palette : Palette
        The palette.
    beads_per_gram : mapping of str to float
        Average of each bead size, for stock in grams where the palette does not give its own.
    """
    sizes = list(dict.fromkeys(entry.size for entry in palette.entries))
    # Colours that come in every size lie beside those of one.
    together = [palette.for_size(size) for size in sizes if size is not None] or [palette.for_size("")]
    return Assortment(
        tuple(_stock(palette, size, beads_per_gram) for size in sizes),
        _pairs(palette, together, None),
        {deficiency: _pairs(palette, together, deficiency) for deficiency in DEFICIENCIES},
        _gaps(palette),
    )


def _stock(palette: Palette, size: str | None, beads_per_gram: Mapping[str, float]) -> Stock:
    found = [
        entry.beads_on_hand(beads_per_gram.get(size or "")) for entry in palette.entries if entry.size == size
    ]
    known = [beads for beads in found if beads is not None]
    return Stock(size, len(found), sum(known) if known else None, known.count(0))


def _pairs(palette: Palette, groups: list[NDArray[np.int32]], deficiency: str | None) -> tuple[Alike, ...]:
    """Return the pairs within each size; the same two codes in several sizes are one pair."""
    labs = palette.labs()
    found: dict[tuple[str, str], Alike] = {}
    for group in groups:
        lab = labs[group]
        pairs, differences = alike_pairs(lab) if deficiency is None else alike_with(lab, deficiency)
        for (first, second), difference in zip(group[pairs].tolist(), differences.tolist(), strict=True):
            codes = sorted((palette.entries[first].code, palette.entries[second].code))
            found.setdefault((codes[0], codes[1]), Alike(first, second, difference))
    return tuple(sorted(found.values(), key=lambda pair: (pair.difference, pair.first, pair.second)))


def _gaps(palette: Palette) -> tuple[Gap, ...]:
    steps = np.linspace(0, 255, _GRID).round().astype(np.uint8)
    colours = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)
    lab, labs = srgb_to_lab(colours), palette.labs()
    entry, difference = nearest(lab, labs)
    gaps: list[Gap] = []
    left = difference.copy()
    while len(gaps) < GAPS_TOLD and left.any():
        widest = int(left.argmax())
        gaps.append(Gap(to_hex(colours[widest]), int(entry[widest]), float(difference[widest])))
        left[distance_named("ciede2000")(lab[widest], lab) < _GAP_APART] = 0
    return tuple(gaps)
