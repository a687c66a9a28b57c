"""The few figures from which a weave is built again: what a pattern file keeps instead of positions."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.errors import SizeError
from convert.weave.beads import BeadSize
from convert.weave.hanging import check_hanging, hung
from convert.weave.lattice import DIRECTIONS, sheet
from convert.weave.model import Weave
from convert.weave.motif import FLAT, check_flower, drawn_scale, flower
from convert.weave.part import part_of, turned
from convert.weave.spacing import Spacing

# Sixths of a flat flower that are whole parts of the sheet with an axis of their own, and all of it.
PARTS = (1, 2, 3, FLAT)


@dataclass(frozen=True, eq=False, slots=True)
class Sheet:
    """A flat sheet, or the part of one that is woven.

    Parameters
    ----------
    woven : ndarray of shape (rows, places), bool
        Which loops are woven. Read-only.
    direction : str
        ``across`` or ``along``, see `convert.weave.lattice.sheet`.
    hanging : int
        Beads of a loop to hang it by, see `convert.weave.hanging`; 0 for none.
    joined : bool
        Whether the last place of each row is woven into the first.
    """

    woven: NDArray[np.bool_]
    direction: str = "across"
    hanging: int = 0
    joined: bool = False

    def __post_init__(self) -> None:
        if self.direction not in DIRECTIONS:
            raise SizeError(f"rows run {' or '.join(DIRECTIONS)}, not '{self.direction}'")
        check_hanging(self.hanging)
        if self.joined and self.hanging:
            raise SizeError("what is closed to a ring has no top to hang it by")
        self.woven.flags.writeable = False

    @property
    def width_share(self) -> float:
        """Width of the finished piece as a share of its width as drawn."""
        return 1.0

    def build(self, sizes: tuple[BeadSize, BeadSize], spacing: Spacing) -> Weave:
        """Return the weave of this shape."""
        weave = sheet(self.woven, sizes, spacing, self.direction, joined=self.joined)
        return hung(weave, self.hanging) if self.hanging else weave


@dataclass(frozen=True, slots=True)
class Flower:
    """Rounds of loops about a centre loop, see `convert.weave.motif`.

    Parameters
    ----------
    rounds : int
        Rounds about the centre loop.
    centre : int
        Beads of the centre loop.
    sixths : int
        How many sectors of 60 degrees there are of a flat flower; 6 for a whole one, or for any other centre.
    hanging : int
        Beads of a loop to hang it by, see `convert.weave.hanging`; 0 for none.
    """

    rounds: int
    centre: int = FLAT
    sixths: int = FLAT
    hanging: int = 0

    def __post_init__(self) -> None:
        check_flower(self.rounds, self.centre)
        check_hanging(self.hanging)
        if self.sixths not in PARTS:
            raise SizeError(f"a flower has 1, 2, 3 or all 6 of its sixths, not {self.sixths}")
        if self.sixths != FLAT and self.centre != FLAT:
            raise SizeError(
                f"a part of a flower has a centre of {FLAT} beads, not {self.centre}",
                "other centres differ from it only where the part is begun; leave out --centre",
            )
        if self.hanging and self.sixths % 2 and self.rounds % 2 == 0:
            raise SizeError(
                f"a part of {self.rounds} rounds has a loop in the middle of its edge, no gap to hang it by",
                f"give it {self.rounds - 1 or 3} or {self.rounds + 1} rounds, or take a third",
            )

    @property
    def width_share(self) -> float:
        """Width of the finished piece as a share of its width as drawn.

        A cup is a cone whose rim is as long as that of its sectors laid side by side; a ruffle is taken as
        wide as a flat flower.
        """
        return min(1.0, self.centre / FLAT) / drawn_scale(self.centre)

    def build(self, sizes: tuple[BeadSize, BeadSize], spacing: Spacing) -> Weave:
        """Return the weave of this shape."""
        weave = flower(self.rounds, self.centre, sizes, spacing)
        if self.sixths != FLAT:
            axis, place = np.divmod(weave.loop_column, np.maximum(weave.loop_row, 1))
            inside = (axis < self.sixths) | ((axis == self.sixths) & (place == 0)) | (weave.loop_row == 0)
            weave = part_of(weave, inside)
        weave = turned(weave, self._turn())
        return hung(weave, self.hanging) if self.hanging else weave

    def _turn(self) -> float:
        """Return by how many degrees it is turned clockwise so that it stands upright."""
        if self.sixths == FLAT:
            # An axis, on which the outermost loop has a bead straight across, points up.
            return -90.0 if self.hanging else 0.0
        # A part spreads downward from its point, where there is a bead to hang a third by; others hang the
        # other way up, by the gap in the middle of their outer edge.
        downward = 90.0 - 30.0 * self.sixths
        return downward + 180.0 if self.hanging and self.sixths % 2 else downward
