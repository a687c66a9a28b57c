"""Where beads and loops lie, in the words of the stitch order and of the chart."""

import numpy as np

from convert.thread.moves import bead_loops
from convert.weave.hanging import HANGING
from convert.weave.model import RIM, Weave
from convert.weave.tips import tips_of

# From the right, clockwise on the page.
COMPASS = ("right", "bottom right", "bottom", "bottom left", "left", "top left", "top", "top right")


class Places:
    """Names of the places of a piece.

    Parameters
    ----------
    weave : Weave
        The piece.
    in_rows : bool
        Whether its loops lie in rows; else they are numbered.
    first : tuple of int
        What the first row, and the first place of a row, is called.

    Attributes
    ----------
    loops : list of str
        What each loop is called.
    """

    def __init__(self, weave: Weave, *, in_rows: bool, first: tuple[int, int] = (1, 1)) -> None:
        rows, places = (weave.loop_row + first[0]).tolist(), (weave.loop_column + first[1]).tolist()
        if in_rows:
            self.loops = [f"{row}.{place}" for row, place in zip(rows, places, strict=True)]
        else:
            self.loops = [str(number + 1) for number in range(weave.loops)]
        if weave.hanging:
            self.loops[-1] = HANGING
        self._beside, self._beyond = bead_loops(weave).T.tolist()
        side = weave.bead_sides[:, 0]
        outward = weave.side_xy[side] - weave.loop_xy[weave.side_loop[side]]
        eighths = np.rint(np.arctan2(outward[:, 1], outward[:, 0]) * 4 / np.pi).astype(int) % 8
        self._compass = [COMPASS[eighth] for eighth in eighths.tolist()]
        of_junction = np.empty(weave.junctions, np.int32)
        of_junction[weave.side_junction] = weave.side_loop
        self._tips = tips_of(weave)
        self._at_tips = [self.loops[loop] for loop in of_junction[self._tips.junctions].tolist()]

    def of(self, bead: int) -> tuple[str, str]:
        """Return the loop a bead lies in and what is beyond: another loop, a way out, or ``tip``."""
        if bead >= self._tips.first:
            return self._at_tips[self._tips.place(bead)], "tip"
        one, other = self._beside[bead], self._beyond[bead]
        return self.loops[one], self._compass[bead] if other == RIM else self.loops[other]

    def told(self, bead: int) -> str:
        """Return where a bead lies: between two loops, at the edge of one, or at a tip."""
        loop, beyond = self.of(bead)
        if beyond == "tip":
            return f"tip of {loop}"
        return f"edge of {loop}, {beyond}" if beyond in COMPASS else f"{loop}/{beyond}"
