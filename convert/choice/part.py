"""A piece that wants colours, on its own or as one of several that share a choice."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.colour.scielab import VIEW_DISTANCE_M
from convert.settings.colour import ColourSettings
from convert.weave.model import FloatArray, IntArray, Weave
from convert.weave.tips import tips_of


@dataclass(frozen=True, eq=False, slots=True)
class Part:
    """A piece that wants colours.

    Parameters
    ----------
    wanted : ndarray of shape (B, 3) or (B + T, 3), float64
        See `choose`.
    weave : Weave
        The piece.
    settings : ColourSettings
        The user's choices.
    copies : int
        Pieces to be woven of the stock, and how much the beads weigh beside those of other pieces.
    name : str
        What it is called, if there are several.
    alike : ndarray of shape (B + T,), int32, optional
        For each bead the first that is to have its colour; None if all are free.
    distance_m : float
        From how far a search for the look from afar looks at it.
    """

    wanted: FloatArray
    weave: Weave
    settings: ColourSettings
    copies: int = 1
    name: str = ""
    alike: IntArray | None = None
    distance_m: float = VIEW_DISTANCE_M

    @property
    def searches(self) -> bool:
        """Whether its beads are searched for their look from afar."""
        return self.settings.dither > 0 and self.settings.dither_kind == "search"

    @property
    def first(self) -> NDArray[np.intp]:
        """For each bead of those wanted the first that is to have its colour."""
        beads = len(self.wanted)
        return np.arange(beads) if self.alike is None else self.alike[:beads].astype(np.intp)

    @property
    def bead_size(self) -> NDArray[np.uint8]:
        """0 for beads of the core's size, 1 for those of the connector's, tips included."""
        tips = tips_of(self.weave)
        return tips.extended(self.weave.bead_size, tips.size_index)[: len(self.wanted)]

    @property
    def bead_xy(self) -> FloatArray:
        """Centres of the beads in mm, tips included."""
        weave, tips = self.weave, tips_of(self.weave)
        return tips.extended(weave.bead_xy, weave.junction_xy[tips.junctions])[: len(self.wanted)]
