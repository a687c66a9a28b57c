"""Names by which the stitch order speaks of beads and loops, the same that the chart shows."""

import numpy as np

from convert.piece.pattern import Pattern
from convert.piece.repeats import seam_told
from convert.thread.moves import bead_loops
from convert.weave.model import RIM
from convert.weave.shapes import Sheet
from convert.weave.tips import tips_of

# From the right, clockwise on the page.
_COMPASS = ("right", "bottom right", "bottom", "bottom left", "left", "top left", "top", "top right")


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
    loops : list of str
        What each loop is called.
    codes : dict of str to list of str
        What beads of a code are called in the first and in the second size.
    beads : list of str
        What each bead is called: its code, with the size where the code is used in both.
    ring : str
        How the closing of a ring is called; empty where there is none.
    """

    def __init__(self, pattern: Pattern) -> None:
        weave = pattern.weave
        self.line = "row" if isinstance(pattern.shape, Sheet) else "round"
        rows, places = (weave.loop_row + 1).tolist(), (weave.loop_column + 1).tolist()
        if self.line == "row":
            self.loops = [f"{row}.{place}" for row, place in zip(rows, places, strict=True)]
        else:
            self.loops = [str(number + 1) for number in range(weave.loops)]

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
        self._beside, self._beyond = bead_loops(weave).T.tolist()

        side = weave.bead_sides[:, 0]
        outward = weave.side_xy[side] - weave.loop_xy[weave.side_loop[side]]
        eighths = np.rint(np.arctan2(outward[:, 1], outward[:, 0]) * 4 / np.pi).astype(int) % 8
        self._compass = [_COMPASS[eighth] for eighth in eighths.tolist()]
        of_junction = np.empty(weave.junctions, np.int32)
        of_junction[weave.side_junction] = weave.side_loop
        self._tips = tips_of(weave)
        self._at_tips = [f"tip of {self.loops[loop]}" for loop in of_junction[self._tips.junctions].tolist()]

    def place(self, bead: int) -> str:
        """Return where a bead lies: between two loops, at the edge of one, or at a tip."""
        if bead >= self._tips.first:
            return self._at_tips[self._tips.place(bead)]
        one, other = self._beside[bead], self._beyond[bead]
        if other == RIM:
            return f"edge of {self.loops[one]}, {self._compass[bead]}"
        return f"{self.loops[one]}/{self.loops[other]}"

    def bead(self, bead: int) -> str:
        """Return what a bead is called and where it lies."""
        return f"{self.beads[bead]} ({self.place(bead)})"
