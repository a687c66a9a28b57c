"""Beads of other colours."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from convert.changing.change_file import Recolour
from convert.changing.faults import Faults
from convert.changing.finding import HOW_BEADS_ARE_NAMED, Finder
from convert.colour.ciede2000 import ciede2000
from convert.colour.css_names import named_colour
from convert.colour.lab import srgb_to_lab
from convert.errors import ChangeError, PaletteError
from convert.near_words import NEAREST_TOLD
from convert.palette.model import Palette, shown
from convert.piece.pattern import Pattern
from convert.sentences import listed


def asked_on_the_line(words: Sequence[str]) -> tuple[Recolour, ...]:
    """Return what ``--set`` asks, each ``BEAD=COLOUR``; what is wrong with it is told later."""
    found = []
    for text in words:
        bead, _, colour = text.partition("=")
        found.append(Recolour(f"--set {shown(text)}", bead.strip(), colour.strip()))
    return tuple(found)


def recoloured(
    pattern: Pattern,
    swaps: Sequence[str],
    beads: Sequence[Recolour],
    finder: Finder,
    faults: Faults,
    later: list[Recolour] | None = None,
) -> NDArray[np.int32]:
    """Return the entry of the palette of each bead, tips included, after a change of colours.

    Colours are swapped all at once, so that two may change places; beads come after them, in their order.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    swaps : sequence of str
        Each ``OLD=NEW``.
    beads : sequence of Recolour
        Single beads and loops.
    finder : Finder
        The names of its beads.
    faults : Faults
        Where to note what is wrong.
    later : list of Recolour, optional
        Where to keep beads that are not there but may be once loops are added; without it they are wrong.
    """
    colour = pattern.bead_colour.copy()
    for text in swaps:
        with faults.gathered(f"--swap {shown(text)}"):
            _swap(pattern, text, colour)
    entries = _Entries(pattern)
    for asked in beads:
        with faults.gathered(asked.where):
            if not (asked.bead and asked.colour):
                raise ChangeError(
                    f"{'the bead' if asked.colour else 'the colour'} is missing", HOW_BEADS_ARE_NAMED
                )
            try:
                chosen = finder.beads(asked.bead)
            except ChangeError:
                if later is None:
                    raise
                later.append(asked)
                continue
            colour[chosen] = [entries.find(asked.colour, bead) for bead in chosen]
    return colour


def _swap(pattern: Pattern, text: str, colour: NDArray[np.int32]) -> None:
    palette = pattern.palette
    old, new = _sides(text, palette)
    code = palette.entries[palette.find(old)].code
    used = [
        (entry, size)
        for entry, size in np.argwhere(pattern.counts > 0).tolist()
        if palette.entries[entry].code == code
    ]
    if not used:
        codes = dict.fromkeys(palette.entries[entry].code for entry in pattern.used.tolist())
        raise ChangeError(
            f"the piece has no bead of {code}", f"most of its beads are {', '.join([*codes][:3])}"
        )
    for entry, size in used:
        beads = (pattern.bead_colour == entry) & (pattern.bead_size == size)
        colour[beads] = find(pattern, new, size)


def _sides(text: str, palette: Palette) -> tuple[str, str]:
    """Return what stands before and behind the equals sign; of several, codes may have some in them."""
    parts = text.split("=")
    ways = [("=".join(parts[:cut]).strip(), "=".join(parts[cut:]).strip()) for cut in range(1, len(parts))]
    ways = [way for way in ways if all(way)]
    if not ways:
        raise ChangeError(f"{shown(text)} is not two colours", "write DW5=DW4 to have DW4 for all of DW5")
    codes = {entry.code for entry in palette.entries}
    return next((way for way in ways if codes.issuperset(way)), ways[0])


def find(pattern: Pattern, called: str, size: int) -> int:
    """Return the entry of the palette that is called so, in the core's size (0) or the connector's (1).

    Raises
    ------
    PaletteError
        There is none. For a colour in digits or by its CSS name the nearest beads are told.
    """
    palette, name = pattern.palette, pattern.weave.sizes[size].name
    try:
        return palette.find(called, name)
    except PaletteError as error:
        rgb = named_colour(called)
        if rgb is None:
            raise
        entries = palette.for_size(name)
        off = ciede2000(palette.labs()[entries], srgb_to_lab(np.array(rgb, np.uint8)))
        near = [palette.entries[entry] for entry in entries[np.argsort(off, kind="stable")[:NEAREST_TOLD]]]
        told = listed(f"{entry.code} ({entry.name})" if entry.name else entry.code for entry in near)
        raise PaletteError(str(error), f"the beads nearest to that colour are {told}") from error


class _Entries:
    """Entries of the palette by name and size; each is looked for once."""

    def __init__(self, pattern: Pattern) -> None:
        self._pattern = pattern
        self._sizes = pattern.bead_size.tolist()
        self._found: dict[tuple[str, int], int | PaletteError] = {}

    def find(self, called: str, bead: int) -> int:
        """Return the entry that is called so in the size of a bead.

        Raises
        ------
        PaletteError
            There is none.
        """
        size = self._sizes[bead]
        if (called, size) not in self._found:
            try:
                self._found[called, size] = find(self._pattern, called, size)
            except PaletteError as error:
                self._found[called, size] = error
        found = self._found[called, size]
        if isinstance(found, PaletteError):
            raise found
        return found
