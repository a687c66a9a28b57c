"""Kits: what goes into one bag of a class, what to buy for all bags, and the price of a kit."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from convert.piece.finishing import Finish, finishing
from convert.piece.materials import Material, materials, with_spare
from convert.piece.pattern import Pattern
from convert.thread.verifier import ThreadReport

NEEDLES = 2
"""Needles in a bag, since they bend; common practice, no source."""


class BagBeads(NamedTuple):
    """Beads of one colour and size.

    Parameters
    ----------
    material : Material
        What all bags take of them.
    beads, spare : int
        Beads in one bag that are woven in, and beads to spare.
    grams : float
        Their weight, those to spare counted in.
    cost : float or None
        What they cost by weight, those to spare counted in; None where the palette has no price.
    uses : sequence of str
        Of a set, the pieces they are for.
    """

    material: Material
    beads: int
    spare: int
    grams: float
    cost: float | None
    uses: Sequence[str] = ()


class BagThread(NamedTuple):
    """Thread for the copies of one piece, and a needle for it.

    Parameters
    ----------
    piece : str
        What the piece is called.
    copies : int
        How many of it one person makes.
    thread_mm, needle_mm : float
        Thickness of thread and needle.
    threads : int
        Working threads.
    length_mm, longest_mm : float
        Length of all of them and of the longest, with their tails.
    finish : Finish or None
        How each piece is finished, with thread of its own.
    """

    piece: str
    copies: int
    thread_mm: float
    needle_mm: float
    threads: int
    length_mm: float
    longest_mm: float
    finish: Finish | None = None

    @property
    def finish_mm(self) -> float:
        """Thread to finish all copies."""
        return 0.0 if self.finish is None else self.finish.thread_mm * self.copies


@dataclass(frozen=True, eq=False, slots=True)
class Kit:
    """Kits for a class.

    Parameters
    ----------
    title : str
        What the piece or the set is called.
    students : int
        How many bags.
    rows : sequence of Material
        What all bags take, see `convert.piece.materials.materials_of`.
    threads : sequence of BagThread
        Thread in one bag, piece by piece.
    spare : float
        Share of beads to spare.
    costs_in : str
        Currency, or empty.
    labour : float
        For the work on each kit.
    margin : float
        Share of the price that is to remain.
    uses : sequence of sequence of str
        Of a set, the pieces that the beads of each row are for; empty for a piece alone.
    """

    title: str
    students: int
    rows: Sequence[Material]
    threads: Sequence[BagThread]
    spare: float
    costs_in: str
    labour: float = 0.0
    margin: float = 0.0
    uses: Sequence[Sequence[str]] = ()

    @property
    def beads(self) -> list[BagBeads]:
        """What one bag has of each colour and size, most beads first."""
        found = []
        for number, row in enumerate(self.rows):
            woven = row.beads // self.students
            in_bag = with_spare(woven, self.spare)
            grams, colour = row.grams / self.students, row.colour
            cost = None
            if colour.pack_g is not None and colour.price is not None:
                cost = grams / colour.pack_g * colour.price
            uses = self.uses[number] if self.uses else ()
            found.append(BagBeads(row, woven, in_bag - woven, grams, cost, uses))
        return found

    @property
    def priced(self) -> int:
        """Of how many of its rows the palette knows the price."""
        return sum(one.cost is not None for one in self.beads)

    @property
    def beads_cost(self) -> float:
        """What the beads in one bag cost by weight, as far as prices are known."""
        return sum(one.cost for one in self.beads if one.cost is not None)

    @property
    def price(self) -> float | None:
        """Price of a kit; None where the palette has no prices."""
        return (self.beads_cost + self.labour) / (1 - self.margin) if self.priced else None

    @property
    def thread_mm(self) -> float:
        """Thread in one bag, that to finish the pieces counted in."""
        return sum(one.length_mm + one.finish_mm for one in self.threads)

    @property
    def needles(self) -> tuple[float, ...]:
        """Thickness of each kind of needle in a bag, thin ones first."""
        return tuple(sorted({one.needle_mm for one in self.threads}))


def bag_thread(pattern: Pattern, report: ThreadReport, piece: str) -> BagThread:
    """Return the thread that one person needs for the copies of a piece."""
    copies, supplies = pattern.copies, pattern.supplies
    return BagThread(
        piece,
        copies,
        supplies.thread_mm,
        supplies.needle_mm,
        report.threads * copies,
        report.length_mm * copies,
        report.longest_thread_mm,
        finishing(pattern),
    )


def kit_of(pattern: Pattern, report: ThreadReport, labour: float = 0.0, margin: float = 0.0) -> Kit:
    """Return the kits for the students of a piece.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    report : ThreadReport
        The proof of its thread path.
    labour, margin : float
        See `Kit`.
    """
    threads = (bag_thread(pattern, report, pattern.title),)
    rows = materials(pattern)
    return Kit(pattern.title, pattern.bags, rows, threads, pattern.spare, pattern.costs_in, labour, margin)
