"""From the photograph to the shelf: every heap with its code, its name and its colour."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.colour.lab import lab_to_linear
from convert.colour.likeness import ALIKE, alike_pairs
from convert.colour.srgb import encode_to_bytes, to_hex
from convert.colour.words import plain_words
from convert.errors import PictureError
from convert.palette.model import BeadColour, Palette
from convert.shelf.card_finding import MARKS, CardInView, find_card
from convert.shelf.colours import heap_colours
from convert.shelf.ground import find_ground
from convert.shelf.heaps import Found, find_heaps, outlines, without
from convert.shelf.light import (
    MOST_OFF,
    PAPER,
    Correction,
    by_card,
    by_grey_card,
    by_paper,
    values_as_printed,
    values_measured,
)
from convert.shelf.naming import AS_FOUND, check_names, codes, numbered
from convert.shelf.photograph import Light, Photograph
from convert.shelf.rows import check_grid, reading_rows

LIGHTS = ("auto", "paper", "grey", "card")
# From here on a heap is told to be checked: beads of one plain colour vary by half as much.
MUCH_SPREAD = 8.0
_TOLD = 6
_LIMITS = (
    "What a photograph cannot know: how glass lets light through, how metal and pearl change with the way one"
    " looks, and how a bead looks on its thread. Hold doubtful beads beside their swatch.",
    "± is the colour difference (CIEDE2000) within which two thirds of a heap lie, lit and shaded together.",
)


@dataclass(frozen=True, eq=False, slots=True)
class ShelfOptions:
    """How a photograph is read.

    Parameters
    ----------
    light : str
        One of `LIGHTS`: by what the light is undone; ``auto`` takes the card where it is seen and fits.
    card_values : Palette or None
        What the card's patches were measured to be.
    grid : tuple of int or None
        Rows and columns that the heaps must fill.
    names : list of list of str or None
        Names in reading order, see `convert.shelf.naming.read_names`.
    names_source : str
        What messages call their list.
    size : str or None
        Name of the bead size of all heaps; None fits any.
    former : tuple of BeadColour
        The shelf to be extended.
    """

    light: str = "auto"
    card_values: Palette | None = None
    grid: tuple[int, int] | None = None
    names: list[list[str]] | None = None
    names_source: str = "the list of names"
    size: str | None = None
    former: tuple[BeadColour, ...] = ()


@dataclass(frozen=True, eq=False, slots=True)
class Shelf:
    """What a photograph shows.

    Parameters
    ----------
    name : str
        Name of the photograph.
    entries : tuple of BeadColour
        The heaps in reading order.
    spreads : tuple of float
        How much each varies, CIEDE2000.
    rows : tuple of int
        How many heaps each row holds.
    outlines : list of ndarray of shape (C, 2)
        Outline of each heap, x and y in pixels of `light`.
    light : ndarray of shape (H, W, 3), float32
        The photograph without the cast of the light, linear sRGB.
    correction : Correction
        What the light did.
    notes : tuple of str
        What she should know.
    """

    name: str
    entries: tuple[BeadColour, ...]
    spreads: tuple[float, ...]
    rows: tuple[int, ...]
    outlines: list[NDArray[np.float64]]
    light: Light
    correction: Correction
    notes: tuple[str, ...]


def read_shelf(photograph: Photograph, options: ShelfOptions) -> Shelf:
    """Return the shelf that a photograph shows.

    Parameters
    ----------
    photograph : Photograph
        Beads in heaps on plain white paper.
    options : ShelfOptions
        How it is read.

    Raises
    ------
    PictureError
        There is no paper, no heap or no card that can be used, or the heaps do not fit the grid.
    PaletteError
        The names do not fit the heaps, or a patch has no value.
    """
    ground = find_ground(photograph)
    shape = photograph.light.shape[0], photograph.light.shape[1]
    flat = photograph.light / ground.paper_light(shape)
    card, marks = find_card(photograph.light, flat)
    found = find_heaps(flat, ground, None if card is None else card.area, photograph.name, PAPER)
    correction, found, said = _undo(flat, found, card, marks, photograph.name, options)
    rows = reading_rows(found)
    if options.grid is not None:
        check_grid(found, rows, options.grid, photograph.name)
    order = [heap for row in rows for heap in row]
    labs, spreads = heap_colours(flat, found, correction)
    labs, spreads = labs[order], spreads[order]
    counts = tuple(len(row) for row in rows)
    entries = _entries(labs, counts, options)
    shapes = outlines(found)
    notes = (
        *photograph.notes,
        *said,
        *_left_out(found),
        *_varied(entries, spreads),
        *_doubles(entries, options.former),
        *_LIMITS,
    )
    return Shelf(
        photograph.name,
        entries,
        tuple(spreads.tolist()),
        counts,
        [shapes[heap] for heap in order],
        flat @ correction.matrix.T.astype(np.float32),
        correction,
        notes,
    )


def _undo(
    flat: Light, found: Found, card: CardInView | None, marks: int, name: str, options: ShelfOptions
) -> tuple[Correction, Found, tuple[str, ...]]:
    """Return the correction, the heaps without what served for it, and what is to be said of it."""
    measured = options.card_values is not None
    if measured and options.light in ("paper", "grey"):
        raise PictureError("--card-values is of use only with the card", f"leave out --light {options.light}")
    if options.light == "grey":
        correction, heap = by_grey_card(flat, found, name)
        return correction, without(found, heap), ("Colours by the grey card, taken to reflect 18%.",)
    by_white = (
        "Colours by the white of the paper, taken as neutral: a tint of the paper goes into every colour."
        " With the card of combweave shelf --card they come out nearer.",
    )
    if options.light == "paper":
        return by_paper(), found, by_white
    if card is None:
        seen = (
            f"{marks} of its {MARKS} corner marks" if marks < MARKS else f"{marks} marks where it has {MARKS}"
        )
        if options.light == "card" or measured:
            raise PictureError(
                f"{name}: card not found, {seen} seen",
                "show all of one card, flat and sharp; or use the paper instead: --light paper",
            )
        of_card = (f"The card cannot be used: {seen} seen.",) if marks else ()
        return by_paper(), found, (*of_card, *by_white)
    values = values_as_printed() if options.card_values is None else values_measured(options.card_values)
    correction = by_card(card.patches, values)
    missed = (
        f"miss {'their measured' if measured else 'the printed'} values by {correction.off:.1f} on average"
    )
    if correction.off is not None and correction.off > MOST_OFF:
        if options.light == "card" or measured:
            raise PictureError(
                f"{name}: the patches of the card {missed}, more than {MOST_OFF:g}",
                "have the print measured and give --card-values; or use the paper: --light paper",
            )
        return by_paper(), found, (f"The card's patches {missed}, so that it was left aside.", *by_white)
    told = f"Colours by the card, whose patches {missed}."
    if not measured:
        told += (
            " That the print has the values beside its patches is taken on trust: what a printer does to all"
            " of them alike cannot be seen. Give measured ones with --card-values."
        )
    return correction, found, (told,)


def _entries(labs: NDArray[np.float64], rows: Sequence[int], options: ShelfOptions) -> tuple[BeadColour, ...]:
    labs = np.clip(labs, (0, -128, -128), (100, 128, 128)).round(1)
    former = options.former
    names = numbered(plain_words(labs), [entry.name for entry in former])
    if options.names is not None:
        given = check_names(options.names, rows, options.names_source)
        names = [word if name == AS_FOUND else name for name, word in zip(given, names, strict=True)]
    found = codes(rows, [entry.code for entry in former])
    colours = encode_to_bytes(lab_to_linear(labs))
    return tuple(
        BeadColour(code, name, options.size, to_hex(rgb), (lab[0], lab[1], lab[2]))
        for code, name, rgb, lab in zip(found, names, colours, labs.tolist(), strict=True)
    )


def _left_out(found: Found) -> list[str]:
    notes = []
    if len(found.centres) == 1:
        notes.append("Only one heap was found.")
    if found.specks:
        notes.append(f"{found.specks} far smaller than a heap, such as beads that rolled away, left out.")
    if found.cut:
        notes.append(f"{found.cut} reaching over the edge of the paper or of the photograph left out.")
    return notes


def _varied(entries: Sequence[BeadColour], spreads: NDArray[np.float64]) -> list[str]:
    varied = [
        f"{entry.code} (±{spread:.0f})"
        for entry, spread in zip(entries, spreads.tolist(), strict=True)
        if spread > MUCH_SPREAD
    ]
    if not varied:
        return []
    return [f"{_listed(varied)} vary much: shiny, see-through or mixed beads; check them by eye."]


def _doubles(entries: Sequence[BeadColour], former: Sequence[BeadColour]) -> list[str]:
    """Return a note on pairs that are hard to tell apart, of which one at least is new."""
    together = [*former, *entries]
    pairs, differences = alike_pairs(np.array([entry.lab for entry in together]))
    told = []
    for (first, second), difference in zip(pairs.tolist(), differences.tolist(), strict=True):
        one, other = together[first], together[second]
        if second >= len(former) and (one.size == other.size or None in (one.size, other.size)):
            told.append(f"{one.code} {one.name} and {other.code} {other.name} ({difference:.1f})")
    if not told:
        return []
    return [f"Hard to tell apart, below {ALIKE:g}: {_listed(told)}."]


def _listed(told: list[str]) -> str:
    more = f" and {len(told) - _TOLD} more" if len(told) > _TOLD else ""
    return ", ".join(told[:_TOLD]) + more
