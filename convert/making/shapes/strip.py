"""A strip that closes round a wrist: how long it must be, and how many loops that takes.

The middle of the beads lies half a bead off the skin, so a strip that closes is longer than the wrist by pi
times the thickness of the beads (three bead diameters: "correct bracelet length", firemountaingems.com). A
clasp fills the gap that is left open.
"""

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from convert.errors import SizeError
from convert.making.shapes.shape import Shape
from convert.settings.declaring import SIZE, option
from convert.settings.design import AUTO, DesignSettings

if TYPE_CHECKING:
    from convert.making.frame import Frame
    from convert.making.layout import Layout
    from convert.picture.model import Picture

_HEIGHT_MM = 20.0
_CLASP_MM = 13.0
# A length that is off by one per cent counts as much as a picture drawn three per cent too wide.
_LENGTH_WEIGHS = 3.0
_MISS_WORTH_SAYING = 0.02
# Nobody's wrist, neck or waist is longer.
MOST_WRIST_MM = 2000.0


class FittedStrip(NamedTuple):
    """Rows along a strip, loops in a row, what the thickness of the beads takes, and lengths in mm.

    Then how often a picture is repeated along it, None where it is not.
    """

    rows: int
    places: int
    thickness_mm: float
    wanted_mm: float
    length_mm: float
    times: int | None = None


@dataclass(frozen=True, kw_only=True)
class Strip(DesignSettings, Shape):
    """A strip that closes round a wrist, in whole repeats of the weave.

    Ease for comfort is 19 to 25 mm: chain length guide (linkagejewelry.com). Clasps take up about 13 mm
    (patriciaswayze at indiemade.com), 12 to 15 mm (sizing guide, henmeide.co).
    """

    wrist_mm: float | None = option(None, "--wrist", "the wrist, measured snug.", SIZE, metavar="MM")
    ease_mm: float = option(
        20.0, "--ease", "how much wider than the wrist it is worn; 20 if not given.", SIZE, metavar="MM"
    )
    clasp_mm: float = option(
        _CLASP_MM,
        "--clasp",
        "what the closed clasp takes up; 13 if not given, nothing with --join ends.",
        SIZE,
        metavar="MM",
    )
    height_mm: float = option(_HEIGHT_MM, "--height", "finished height.", SIZE, metavar="MM")

    @property
    def finish(self) -> str:
        """A clasp, or where there is room for none the ends sewn together; nothing if they are woven so."""
        if self.join:
            return "none"
        return "clasp" if self.clasp_mm else "sewn"

    def fitted(self, frame: "Frame", aspect: float | None = None) -> "FittedStrip":
        """Return the strip whose length comes nearest to what closes round the wrist, in whole repeats.

        Parameters
        ----------
        frame : Frame
            What it is laid out with.
        aspect : float, optional
            Width by height of a picture that is repeated along it.

        Raises
        ------
        SizeError
            A measure is impossible, or the repeats are.
        """
        wrist_mm = self._checked_wrist()
        thickness_mm = math.pi * max(size.diameter_mm for size in frame.sizes)
        wanted_mm = wrist_mm + self.ease_mm - self._left_open_mm + thickness_mm
        repeat = frame.repeat
        if wanted_mm <= repeat * frame.spacing.pitch_mm:
            raise SizeError(
                f"a clasp of {self.clasp_mm:g} mm leaves nothing to weave on a wrist of {wrist_mm:g} mm",
                "give the measures in mm; a clasp takes up about 13",
            )
        # Both measures are given, so the proportions of a picture are not asked for.
        rows, places = frame.loops(1.0, width_mm=wanted_mm, height_mm=self.height_mm)
        times = self._times(frame, rows, aspect, wanted_mm)
        step = repeat * (times or 1)
        fewer = max(step, places - places % step)
        lengths = {number: self._length_mm(frame, rows, number) for number in (fewer, fewer + step)}
        places = min(lengths, key=lambda number: abs(lengths[number] - wanted_mm))
        return FittedStrip(rows, places, thickness_mm, wanted_mm, lengths[places], times)

    def lay_out(self, frame: "Frame", picture: "Picture | None") -> "Layout":
        """Return the loops of the strip; a picture that is repeated says how often."""
        aspect = None if picture is None else picture.aspect
        fitted = self.fitted(frame, aspect)
        design = replace(self, repeat=fitted.times)
        said = [self._sum(fitted, frame.repeat), *self._other_repeats(frame, fitted), *self._ends(fitted)]
        whole, length_mm = (fitted.rows, fitted.places), fitted.length_mm
        layout = frame.designed(design, aspect, lambda _: whole, frame.measures(length_mm, self.height_mm))
        # What nobody has asked for is not missed.
        layout = frame.told(layout, (None, None if self.height_mm == _HEIGHT_MM else self.height_mm))
        return replace(layout, notes=(*said, *layout.notes))

    @property
    def _left_open_mm(self) -> float:
        """What of the round is not woven."""
        return 0.0 if self.join else self.clasp_mm

    def _length_mm(self, frame: "Frame", rows: int, places: int) -> float:
        """Return the length of so many loops in a row, which is that of the round if they are joined."""
        return places * frame.spacing.pitch_mm if self.join else frame.size_mm(rows, places)[0]

    def _times(self, frame: "Frame", rows: int, aspect: float | None, wanted_mm: float) -> int | None:
        """Return how often a picture is repeated along the strip, None where it is not.

        Of a number that is left open the one is taken that draws the picture least out of its proportions,
        with a length that comes near enough.
        """
        loops = wanted_mm / frame.spacing.pitch_mm
        most = int(loops // frame.repeat)
        if self.repeat is None and not (self.join and aspect is not None):
            return None
        if self.repeat not in (None, AUTO):
            assert isinstance(self.repeat, int)
            if self.repeat > most:
                raise SizeError(
                    f"{self.repeat} repeats do not fit along {wanted_mm:.0f} mm",
                    f"there is room for {most}" + (" of three loops each" if frame.repeat > 1 else ""),
                )
            return self.repeat
        if aspect is None:
            raise SizeError(
                "--repeat auto follows a picture's proportions", "give a picture, or a number of repeats"
            )
        height = (rows + 1) * math.sqrt(3) / 2
        if self.repeat_down:
            height = max(2, 2 * round(rows / self.repeat_down / 2)) * math.sqrt(3) / 2

        def off(times: int) -> float:
            each = frame.repeat * max(1, round(loops / times / frame.repeat))
            return abs(math.log(each / height / aspect)) + _LENGTH_WEIGHS * abs(
                math.log(times * each / loops)
            )

        return min(range(1, most + 1), key=off)

    def _sum(self, fitted: "FittedStrip", repeat: int) -> str:
        """Return how the length comes about."""
        loops = f"{fitted.places} loops in a row"
        if fitted.times is None and repeat > 1:
            loops += f" ({fitted.places // repeat} repeats of {repeat})"
        clasp = "" if self.join else f" - clasp {self.clasp_mm:g}"
        return (
            f"length: wrist {self.wrist_mm:g} mm + ease {self.ease_mm:g}{clasp}"
            f" + {fitted.thickness_mm:.1f} for the thickness of the beads = {fitted.wanted_mm:.0f} mm wanted;"
            f" {loops} come to {fitted.length_mm:.0f} mm{' all round' if self.join else ''}"
        )

    def _other_repeats(self, frame: "Frame", fitted: "FittedStrip") -> list[str]:
        """Return how long it comes out with other numbers of repeats, where it misses what is wanted."""
        if not fitted.times or abs(fitted.length_mm / fitted.wanted_mm - 1) <= _MISS_WORTH_SAYING:
            return []
        off = abs(fitted.length_mm - fitted.wanted_mm)
        found = []
        for times in (fitted.times - 1, fitted.times + 1):
            step = frame.repeat * times
            if step:
                places = step * max(1, round(fitted.wanted_mm / frame.spacing.pitch_mm / step))
                length_mm = self._length_mm(frame, fitted.rows, places)
                if abs(length_mm - fitted.wanted_mm) < off - 0.5:
                    found.append(f"{times} repeats come to {length_mm:.0f} mm")
        return [f"that is {off:.0f} mm off; {' and '.join(found) or 'one repeat more or less is no nearer'}"]

    def _checked_wrist(self) -> float:
        """Return the measure of the wrist, if all measures of length can be."""
        if self.wrist_mm is None:
            raise SizeError("a strip needs the measure of the wrist", "give --wrist MM, such as --wrist 170")
        if not (math.isfinite(self.wrist_mm) and 0 < self.wrist_mm <= MOST_WRIST_MM):
            raise SizeError(
                f"a wrist of {self.wrist_mm:g} mm cannot be",
                "measure it where the strip is to sit; an adult's is 140 to 200 mm",
            )
        if self.join and self.clasp_mm not in (0, _CLASP_MM):
            raise SizeError(
                f"a strip whose ends are woven together has no clasp of {self.clasp_mm:g} mm",
                "leave out --clasp, or --join",
            )
        for name, measure in (("ease", self.ease_mm), ("clasp", self.clasp_mm)):
            if not (math.isfinite(measure) and 0 <= measure <= MOST_WRIST_MM):
                raise SizeError(
                    f"the {name} is 0 mm or more, not {measure:g}", f"leave --{name} out if unsure"
                )
        return self.wrist_mm

    def _ends(self, fitted: "FittedStrip") -> list[str]:
        """Return what to heed of a strip that is woven together at its ends. Common practice, no source."""
        if not self.join:
            return []
        inside_mm = fitted.length_mm - fitted.thickness_mm
        return [
            f"closed all round without a clasp it is {inside_mm:.0f} mm inside, and must pass over the hand:"
            " measure that where it is widest, the thumb laid in, and give --ease what it takes more (common"
            " practice)"
        ]
