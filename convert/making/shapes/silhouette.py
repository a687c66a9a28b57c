"""A sheet that takes the outline of its picture: where that is transparent nothing is woven."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from convert.errors import SizeError
from convert.making.shapes.shape import HangingSettings, OutlineSettings, Shape
from convert.settings.declaring import SIZE, Settings, option

if TYPE_CHECKING:
    from convert.making.frame import Frame, Layout
    from convert.picture.model import Picture

WIDTH_MM = 100.0


@dataclass(frozen=True, kw_only=True)
class DirectionSettings(Settings):
    """How a sheet lies."""

    direction: Literal["across", "along"] = option(
        "across", "--direction", "Whether rows of loops run across the picture or down it.", SIZE
    )


@dataclass(frozen=True, kw_only=True)
class HoldingSettings(Settings):
    """What is done where a picture leaves a piece that does not hold together, or hardly."""

    islands: Literal["refuse", "largest", "join"] = option(
        "refuse",
        "--islands",
        "Separate parts: refuse them, keep the largest, or join them by the fewest loops.",
        SIZE,
    )
    mend: bool = option(
        False, "--mend", "Thicken places that hold by a single bead, by the fewest loops.", SIZE
    )


@dataclass(frozen=True, kw_only=True)
class SheetMeasures(HangingSettings, OutlineSettings, HoldingSettings, DirectionSettings):
    """How large a sheet over a picture is."""

    width_mm: float | None = option(
        None, "--width", "Finished width; 100 if no size is given.", SIZE, metavar="MM"
    )
    height_mm: float | None = option(None, "--height", "Finished height.", SIZE, metavar="MM")
    across: int | None = option(
        None, "--across", "Loops from left to right, not --width.", SIZE, metavar="LOOPS"
    )
    fit: Literal["cover", "contain"] = option(
        "cover", "--fit", "With width and height: crop the picture, or keep all of it inside.", SIZE
    )


@dataclass(frozen=True, kw_only=True)
class Silhouette(SheetMeasures, Shape):
    """A sheet over a picture, without the loops that the picture leaves bare."""

    def loops(
        self, frame: "Frame", aspect: float, scale: tuple[float, float] = (1.0, 1.0)
    ) -> tuple[int, int]:
        """Return rows and loops in a row of the full sheet.

        Parameters
        ----------
        frame : Frame
            What it is laid out with.
        aspect : float
            Width by height of the picture.
        scale : tuple of float
            How many times as wide and as high as asked for it is to be.
        """
        width_mm, height_mm = self.asked(frame)
        across = self.across if scale == (1.0, 1.0) else None
        if across is not None:
            width_mm = self.width_mm
        return frame.loops(
            aspect,
            width_mm=None if width_mm is None else width_mm * scale[0],
            height_mm=None if height_mm is None else height_mm * scale[1],
            across=across,
            fit=self.fit,
            direction=self.direction,
        )

    def asked(self, frame: "Frame") -> tuple[float | None, float | None]:
        """Return width and height that are asked for in mm; None where it follows from the picture."""
        # A number that is none is refused where loops are counted.
        if self.across is not None and self.across > 0:
            several = (2, self.across) if self.direction == "across" else (self.across, 2)
            return frame.size_mm(*several, self.direction)[0], self.height_mm
        if (self.width_mm, self.height_mm) == (None, None):
            return WIDTH_MM, None
        return self.width_mm, self.height_mm

    def full(self, frame: "Frame", aspect: float, scale: tuple[float, float] = (1.0, 1.0)) -> "Layout":
        """Return the full sheet; parameters as in `loops`."""
        rows, places = self.loops(frame, aspect, scale)
        return frame.sheet(rows, places, self.direction)

    def _check_measured(self) -> None:
        """Refuse a sheet of which nothing says the proportions."""
        if self.height_mm is None or (self.width_mm is None and self.across is None):
            raise SizeError(
                "without a picture nothing says how wide and how high the panel is to be",
                "give --width and --height in mm",
            )

    def lay_out(self, frame: "Frame", picture: "Picture | None") -> "Layout":
        """Return the loops within the outline that the picture covers, in the size asked for."""
        shown = None if picture is None or picture.is_opaque else picture
        if self.outline is not None:
            whole = self._outlined(frame, self.outline)
            woven = whole if shown is None else frame.cut_out(whole, self, shown)
        else:
            if picture is not None:
                # Without a picture it may be a band of a loop or two.
                loops = self.loops(frame, picture.aspect)
                frame.check_fewest(*loops, (self.width_mm, self.height_mm), self.direction)
            woven = self._whole(frame, picture) if shown is None else frame.fitted(self, shown)
        return frame.hung(woven, self.hanging_loop)

    def _whole(self, frame: "Frame", picture: "Picture | None") -> "Layout":
        """Return the full sheet, and what to say of its size."""
        if picture is None:
            self._check_measured()
        whole = self.full(frame, 1.0 if picture is None else picture.aspect)
        measures = self.width_mm, self.height_mm
        inside = self.fit == "contain" and None not in measures
        notes = [] if inside else frame.size_notes(*whole.sheet_shape, measures, self.direction)
        return frame.sheet(*whole.sheet_shape, self.direction, notes)

    def _outlined(self, frame: "Frame", outline: str) -> "Layout":
        """Return the sheet cut in its outline."""
        if self.across is not None:
            raise SizeError("--across counts the loops of a whole sheet", "with --outline give --width in mm")
        unsized = (self.width_mm, self.height_mm) == (None, None)
        width_mm = WIDTH_MM if unsized else self.width_mm
        return frame.outlined(
            outline, width_mm, self.height_mm, self.direction, to_hang=self.hanging_loop > 0
        )
