"""What every shape is: a group of measures that lays itself out.

The modules of shapes are read at start-up for their measures, so they import nothing heavy: all that a shape
needs of the weave comes with the frame it is laid out with.
"""

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import TYPE_CHECKING

from convert.settings.declaring import SIZE, Settings, option

if TYPE_CHECKING:
    from convert.making.frame import Frame
    from convert.making.layout import Layout
    from convert.picture.model import Picture


@dataclass(frozen=True, kw_only=True)
class HangingSettings(Settings):
    """What a piece hangs by."""

    hanging_loop: int = option(
        0,
        "--hanging-loop",
        "A loop of so many beads at the top to hang it by, such as 10; without it there is none.",
        SIZE,
        metavar="BEADS",
    )


@dataclass(frozen=True, kw_only=True)
class OutlineSettings(Settings):
    """In which outline a sheet is cut."""

    outline: str | None = option(
        None,
        "--outline",
        "Cut as circle, oval, drop, heart, leaf, hexagon, diamond, or the first closed path of an SVG file.",
        SIZE,
        metavar="NAME|FILE.svg",
    )


@dataclass(frozen=True, kw_only=True)
class Shape(Settings, ABC):
    """A shape, given by its measures."""

    @property
    def title(self) -> str:
        """What a piece of this shape is called."""
        return type(self).__name__

    @property
    def finish(self) -> str:
        """What is usually sewn to it in the end, see `convert.piece.finishing`."""
        return "none"

    @abstractmethod
    def lay_out(self, frame: "Frame", picture: "Picture | None") -> "Layout":
        """Return the loops of this shape.

        Parameters
        ----------
        frame : Frame
            What to lay it out with.
        picture : Picture or None
            What colours it, for shapes that follow its proportions or outline.

        Raises
        ------
        SizeError
            A measure is impossible.
        PictureError
            The picture leaves nothing to weave.
        """
