"""Rounds of loops about a centre: a flower, a cup or a ruffle."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from convert.making.shapes.shape import HangingSettings, Shape
from convert.settings.declaring import SIZE, option
from convert.settings.design import MirrorSettings

if TYPE_CHECKING:
    from convert.making.frame import Frame
    from convert.making.layout import Layout
    from convert.picture.model import Picture

FLAT_CENTRE = 6
_SIXTHS = {"whole": 6, "half": 3, "third": 2, "sixth": 1}


@dataclass(frozen=True, kw_only=True)
class Flower(HangingSettings, MirrorSettings, Shape):
    """Rounds of loops about a centre loop, see `convert.weave.motif`."""

    rounds: int = option(
        3, "--rounds", "rounds of loops about the centre; 3 if not given.", SIZE, metavar="N"
    )
    centre: int = option(
        FLAT_CENTRE,
        "--centre",
        "beads of the centre loop. 3 to 5 make a cup, 6 lies flat, 7 and 8 ruffle.",
        SIZE,
        metavar="3..8",
    )
    part: Literal["whole", "half", "third", "sixth"] = option(
        "whole", "--part", "a half, third or sixth of it, a fan whose edges are rows of loops.", SIZE
    )

    @property
    def title(self) -> str:
        """What it is called, by how it stands."""
        if self.part != "whole":
            return f"{self.part.capitalize()} flower"
        if self.centre == FLAT_CENTRE:
            return "Flower"
        return "Cup" if self.centre < FLAT_CENTRE else "Ruffle"

    def lay_out(self, frame: "Frame", picture: "Picture | None") -> "Layout":
        """Return the loops of the flower; it takes no measure from a picture."""
        flower = frame.flower(self.rounds, self.centre, _SIXTHS[self.part], self._notes(), self)
        return frame.hung(flower, self.hanging_loop)

    def _notes(self) -> list[str]:
        """Return what the weaver should know of a shape that does not lie flat by itself."""
        if self.centre == FLAT_CENTRE:
            return []
        if self.centre < FLAT_CENTRE:
            return [
                f"a centre of {self.centre} beads closes into a cup; the chart lays it flat, with the beads"
                " of each round further apart than they are"
            ]
        return [
            f"a centre of {self.centre} beads ruffles; the chart lays it flat, with the rounds further apart"
            " than they are, and the finished size is that of a flat flower of as many rounds"
        ]
