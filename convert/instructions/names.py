"""Names by which the stitch order speaks of beads and loops, the same that the chart shows."""

import numpy as np

from convert.instructions.places import Places
from convert.piece.pattern import Pattern
from convert.piece.repeats import seam_told
from convert.weave.shapes import Sheet

# After a code that is used in both sizes: the bead of the second.
SECOND = "\N{PRIME}"


class StitchNames:
    """Names of the beads and loops of a pattern.

    Parameters
    ----------
    pattern : Pattern
        The piece.

    Attributes
    ----------
    line : str
        What loops lie in: ``row`` or ``round``.
    places : Places
        Where beads lie.
    loops : list of str
        What each loop is called.
    codes : dict of str to list of str
        What beads of a code are called in the first and in the second size.
    marked : bool
        Whether a code is used in both sizes.
    beads : list of str
        What each bead is called: its code, with the size where the code is used in both.
    in_short : list of str
        The same in the short form: the code, with `SECOND` for the second size where it is used in both.
    ring : str
        How the closing of a ring is called; empty where there is none.
    """

    def __init__(self, pattern: Pattern) -> None:
        weave = pattern.weave
        self.line = "row" if isinstance(pattern.shape, Sheet) else "round"
        self.places = Places(weave, in_rows=self.line == "row")
        self.loops = self.places.loops

        self.ring = ""
        if weave.seam is not None:
            self.ring = f"close to {seam_told(pattern)}: loop {weave.seam.loops} of each row"

        # A code that is used in both sizes is told apart by the size.
        entries = pattern.palette.entries
        sizes_of: dict[str, set[int]] = {}
        for entry, size in np.argwhere(pattern.counts > 0).tolist():
            sizes_of.setdefault(entries[entry].code, set()).add(size)
        self.codes = {
            code: [f"{code} {size.name}" if len(used) > 1 else code for size in weave.sizes]
            for code, used in sizes_of.items()
        }
        names = [self.codes.get(entry.code, []) for entry in entries]
        colours, sizes = pattern.bead_colour.tolist(), pattern.bead_size.tolist()
        self.beads = [names[colour][size] for colour, size in zip(colours, sizes, strict=True)]
        self.marked = any(len(used) > 1 for used in sizes_of.values())
        marks = [len(sizes_of.get(entry.code, ())) > 1 for entry in entries]
        self.in_short = [
            entries[colour].code + SECOND * (marks[colour] and size == 1)
            for colour, size in zip(colours, sizes, strict=True)
        ]

    def place(self, bead: int) -> str:
        """Return where a bead lies: between two loops, at the edge of one, or at a tip."""
        return self.places.told(bead)

    def bead(self, bead: int) -> str:
        """Return what a bead is called and where it lies."""
        return f"{self.beads[bead]} ({self.place(bead)})"
