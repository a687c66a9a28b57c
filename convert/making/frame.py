"""What a shape is laid out with: beads, how closely they lie, and the sheets that can be made of them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from convert.errors import SizeError
from convert.making.fitting import AXES, Asked, Wish, fitted
from convert.picture.model import Picture
from convert.piece.pattern import Shape
from convert.settings.weave import MOST_BEADS
from convert.weave.beads import BeadSize, bead_size
from convert.weave.fit import sheet_beads, sheet_loops, sheet_size_mm
from convert.weave.lattice import REPEAT_TWO_SIZES
from convert.weave.model import Weave
from convert.weave.motif import flower_beads
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import Spacing, gauge_spacing, model_spacing

if TYPE_CHECKING:
    from convert.making.shapes.silhouette import Silhouette

# Of fewer nothing shows.
_FEWEST_LOOPS = 3


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
    """

    shape: Shape
    weave: Weave
    full: Weave
    notes: tuple[str, ...] = ()

    @property
    def sheet_shape(self) -> tuple[int, int]:
        """Rows and places of the full sheet."""
        assert isinstance(self.shape, Sheet)
        rows, places = self.shape.woven.shape
        return rows, places


class BeadChoice(Protocol):
    """Options that say which beads are woven."""

    @property
    def beads(self) -> str:
        """Size of the core beads."""

    @property
    def connectors(self) -> str | None:
        """Size of the connectors; None for that of the cores."""


class FrameChoice(BeadChoice, Protocol):
    """Options that say, too, how closely they lie and how many there may be."""

    @property
    def gauge_mm(self) -> float | None:
        """Measured length of ten loops; None for what the bead shapes say."""

    @property
    def max_beads(self) -> int:
        """Most beads of a piece."""


@dataclass(frozen=True)
class Frame:
    """Beads, spacing and limit, with which shapes are laid out.

    Parameters
    ----------
    sizes : tuple of BeadSize
        Core and connector.
    gauge_mm : float or None
        Measured length of ten loops; None for what the bead shapes say.
    max_beads : int
        Most beads of a piece.
    """

    sizes: tuple[BeadSize, BeadSize]
    gauge_mm: float | None = None
    max_beads: int = MOST_BEADS

    @classmethod
    def of(cls, options: FrameChoice) -> "Frame":
        """Return the frame that options ask for.

        Raises
        ------
        SizeError
            A size of bead is none.
        """
        return cls(sizes_named(options), options.gauge_mm, options.max_beads)

    @property
    def spacing(self) -> Spacing:
        """Sides of the loops, from the gauge where one is given."""
        if self.gauge_mm is None:
            return model_spacing(*self.sizes)
        return gauge_spacing(*self.sizes, self.gauge_mm)

    @property
    def repeat(self) -> int:
        """After how many loops of a row cores and connectors come again in the same order."""
        return 1 if self.sizes[0] == self.sizes[1] else REPEAT_TWO_SIZES

    def bead_spacing_mm(self, direction: str) -> float:
        """Return how far apart beads lie from left to right: there are two to each loop."""
        spacing = self.spacing
        return (spacing.pitch_mm if direction == "across" else 1.5 * spacing.side_mm) / 2

    def loops(
        self,
        aspect: float,
        *,
        width_mm: float | None = None,
        height_mm: float | None = None,
        across: int | None = None,
        fit: str = "cover",
        direction: str = "across",
    ) -> tuple[int, int]:
        """Return rows of a sheet and loops in a row, see `convert.weave.fit.sheet_loops`."""
        return sheet_loops(
            self.sizes,
            self.spacing,
            aspect,
            direction=direction,
            width_mm=width_mm,
            height_mm=height_mm,
            across=across,
            fit=fit,
        )

    def size_mm(self, rows: int, places: int, direction: str = "across") -> tuple[float, float]:
        """Return width and height of a full sheet."""
        return sheet_size_mm(rows, places, self.sizes, self.spacing, direction)

    def sheet(self, rows: int, places: int, direction: str = "across", notes: Sequence[str] = ()) -> Layout:
        """Return a full sheet.

        Raises
        ------
        SizeError
            It takes more beads than allowed.
        """
        self._check(sheet_beads(rows, places))
        return self._laid_out(Sheet(np.ones((rows, places), bool), direction), notes)

    def flower(self, rounds: int, centre: int, notes: Sequence[str] = ()) -> Layout:
        """Return a flower; parameters and errors as in `convert.weave.shapes.Flower`, and as `sheet`."""
        shape = Flower(rounds, centre)
        self._check(flower_beads(rounds, centre))
        return self._laid_out(shape, notes)

    def part(
        self, whole: Layout, woven: NDArray[np.bool_], notes: Sequence[str] = (), *, added: bool = False
    ) -> Layout:
        """Return the part of a full sheet that has some of its loops.

        Parameters
        ----------
        whole : Layout
            A full sheet.
        woven : ndarray of shape (L,) or (rows, places), bool
            Which of its loops; they hang together.
        notes : sequence of str
            What the user should know besides.
        added : bool
            Whether there are loops among them that a picture does not cover.
        """
        said = (*whole.notes, *notes)
        if woven.all() and not added:
            return replace(whole, notes=said)
        assert isinstance(whole.shape, Sheet)
        shape = Sheet(woven.reshape(whole.shape.woven.shape), whole.shape.direction)
        return Layout(shape, shape.build(self.sizes, self.spacing), whole.full, said)

    def fitted(self, shape: "Silhouette", picture: Picture) -> Layout:
        """Return the loops that a picture covers, see `convert.making.fitting.fitted`."""
        return fitted(self, shape, picture)

    def check_fewest(self, rows: int, places: int, asked: Asked, direction: str = "across") -> None:
        """Refuse a width or height in mm that is under three loops; None is not looked at.

        Raises
        ------
        SizeError
            It is.
        """
        numbers = (places, rows) if direction == "across" else (rows, places)
        fewest = self.size_mm(_FEWEST_LOOPS, _FEWEST_LOOPS, direction)
        for axis, wanted in enumerate(asked):
            if wanted is not None and numbers[axis] < _FEWEST_LOOPS:
                names = "+".join(dict.fromkeys(size.name for size in self.sizes))
                raise SizeError(
                    f"a {AXES[axis]} of {wanted:g} mm is under three loops of {names}",
                    f"the least {AXES[axis]} is {fewest[axis]:.1f} mm; or take smaller beads",
                )

    def size_notes(self, rows: int, places: int, asked: Asked, direction: str = "across") -> list[str]:
        """Return what to say of a full sheet that misses the size asked for, with its neighbours' sizes."""
        others = [
            self.size_mm(rows + more, places + more, direction)
            for more in (-1, 1)
            if min(rows, places) + more > 0
        ]
        return Wish(asked).notes(self.size_mm(rows, places, direction), others)

    def _laid_out(self, shape: Shape, notes: Sequence[str]) -> Layout:
        weave = shape.build(self.sizes, self.spacing)
        return Layout(shape, weave, weave, tuple(notes))

    def _check(self, beads: int) -> None:
        if beads > self.max_beads:
            raise SizeError(
                f"this size takes {beads:,} beads, more than the limit of {self.max_beads:,}",
                "choose a smaller size or larger beads, or raise the limit with --max-beads",
            )


def sizes_named(options: BeadChoice) -> tuple[BeadSize, BeadSize]:
    """Return core and connector that options name.

    Raises
    ------
    SizeError
        A size is none.
    """
    return bead_size(options.beads), bead_size(options.connectors or options.beads)
