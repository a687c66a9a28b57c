"""A pattern: everything that is known about one piece, from which every output is drawn."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from convert.palette.model import Palette
from convert.piece.about import NO_WISHES, NOBODY, USUAL, Figures, Imprint, Outlook, Wishes
from convert.settings.kits import check_students
from convert.settings.money import check_currency, check_spare
from convert.settings.weave import check_pairs
from convert.thread.edging import EDGES
from convert.thread.steps import Supplies, ThreadPlan
from convert.weave.model import Weave
from convert.weave.shapes import Flower, Sheet
from convert.weave.symmetry import Symmetry, alike
from convert.weave.tips import tips_of, woven_only

Shape = Sheet | Flower

# Beads break, and some are too narrow for a last pass. Common practice, no source.
SPARE = 0.10


@dataclass(frozen=True, eq=False)
class Pattern:
    """One piece of weaving.

    Parameters
    ----------
    title : str
        What the piece is called, usually the picture's name.
    shape : Shape
        How `weave` is built again.
    weave : Weave
        Beads, loops and junctions.
    palette : Palette
        Bead colours to choose from.
    bead_colour : ndarray of shape (B,) or (B + T,), int32
        Entry of the palette of each bead of the weave, then of the small bead at each outer tip where the
        edge has points (`convert.weave.tips.Tips`). Read-only.
    thread : ThreadPlan
        Order of work.
    supplies : Supplies
        Thread and needle.
    copies : int
        How many pieces of the kind each person makes, such as 2 for a pair of earrings. Counts are of one
        piece.
    adjustments : tuple of str
        How the picture was turned, cropped and toned before it was sampled, in words.
    spare : float
        Share of the beads woven in that is to be had besides, from 0 to 1.
    currency : str
        What costs are told in; empty for the palette's, if it has one.
    wanted : ndarray of shape (B, 3), uint16, or None
        Light that the picture asks of each bead of the weave, encoded sRGB in 16 bits; None where no picture
        was followed. Read-only.
    unshown : tuple of int
        Beads of the weave at which the picture shows nothing; `wanted` of these is their plain colour.
    symmetry : Symmetry or None
        The repeats and mirror lines of its design. A bead that is changed by hand need not heed them, see
        `repeats`.
    mirror_pair : bool
        Whether every other of the copies is its mirror image, see `convert.piece.mirror_image`.
    finish : str
        What is sewn to it in the end, one of `convert.piece.finishing.FINISHES`.
    wishes : Wishes
        Loops to be left out and added when the piece is made anew.
    path, start, begin : str
        How the order of work was planned, see `convert.thread.planner.plan_thread`.
    imprint : Imprint
        Whose it is.
    outlook : Outlook
        From where it is seen, and what lies behind it.
    figures : Figures or None
        How well it showed its picture when it was made; None where none was followed, or nobody knows.
    students : int
        How many persons each make so many; 0 where no kits are wanted.
    symbols : tuple of (str, int)
        Codes with the numbers of the symbols that other pieces have for them, too; empty where the piece has
        symbols of its own.

    Raises
    ------
    SizeError, PaletteError
        The share, the currency or the number of students is none.
    """

    title: str
    shape: Shape
    weave: Weave
    palette: Palette
    bead_colour: NDArray[np.int32]
    thread: ThreadPlan
    supplies: Supplies
    copies: int = 1
    adjustments: tuple[str, ...] = ()
    spare: float = SPARE
    currency: str = ""
    wanted: NDArray[np.uint16] | None = None
    unshown: tuple[int, ...] = ()
    finish: str = "none"
    symmetry: Symmetry | None = None
    mirror_pair: bool = False
    wishes: Wishes = NO_WISHES
    path: str = "steady"
    start: str = "corner"
    begin: str = "stop-bead"
    imprint: Imprint = NOBODY
    outlook: Outlook = USUAL
    figures: Figures | None = None
    students: int = 0
    symbols: tuple[tuple[str, int], ...] = ()

    def __post_init__(self) -> None:
        check_spare(self.spare)
        check_pairs(self.copies, mirror_pair=self.mirror_pair)
        check_currency(self.currency)
        if self.students:
            check_students(self.students)
        self.bead_colour.flags.writeable = False
        if self.wanted is not None:
            self.wanted.flags.writeable = False

    @property
    def bags(self) -> int:
        """For how many persons beads and thread are counted out."""
        return max(1, self.students)

    @property
    def pieces(self) -> int:
        """How many pieces of the kind are made by all."""
        return self.copies * self.bags

    @property
    def costs_in(self) -> str:
        """The currency of all costs: the one asked for, or the palette's; empty where neither is known."""
        return self.currency or self.palette.currency

    @property
    def made_alike(self) -> int:
        """How many of the copies are woven just so, and not as a mirror image."""
        return self.copies // 2 if self.mirror_pair else self.copies

    @property
    def edge(self) -> str:
        """The finish of the edge, one of `EDGES`."""
        return EDGES[len(self.bead_colour) > len(woven_only(self.weave, self.bead_colour))]

    @cached_property
    def bead_size(self) -> NDArray[np.uint8]:
        """Return the index into ``weave.sizes`` of each bead, tips included, as `bead_colour` has them."""
        tips = tips_of(self.weave)
        return tips.extended(self.weave.bead_size, tips.size_index)[: len(self.bead_colour)]

    @cached_property
    def repeats(self) -> Symmetry | None:
        """Return the repeats of the piece, None where there are none or the beads are not all as they say."""
        if self.symmetry is None or not self.symmetry.repeats:
            return None
        found = self.symmetry.only_repeats()
        first = alike(self.weave, found)[: len(self.bead_colour)]
        return found if (self.bead_colour == self.bead_colour[first]).all() else None

    @cached_property
    def counts(self) -> NDArray[np.int64]:
        """Return the number of beads of each entry of the palette and each size, shape (K, 2).

        In the one-size weave the second column is 0.
        """
        return bead_counts(self.bead_colour, self.bead_size, len(self.palette.entries))

    @cached_property
    def used(self) -> NDArray[np.int64]:
        """Return the palette entries that are used, shape (U,): most beads first, ties in its order."""
        return most_beads_first(self.counts)

    @property
    def colours(self) -> int:
        """Number of colours used; a code that is woven in both sizes is one colour."""
        return len({self.palette.entries[entry].code for entry in self.used.tolist()})


def bead_counts(
    bead_colour: NDArray[np.int32], bead_size: NDArray[np.uint8], entries: int
) -> NDArray[np.int64]:
    """Return the number of beads of each of so many entries and each size, shape (K, 2).

    Parameters
    ----------
    bead_colour : ndarray of shape (N,), int32
        Entry of the palette of each bead.
    bead_size : ndarray of shape (N,), uint8
        Its size, 0 or 1.
    entries : int
        Entries of the palette, K.
    """
    keys = bead_colour.astype(np.int64) * 2 + bead_size
    return np.bincount(keys, minlength=2 * entries).reshape(-1, 2)


def most_beads_first(counts: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the entries of which there are beads, shape (U,): most beads first, ties in their order."""
    beads = counts.sum(axis=1)
    order = np.argsort(-beads, kind="stable")
    return np.asarray(order[beads[order] > 0])
