"""The few figures from which a weave is built again: what a pattern file keeps instead of positions."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.errors import SizeError
from convert.weave.beads import BeadSize
from convert.weave.lattice import DIRECTIONS, sheet
from convert.weave.model import Weave
from convert.weave.motif import FLAT, check_flower, drawn_scale, flower
from convert.weave.spacing import Spacing


@dataclass(frozen=True, eq=False, slots=True)
class Sheet:
    """A flat sheet, or the part of one that is woven.

    Parameters
    ----------
    woven : ndarray of shape (rows, places), bool
        Which loops are woven. Read-only.
    direction : str
        ``across`` or ``along``, see `convert.weave.lattice.sheet`.
    joined : bool
        Whether the last place of each row is woven into the first.
    """

    woven: NDArray[np.bool_]
    direction: str = "across"
    joined: bool = False

    def __post_init__(self) -> None:
        if self.direction not in DIRECTIONS:
            raise SizeError(f"rows run {' or '.join(DIRECTIONS)}, not '{self.direction}'")
        self.woven.flags.writeable = False

    @property
    def width_share(self) -> float:
        """Width of the finished piece as a share of its width as drawn."""
        return 1.0

    def build(self, sizes: tuple[BeadSize, BeadSize], spacing: Spacing) -> Weave:
        """Return the weave of this shape."""
        return sheet(self.woven, sizes, spacing, self.direction, joined=self.joined)


@dataclass(frozen=True, slots=True)
class Flower:
    """Rounds of loops about a centre loop, see `convert.weave.motif`.

    Parameters
    ----------
    rounds : int
        Rounds about the centre loop.
    centre : int
        Beads of the centre loop.
    """

    rounds: int
    centre: int = FLAT

    def __post_init__(self) -> None:
        check_flower(self.rounds, self.centre)

    @property
    def width_share(self) -> float:
        """Width of the finished piece as a share of its width as drawn.

        A cup is a cone whose rim is as long as that of its sectors laid side by side; a ruffle is taken as
        wide as a flat flower.
        """
        return min(1.0, self.centre / FLAT) / drawn_scale(self.centre)

    def build(self, sizes: tuple[BeadSize, BeadSize], spacing: Spacing) -> Weave:
        """Return the weave of this shape."""
        return flower(self.rounds, self.centre, sizes, spacing)
