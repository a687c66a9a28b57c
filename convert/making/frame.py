"""What a shape is laid out with: beads, how closely they lie, and the sheets that can be made of them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from convert.errors import SizeError
from convert.making.design import Loops, Measures, Repeats, about_middle, laid_out, planned
from convert.making.fitting import AXES, Asked, Wish, cut_out, fitted
from convert.making.layout import Layout
from convert.making.placing import Wanted, placed
from convert.outline.outline import outline_named
from convert.picture.model import Picture
from convert.piece.pattern import Shape
from convert.settings.design import DesignSettings, MirrorSettings
from convert.settings.weave import MOST_BEADS
from convert.weave.beads import BeadSize, bead_size
from convert.weave.fit import sheet_beads, sheet_loops, sheet_size_mm
from convert.weave.hanging import HANGING, hanging_place, unhung
from convert.weave.lattice import REPEAT_TWO_SIZES
from convert.weave.motif import flower_beads
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import SIN60, Spacing, gauge_spacing, model_spacing

if TYPE_CHECKING:
    from convert.making.shapes.silhouette import Silhouette

# Of fewer nothing shows.
_FEWEST_LOOPS = 3
# A ring needs so much room above the piece. By eye, no source.
LEAST_RISE_MM = 3.0
# A piece that hangs askew by less hangs straight to the eye.
WORTH_SAYING_DEGREES = 3.0
# In a large sheet.
BEADS_A_LOOP = 3
# No piece is larger.
MOST_MM = 10_000.0


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

    def designed(
        self,
        design: DesignSettings,
        aspect: float | None,
        loops: Loops,
        measures: Measures,
        direction: str = "across",
    ) -> Layout:
        """Return a sheet that a design fills: once, or in repeats, mirrored, or closed to a ring.

        Parameters and errors as in `convert.making.design.planned`, and as `sheet`.
        """
        repeats, notes = planned(self, design, aspect, loops, measures, direction)
        return self.filled(repeats, design, direction, notes)

    @staticmethod
    def measures(width_mm: float | None, height_mm: float | None, across: int | None = None) -> Measures:
        """Return what is asked of a sheet, see `convert.making.design.Measures`."""
        return Measures(width_mm, height_mm, across)

    def filled(
        self, repeats: Repeats, design: DesignSettings, direction: str = "across", notes: Sequence[str] = ()
    ) -> Layout:
        """Return a sheet of whole repeats, mirrored or closed to a ring as a design asks for.

        Raises
        ------
        SizeError
            It takes more beads than allowed, or cannot be mirrored or closed.
        """
        self._check(sheet_beads(repeats.rows, repeats.places))
        woven, symmetry = laid_out(self, repeats, design, direction)
        shape = Sheet(woven, direction, joined=design.join == "ends")
        return replace(self._laid_out(shape, notes), symmetry=symmetry)

    def flower(
        self,
        rounds: int,
        centre: int,
        sixths: int,
        notes: Sequence[str] = (),
        mirror: MirrorSettings | None = None,
    ) -> Layout:
        """Return a flower, mirrored about its centre or not.

        Parameters and errors as in `convert.weave.shapes.Flower`, as `sheet`, and as `mirrored`.
        """
        shape = Flower(rounds, centre, sixths)
        self._check(flower_beads(rounds, centre))
        layout = self._laid_out(shape, notes)
        return layout if mirror is None else self.mirrored(layout, mirror)

    def mirrored(self, layout: Layout, mirror: MirrorSettings) -> Layout:
        """Return a layout whose design is mirrored; see `convert.making.design.about_middle`."""
        return replace(layout, symmetry=about_middle(layout.shape, layout.weave, mirror))

    def outlined(
        self,
        outline: str,
        width_mm: float | None,
        height_mm: float | None,
        direction: str = "across",
        *,
        to_hang: bool = False,
    ) -> Layout:
        """Return a sheet cut in an outline.

        Parameters
        ----------
        outline : str
            As `convert.outline.outline.outline_named` takes it.
        width_mm, height_mm : float or None
            Finished size; one of them may follow from the other.
        direction : str
            Whether rows of loops run ``across`` it or ``along``.
        to_hang : bool
            Whether a loop to hang it by is to find its place in the middle of the top.

        Raises
        ------
        ShapeError
            There is no such outline, or it is too small.
        SizeError
            It takes more beads than allowed, or a measure is impossible.
        """
        for name, measure in (("width", width_mm), ("height", height_mm)):
            if measure is not None and not 0 < measure < MOST_MM:
                raise SizeError(f"a {name} of {measure:g} mm cannot be", f"give a {name} in mm")
        line = outline_named(outline)
        wide, high = width_mm, height_mm
        area = line.area * (wide or (high or 0) * line.aspect) * (high or (wide or 0) / line.aspect)
        cell = self.spacing.pitch_mm**2 * SIN60
        self._check(int(BEADS_A_LOOP * area / cell))
        rows_down = direction == "along"
        woven = placed(
            line,
            Wanted(high, wide) if rows_down else Wanted(wide, high),
            self.spacing.pitch_mm,
            self.size_mm(1, 1),
            rows_down=rows_down,
            gap_at_top=to_hang,
        )
        layout = self._laid_out(Sheet(woven, direction), ())
        self._check(layout.weave.beads)
        return layout

    def hung(self, layout: Layout, beads: int) -> Layout:
        """Return a layout with a loop of so many beads to hang it by; without a change for 0.

        Raises
        ------
        SizeError
            See `convert.weave.hanging.hung`.
        """
        if not beads:
            return layout
        if layout.weave.seam is not None or (layout.symmetry is not None and layout.symmetry.repeats):
            raise SizeError(
                "what repeats or is closed to a ring has no top to hang it by",
                "leave out --hanging-loop, or --repeat and --join",
            )
        shape = replace(layout.shape, hanging=beads)
        weave = shape.build(self.sizes, self.spacing)
        body = unhung(weave)
        off = hanging_place(body)
        higher_mm = body.extent_mm[1] - weave.extent_mm[1]
        notes = [f"the loop to hang it by is called {HANGING} and adds {higher_mm:.0f} mm at the top"]
        if higher_mm < LEAST_RISE_MM:
            notes.append("it lies in a hollow: for a ring to pass give --hanging-loop more beads")
        if off.askew > WORTH_SAYING_DEGREES:
            notes.append(
                f"it hangs askew by about {off.askew:.0f} degrees: there is no place right in the middle"
            )
        return replace(layout, shape=shape, weave=weave, notes=(*layout.notes, *notes))

    def part(self, whole: Layout, woven: NDArray[np.bool_], notes: Sequence[str] = ()) -> Layout:
        """Return the part of a full sheet that has some of its loops.

        Parameters
        ----------
        whole : Layout
            A full sheet.
        woven : ndarray of shape (L,) or (rows, places), bool
            Which of its loops; they hang together.
        notes : sequence of str
            What the user should know besides.
        """
        said = (*whole.notes, *notes)
        assert isinstance(whole.shape, Sheet)
        left = whole.shape.woven.copy()
        left[whole.shape.woven] = woven[whole.shape.woven] if woven.shape == left.shape else woven
        if np.array_equal(left, whole.shape.woven):
            return replace(whole, notes=said)
        shape = replace(whole.shape, woven=left)
        return replace(whole, shape=shape, weave=shape.build(self.sizes, self.spacing), notes=said)

    def fitted(self, whole: Layout, shape: "Silhouette", picture: Picture) -> Layout:
        """Return the loops that a picture covers, see `convert.making.fitting.fitted`."""
        return fitted(self, whole, shape, picture)

    def cut_out(self, whole: Layout, shape: "Silhouette", picture: Picture) -> Layout:
        """Return what a picture covers of a sheet, see `convert.making.fitting.cut_out`."""
        return cut_out(self, whole, shape, picture)

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

    def told(self, whole: Layout, asked: Asked) -> Layout:
        """Return a full sheet with what to say of its size; that of repeats is told as they are planned."""
        if not whole.is_plain:
            return whole
        assert isinstance(whole.shape, Sheet)
        notes = self.size_notes(*whole.sheet_shape, asked, whole.shape.direction)
        return replace(whole, notes=(*whole.notes, *notes))

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
