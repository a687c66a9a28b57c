"""One colour for the cores and one for the connectors."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from convert.errors import PaletteError
from convert.making.sources.source import Source
from convert.settings.declaring import COLOUR, option

if TYPE_CHECKING:
    from convert.making.ground import Ground, Painting


@dataclass(frozen=True, kw_only=True)
class Plain(Source):
    """Plain colours: of cores and of connectors, or in the one-size weave of beads and of points.

    Without the first it is the first bead of the core's size, without the second the one least like it.
    """

    core_colour: str | None = option(
        None,
        "--core-colour",
        "Bead of the palette for the cores, or for all beads of one size.",
        COLOUR,
        metavar="CODE",
    )
    connector_colour: str | None = option(
        None,
        "--connector-colour",
        "Bead of the palette for the connectors, or for points in one size.",
        COLOUR,
        metavar="CODE",
    )

    def paint(self, ground: "Ground") -> "Painting":
        """Return the bead of each place.

        Raises
        ------
        PaletteError
            The palette lacks a colour, or the piece has no beads for the second.
        """
        if self.connector_colour and ground.weave.one_size and ground.edge == "plain":
            raise PaletteError(
                "--connector-colour has nothing to colour: one size of bead without points has none such",
                "leave it out, or give --connectors SIZE or --edge points",
            )
        first = ground.bead(self.core_colour, 0) if self.core_colour else ground.first(0)
        second = ground.bead(self.connector_colour, 1) if self.connector_colour else ground.unlike(first, 1)
        sizes = ground.weave.bead_size
        return ground.painted(
            (sizes == 0) * first + (sizes != 0) * second, second if ground.second_at_tips else first
        )
