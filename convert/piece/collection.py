"""A set of pieces that share one choice of colours: what they take together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from convert.palette.model import Palette
from convert.piece.edition import for_student, without_shop
from convert.piece.kit import Kit, bag_thread
from convert.piece.materials import Material, materials_of, pooled
from convert.piece.pattern import Pattern
from convert.thread.verifier import ThreadReport


@dataclass(frozen=True, eq=False)
class Collection:
    """A set of pieces. All are for the same class, with the same share of beads to spare.

    Parameters
    ----------
    title : str
        What the set is called.
    names : sequence of str
        What its pieces are called.
    patterns : sequence of Pattern
        The pieces.
    reports : sequence of ThreadReport
        The proofs of their thread paths.
    palette : Palette
        Bead colours that have those of each piece among them.
    """

    title: str
    names: Sequence[str]
    patterns: Sequence[Pattern]
    reports: Sequence[ThreadReport]
    palette: Palette

    @property
    def students(self) -> int:
        """How many persons each make the set; 0 where no kits are wanted."""
        return self.patterns[0].students

    @property
    def bags(self) -> int:
        """For how many persons beads are counted out."""
        return self.patterns[0].bags

    @property
    def spare(self) -> float:
        """Share of beads to spare."""
        return self.patterns[0].spare

    @property
    def costs_in(self) -> str:
        """The currency of all costs, or empty."""
        return self.patterns[0].currency or self.palette.currency

    @cached_property
    def _counts(self) -> list[NDArray[np.int64]]:
        """Beads of each entry of the palette and each of its two sizes, in all copies in a bag, by piece."""
        place = {(entry.code, entry.size): number for number, entry in enumerate(self.palette.entries)}
        found = []
        for pattern in self.patterns:
            counts = np.zeros((len(self.palette.entries), 2), np.int64)
            own = [place[entry.code, entry.size] for entry in pattern.palette.entries]
            counts[own] = pattern.counts * pattern.copies
            found.append(counts)
        return found

    @cached_property
    def rows(self) -> list[Material]:
        """What all pieces of all students take, most beads first."""
        sizes = [pattern.weave.sizes for pattern in self.patterns]
        taken = list(zip(self._counts, sizes, strict=True))
        return materials_of(*pooled(taken), self.palette, self.bags, self.spare)

    @cached_property
    def by_piece(self) -> dict[str, list[int]]:
        """Beads of each of `rows` that are woven into each piece, over all copies and students."""
        return {
            name: [
                self.bags
                * sum(int(counts[row.entry, at]) for at in (0, 1) if pattern.weave.sizes[at] == row.size)
                for row in self.rows
            ]
            for name, pattern, counts in zip(self.names, self.patterns, self._counts, strict=True)
        }

    @property
    def colours(self) -> int:
        """Number of colours used; a code that is woven in several sizes is one colour."""
        return len({row.colour.code for row in self.rows})

    def kit(self, labour: float = 0.0, margin: float = 0.0) -> Kit | None:
        """Return the kits for the students of the set, None where there are to be none."""
        if not self.students:
            return None
        pieces = zip(self.patterns, self.reports, self.names, strict=True)
        threads = tuple(bag_thread(pattern, report, name) for pattern, report, name in pieces)
        money = self.spare, self.costs_in, labour, margin
        uses = [
            [name for name, beads in self.by_piece.items() if beads[number]]
            for number in range(len(self.rows))
        ]
        return Kit(self.title, self.students, self.rows, threads, *money, uses)

    def for_student(self) -> "Collection":
        """Return the set as one person weaves it, without what is on hand and what it costs."""
        patterns = [for_student(pattern) for pattern in self.patterns]
        return replace(self, patterns=patterns, palette=without_shop(self.palette))
