"""A shape laid out: its loops, what a picture is laid over, and what is to be known of it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.piece.pattern import Shape
from convert.weave.model import Weave
from convert.weave.shapes import Sheet
from convert.weave.symmetry import Symmetry


@dataclass(frozen=True, eq=False, slots=True)
class Layout:
    """A shape laid out.

    Parameters
    ----------
    shape : Sheet or Flower
        Which loops are woven.
    weave : Weave
        Their weave.
    full : Weave
        What a picture is laid over: the full sheet of which `weave` is a part, or the weave itself.
    notes : tuple of str
        What the user should know of the shape.
    symmetry : Symmetry or None
        What maps its design onto itself, if anything is to.
    follows_picture : bool
        Whether it takes the outline of a picture, which it then shows everywhere.
    """

    shape: Shape
    weave: Weave
    full: Weave
    notes: tuple[str, ...] = ()
    symmetry: Symmetry | None = None
    follows_picture: bool = False

    @property
    def sheet_shape(self) -> tuple[int, int]:
        """Rows and places of the full sheet."""
        rows, places = self.woven.shape
        return rows, places

    @property
    def woven(self) -> NDArray[np.bool_]:
        """Which loops of the full sheet are woven, shape (rows, places)."""
        assert isinstance(self.shape, Sheet)
        return self.shape.woven

    @property
    def joined(self) -> bool:
        """Whether the last place of each row is woven into the first."""
        return isinstance(self.shape, Sheet) and self.shape.joined

    @property
    def is_plain(self) -> bool:
        """Whether it is neither mirrored nor repeats, nor is closed to a ring."""
        return self.symmetry is None and not self.joined
