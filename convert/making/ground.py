"""What a source of colours paints on: a piece laid out, the palette, and how beads are to be chosen."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from convert.colour.ciede2000 import ciede2000
from convert.colour.srgb import decode
from convert.errors import PaletteError
from convert.making.layout import Layout
from convert.making.rule_lines import colour_numbers
from convert.making.rule_text import Rule
from convert.palette.model import Palette
from convert.settings.colour import ColourSettings
from convert.weave.model import FloatArray, IntArray, Weave
from convert.weave.symmetry import alike
from convert.weave.tips import tips_of


@dataclass(frozen=True, eq=False, slots=True)
class Painting:
    """A bead for each place, and what was learnt on the way.

    Parameters
    ----------
    bead_colour : ndarray of shape (B,) or (B + T,), int32
        Entry of the palette of each bead, see `convert.piece.pattern.Pattern`.
    wanted : ndarray of shape (B, 3), float64
        Light that was wanted of each bead, linear sRGB.
    nearest : ndarray of shape (B,), int32, or None
        The nearest entry for each; None where no picture was followed.
    difference : float or None
        Mean CIEDE2000 difference between what was wanted and the bead; None where no picture was followed.
    gap : float or None
        By what share another choice of as many colours could be better at most; None without such a limit.
    notes : tuple of str
        What the user should know.
    reason : str or None
        Why there are as many colours as there are; None where the user has said how many.
    unshown : tuple of int
        Beads of the weave at which a picture that was followed shows nothing.
    """

    bead_colour: IntArray
    wanted: FloatArray
    nearest: IntArray | None = None
    difference: float | None = None
    gap: float | None = None
    notes: tuple[str, ...] = ()
    reason: str | None = None
    unshown: tuple[int, ...] = ()


@dataclass(frozen=True, eq=False)
class Ground:
    """A piece as yet without colours.

    Parameters
    ----------
    layout : Layout
        Its loops.
    palette : Palette
        Bead colours to choose from, of its sizes only.
    colours : ColourSettings
        How beads are to be chosen.
    edge : str
        Whether there are small beads at the tips, one of `convert.thread.edging.EDGES`.
    copies : int
        How many pieces are made of the palette's stock.
    """

    layout: Layout
    palette: Palette
    colours: ColourSettings
    edge: str = "plain"
    copies: int = 1

    @property
    def weave(self) -> Weave:
        """The piece."""
        return self.layout.weave

    @cached_property
    def alike(self) -> IntArray | None:
        """For each bead the first that is to have its colour, those at tips last; None if all are free."""
        symmetry = self.layout.symmetry
        return None if symmetry is None else alike(self.weave, symmetry)

    @property
    def second_at_tips(self) -> bool:
        """Whether small beads at tips are of the second kind: of the connector's size, or the points' own."""
        return self.weave.one_size or tips_of(self.weave).size_index == 1

    def bead(self, named: str, size: int) -> int:
        """Return the entry of the palette that a user names, in the core's size (0) or the connector's (1).

        Raises
        ------
        PaletteError
            There is none.
        """
        return self.palette.find(named, self.weave.sizes[size].name)

    def beads(self, named: str) -> IntArray:
        """Return the entry of what a user names for each bead of the weave, in its own size, shape (B,).

        Raises
        ------
        PaletteError
            There is none in a size of the piece.
        """
        return np.array([self.bead(named, 0), self.bead(named, 1)], np.int32)[self.weave.bead_size]

    def first(self, size: int) -> int:
        """Return the first entry of the palette in the core's size (0) or the connector's (1)."""
        return int(self._entries(size)[0])

    def unlike(self, entry: int, size: int) -> int:
        """Return the entry of a size, 0 or 1, that is least like an entry of the palette."""
        entries, labs = self._entries(size), self.palette.labs()
        return int(entries[ciede2000(labs[entries], labs[entry]).argmax()])

    def ruled(self, rule: Rule, seed: int) -> Painting:
        """Return a painting by a rule, see `convert.making.rule_lines.colour_numbers`.

        Raises
        ------
        RuleError
            The palette lacks one of its colours, or the piece has no such lines.
        """
        weave, tips = self.weave, tips_of(self.weave)
        of_bead, notes = colour_numbers(rule, self.layout, seed)
        # A small bead at a tip takes the colour of one of the two beside it.
        of_junction = np.empty(weave.junctions, np.int32)
        of_junction[weave.bead_junctions] = of_bead[:, None]
        of_tip = of_junction[tips.junctions]
        entries = np.zeros((len(rule.colours), len(weave.sizes)), np.int32)
        for number, called in enumerate(rule.colours):
            sizes = set(np.unique(weave.bead_size[of_bead == number]).tolist())
            if self.edge == "points" and (of_tip == number).any():
                sizes.add(tips.size_index)
            try:
                for size in sizes:
                    entries[number, size] = self.bead(called.name, size)
                if not sizes:
                    unused = self.palette.entries[self.palette.find(called.name)]
                    notes.append(f"none of {unused.code} is woven in: the piece has no line for it")
            except PaletteError as error:
                raise rule.fault(called, str(error), error.hint) from error
        return self.painted(entries[of_bead, weave.bead_size], entries[of_tip, tips.size_index], notes)

    def painted(self, bead_colour: ArrayLike, tip_colour: ArrayLike, notes: Sequence[str] = ()) -> Painting:
        """Return a painting in colours that are wanted as they are.

        Parameters
        ----------
        bead_colour : array_like of int, of shape (B,)
            Entry of the palette of each bead.
        tip_colour : array_like of int, of shape (T,) or one for all
            Entry of the palette of each small bead at a tip.
        notes : sequence of str
            What the user should know.
        """
        chosen = np.asarray(bead_colour, np.int32)
        beads = chosen
        if self.edge == "points":
            beads = tips_of(self.weave).extended(chosen, tip_colour)
        return Painting(beads, decode(self.palette.rgb()[chosen]), notes=tuple(notes))

    def _entries(self, size: int) -> IntArray:
        return self.palette.for_size(self.weave.sizes[size].name)
