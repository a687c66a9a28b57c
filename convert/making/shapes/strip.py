"""A strip that closes round a wrist: how long it must be, and how many loops that takes.

The middle of the beads lies half a bead off the skin, so a strip that closes is longer than the wrist by pi
times the thickness of the beads (three bead diameters: "correct bracelet length", firemountaingems.com). A
clasp fills the gap that is left open.
"""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from convert.errors import SizeError
from convert.making.shapes.shape import Shape
from convert.settings.declaring import SIZE, option

if TYPE_CHECKING:
    from convert.making.frame import Frame, Layout
    from convert.picture.model import Picture

# Nobody's wrist, neck or waist is longer.
MOST_WRIST_MM = 2000.0


class FittedStrip(NamedTuple):
    """Rows along a strip, loops in a row, what the thickness of the beads takes, and lengths in mm."""

    rows: int
    places: int
    thickness_mm: float
    wanted_mm: float
    length_mm: float


@dataclass(frozen=True, kw_only=True)
class Strip(Shape):
    """A strip that closes round a wrist, in whole repeats of the weave.

    Ease for comfort is 19 to 25 mm: chain length guide (linkagejewelry.com). Clasps take up about 13 mm
    (patriciaswayze at indiemade.com), 12 to 15 mm (sizing guide, henmeide.co).
    """

    wrist_mm: float | None = option(None, "--wrist", "the wrist, measured snug.", SIZE, metavar="MM")
    ease_mm: float = option(
        20.0, "--ease", "how much wider than the wrist it is worn; 20 if not given.", SIZE, metavar="MM"
    )
    clasp_mm: float = option(
        13.0, "--clasp", "what the closed clasp takes up; 13 if not given.", SIZE, metavar="MM"
    )
    height_mm: float = option(20.0, "--height", "finished height.", SIZE, metavar="MM")

    @property
    def finish(self) -> str:
        """A clasp, or where there is room for none the ends sewn together."""
        return "clasp" if self.clasp_mm else "sewn"

    def fitted(self, frame: "Frame") -> "FittedStrip":
        """Return the strip whose length comes nearest to what closes round the wrist, in whole repeats.

        Raises
        ------
        SizeError
            A measure is impossible.
        """
        wrist_mm = self._checked_wrist()
        thickness_mm = math.pi * max(size.diameter_mm for size in frame.sizes)
        wanted_mm = wrist_mm + self.ease_mm - self.clasp_mm + thickness_mm
        repeat = frame.repeat
        if wanted_mm <= repeat * frame.spacing.pitch_mm:
            raise SizeError(
                f"a clasp of {self.clasp_mm:g} mm leaves nothing to weave on a wrist of {wrist_mm:g} mm",
                "give the measures in mm; a clasp takes up about 13",
            )
        # Both measures are given, so the proportions of a picture are not asked for.
        rows, places = frame.loops(1.0, width_mm=wanted_mm, height_mm=self.height_mm)
        fewer = max(repeat, places - places % repeat)
        lengths = {number: frame.size_mm(rows, number)[0] for number in (fewer, fewer + repeat)}
        places = min(lengths, key=lambda number: abs(lengths[number] - wanted_mm))
        return FittedStrip(rows, places, thickness_mm, wanted_mm, lengths[places])

    def lay_out(self, frame: "Frame", picture: "Picture | None") -> "Layout":
        """Return the loops of the strip; it takes no measure from a picture."""
        fitted = self.fitted(frame)
        return frame.sheet(fitted.rows, fitted.places, notes=[self._sum(fitted, frame.repeat)])

    def _sum(self, fitted: "FittedStrip", repeat: int) -> str:
        """Return how the length comes about."""
        loops = f"{fitted.places} loops in a row"
        if repeat > 1:
            loops += f" ({fitted.places // repeat} repeats of {repeat})"
        return (
            f"length: wrist {self.wrist_mm:g} mm + ease {self.ease_mm:g} - clasp {self.clasp_mm:g}"
            f" + {fitted.thickness_mm:.1f} for the thickness of the beads = {fitted.wanted_mm:.0f} mm wanted;"
            f" {loops} come to {fitted.length_mm:.0f} mm"
        )

    def _checked_wrist(self) -> float:
        """Return the measure of the wrist, if all measures of length can be."""
        if self.wrist_mm is None:
            raise SizeError("a strip needs the measure of the wrist", "give --wrist MM, such as --wrist 170")
        if not (math.isfinite(self.wrist_mm) and 0 < self.wrist_mm <= MOST_WRIST_MM):
            raise SizeError(
                f"a wrist of {self.wrist_mm:g} mm cannot be",
                "measure it where the strip is to sit; an adult's is 140 to 200 mm",
            )
        for name, measure in (("ease", self.ease_mm), ("clasp", self.clasp_mm)):
            if not (math.isfinite(measure) and 0 <= measure <= MOST_WRIST_MM):
                raise SizeError(
                    f"the {name} is 0 mm or more, not {measure:g}", f"leave --{name} out if unsure"
                )
        return self.wrist_mm
