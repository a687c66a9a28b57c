"""A pattern: everything that is known about one piece, from which every output is drawn."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.colour.palette import Palette
from convert.thread.steps import Supplies, ThreadPlan
from convert.weave.model import Weave


@dataclass(frozen=True, eq=False)
class Pattern:
    """One piece of weaving.

    Parameters
    ----------
    title : str
        What the piece is called, usually the picture's name.
    weave : Weave
        Beads, loops and junctions.
    palette : Palette
        Bead colours to choose from.
    bead_colour : ndarray of shape (B,) or (B + T,), int32
        Entry of the palette of each bead of the weave, then of the small bead at each outer tip where the edge
        has points (`Weave.tip_junctions`). Read-only.
    thread : ThreadPlan
        Order of work.
    supplies : Supplies
        Thread and needle.
    """

    title: str
    weave: Weave
    palette: Palette
    bead_colour: NDArray[np.int32]
    thread: ThreadPlan
    supplies: Supplies

    def __post_init__(self) -> None:
        self.bead_colour.flags.writeable = False

    @property
    def counts(self) -> NDArray[np.int64]:
        """Number of beads of each entry of the palette, shape (K,)."""
        return np.bincount(self.bead_colour, minlength=len(self.palette.entries))

    @property
    def used(self) -> NDArray[np.int64]:
        """Entries of the palette that are used, most beads first, ties in the order of the palette."""
        counts = self.counts
        order = np.argsort(-counts, kind="stable")
        return order[counts[order] > 0]
