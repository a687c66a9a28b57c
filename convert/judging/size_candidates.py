"""What is compared: pieces in several sizes of bead, with the figures to choose by."""

from contextlib import suppress
from dataclasses import dataclass

from convert.errors import PaletteError, SizeError
from convert.judging.detail import Surviving, kept_above_mm
from convert.making.pipeline import Result
from convert.palette.model import Palette
from convert.picture.model import Picture
from convert.picture.part import Part
from convert.piece.materials import FinishedSize, finished_size, materials, total_cost
from convert.weave.beads import BeadSize, bead_size

SAME_WIDTH, SAME_LOOPS = "width", "loops"
READINGS = {SAME_WIDTH: "Same finished width", SAME_LOOPS: "Same number of loops across"}
_PAIR = "+"

Sizes = tuple[BeadSize, BeadSize]


@dataclass(frozen=True, eq=False, slots=True)
class Candidate:
    """One size of bead in one reading.

    Parameters
    ----------
    sizes : tuple of BeadSize
        Core and connector.
    reading : str
        A key of `READINGS`.
    result : Result
        The pattern.
    whole, part : Surviving or None
        What survives of the whole picture and of the part that is judged; None where it is not in the piece.
    beads_wide : float
        How many beads wide that part is, along a row of beads.
    hours : float
        Time to weave it.
    marked : bool
        Whether it is the one of its reading to choose: of those that keep the detail the one of fewest beads
        at the same width, the smallest with the same loops.
    """

    sizes: Sizes
    reading: str
    result: Result
    whole: Surviving | None
    part: Surviving | None
    beads_wide: float
    hours: float
    marked: bool = False

    @property
    def name(self) -> str:
        """The sizes as the user gives them."""
        return sizes_name(self.sizes)

    @property
    def finished(self) -> FinishedSize:
        """Finished width and height with their range."""
        return finished_size(self.result.pattern)

    @property
    def beads(self) -> int:
        """Beads of the piece."""
        return len(self.result.pattern.bead_colour)

    @property
    def loops(self) -> int:
        """Loops of the piece."""
        return self.result.pattern.weave.loops

    @property
    def colours(self) -> int:
        """Colours used."""
        return self.result.pattern.colours

    @property
    def grams(self) -> float:
        """Weight to have at hand, with spare beads."""
        return sum(row.grams for row in materials(self.result.pattern))

    @property
    def cost(self) -> float | None:
        """Price of the packs to buy; None where the palette has no prices."""
        return total_cost(row.cost for row in materials(self.result.pattern))

    @property
    def cost_used(self) -> float | None:
        """Price of the beads woven in, by weight; None where the palette has no prices."""
        return total_cost(row.cost_used for row in materials(self.result.pattern))

    @property
    def currency(self) -> str:
        """What costs are in; empty where nobody says."""
        return self.result.pattern.costs_in

    @property
    def thread_m(self) -> float:
        """Length of the thread in metres."""
        return self.result.thread.length_mm / 1000

    @property
    def lines_kept_mm(self) -> float:
        """Repeat of lines from which on they survive in every direction; below half of it none can."""
        return kept_above_mm(self.result.pattern.weave.spacing)

    @property
    def survives(self) -> bool:
        """Whether the detail survives."""
        return self.part is not None and self.part.enough


@dataclass(frozen=True, eq=False, slots=True)
class SizeComparison:
    """All candidates, and what to choose.

    Parameters
    ----------
    picture : Picture
        What they show.
    candidates : tuple of Candidate
        Those of the same width first.
    part : Part
        The part of the picture that is judged.
    needs : float or None
        How many beads wide that part has to be; None where no piece keeps it, or nothing can be lost.
    advice : str
        What to choose, in words.
    beads_per_hour : float
        Beads woven in an hour.
    distance_m : float
        Distance of the eye.
    notes : tuple of str
        What the user should know, such as which sizes the beads on hand do not suffice for.
    """

    picture: Picture
    candidates: tuple[Candidate, ...]
    part: Part
    needs: float | None
    advice: str
    beads_per_hour: float
    distance_m: float
    notes: tuple[str, ...]


def sizes_name(sizes: Sizes) -> str:
    """Return a pair of sizes as the user gives it, such as ``11/0`` or ``11/0+8/0``."""
    return _PAIR.join(dict.fromkeys(size.name for size in sizes))


def sizes_named(text: str) -> Sizes:
    """Return core and connector of ``11/0``, ``11/0+8/0`` or measures in mm.

    Raises
    ------
    SizeError
        There is no such size, or there are more than two.
    """
    names = text.split(_PAIR)
    if len(names) > 2:
        raise SizeError(
            f"'{text}' names {len(names)} bead sizes", "give one, or core and connector: 11/0+8/0"
        )
    core, connector = bead_size(names[0]), bead_size(names[-1])
    return core, connector


def sizes_of(palette: Palette) -> list[Sizes]:
    """Return every bead size of a palette whose measures are known, smallest first.

    Raises
    ------
    PaletteError
        The palette names no such sizes.
    """
    names = dict.fromkeys(entry.size for entry in palette.entries if entry.size is not None)
    sizes = []
    for name in names:
        # Of a name that is misspelt, or measured by --beads only, the palette's notes have told.
        with suppress(SizeError):
            sizes.append(bead_size(name))
    if not sizes:
        raise PaletteError(
            f"palette {palette.name} names no bead sizes to compare",
            "give sizes with --beads, such as --beads 15/0 --beads 11/0",
        )
    return sorted(((size, size) for size in sizes), key=lambda pair: pair[0].diameter_mm)
