"""One colour for the cores and one for the connectors."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from convert.making.sources.source import Source
from convert.settings.declaring import COLOUR, option

if TYPE_CHECKING:
    from convert.making.ground import Ground, Painting


@dataclass(frozen=True, kw_only=True)
class Plain(Source):
    """Plain colours: of cores and of connectors, or in the one-size weave of beads and of points.

    Without the first it is the first bead of the core's size, without the second the one least like it.
    """

    colour: str | None = option(
        None,
        "--colour",
        "Bead of the palette for the cores, or for all beads of one size.",
        COLOUR,
        metavar="CODE",
    )
    second_colour: str | None = option(
        None,
        "--second-colour",
        "Bead of the palette for the connectors, or for points in one size.",
        COLOUR,
        metavar="CODE",
    )

    def paint(self, ground: "Ground") -> "Painting":
        """Return the bead of each place."""
        first = ground.bead(self.colour, 0) if self.colour else ground.first(0)
        second = ground.bead(self.second_colour, 1) if self.second_colour else ground.unlike(first, 1)
        sizes = ground.weave.bead_size
        return ground.painted(
            (sizes == 0) * first + (sizes != 0) * second, second if ground.second_at_tips else first
        )
