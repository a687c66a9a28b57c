"""What every source of colours is: a group of options that says which bead lies where.

The modules of sources are read at start-up for their options, so they import nothing heavy: all that a source
needs of the piece and the palette comes with the ground it paints on. A picture, which is no option, is one
too, see `convert.making.from_picture`.
"""

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from convert.settings.declaring import Settings, declared

if TYPE_CHECKING:
    from convert.making.ground import Ground, Painting


class Paints(Protocol):
    """Something that says which bead lies where."""

    def paint(self, ground: "Ground") -> "Painting":
        """Return the bead of each place.

        Raises
        ------
        PaletteError
            The palette lacks what is asked for.
        """


@dataclass(frozen=True, kw_only=True)
class Source(Settings, ABC):
    """A source of colours that is given by options."""

    def given(self) -> list[str]:
        """Return the flags of the options that are not as they come."""
        options = declared(type(self)).items()
        return [known.flag for name, (known, _, default) in options if getattr(self, name) != default]

    @abstractmethod
    def paint(self, ground: "Ground") -> "Painting":
        """Return the bead of each place, see `Paints.paint`."""
