"""A sheet that takes the outline of its picture: where that is transparent nothing is woven."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from convert.errors import SizeError
from convert.making.shapes.shape import HangingSettings, OutlineSettings, Shape
from convert.settings.declaring import SIZE, Settings, option
from convert.settings.design import DesignSettings

if TYPE_CHECKING:
    from convert.making.frame import Frame
    from convert.making.layout import Layout
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
class SheetMeasures(HangingSettings, OutlineSettings, DesignSettings, HoldingSettings, DirectionSettings):
    """How large a sheet over a picture is, and how the picture fills it."""

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

    def full(self, frame: "Frame", aspect: float | None) -> "Layout":
        """Return the full sheet; parameters as in `loops`, the aspect None where there is no picture."""
        unsized = (self.width_mm, self.height_mm, self.across) == (None, None, None)
        width_mm = WIDTH_MM if unsized else self.width_mm
        return frame.designed(
            self,
            aspect,
            lambda whole: self.loops(frame, whole),
            frame.measures(width_mm, self.height_mm, self.across),
            self.direction,
        )

    def _check_measured(self) -> None:
        """Refuse a sheet of which nothing says the proportions."""
        if self.height_mm is None or (self.width_mm is None and self.across is None):
            raise SizeError(
                "without a picture nothing says how wide and how high the panel is to be",
                "give --width and --height in mm",
            )

    def lay_out(self, frame: "Frame", picture: "Picture | None") -> "Layout":
        """Return the loops within the outline that the picture covers, in the size asked for."""
        measures = self.width_mm, self.height_mm
        if self.outline is not None:
            whole = self._outlined(frame, self.outline)
        elif picture is not None:
            whole = self.full(frame, picture.aspect)
            frame.check_fewest(*whole.sheet_shape, measures, self.direction)
        else:
            # It may be a band of a loop or two.
            self._check_measured()
            whole = self.full(frame, None)
        if picture is not None and not picture.is_opaque:
            sized = self.outline is None and whole.is_plain
            whole = frame.fitted(whole, self, picture) if sized else frame.cut_out(whole, self, picture)
        elif self.outline is None and self.fit == "cover":
            whole = frame.told(whole, measures)
        return frame.hung(whole, self.hanging_loop)

    def _outlined(self, frame: "Frame", outline: str) -> "Layout":
        """Return the sheet cut in its outline."""
        if (self.repeat, self.repeat_down, self.join) != (None, None, None):
            raise SizeError(
                "what is cut in an outline is one piece with no repeats and no ends to join",
                "leave out --outline, or --repeat, --repeat-down and --join",
            )
        if self.across is not None:
            raise SizeError("--across counts the loops of a whole sheet", "with --outline give --width in mm")
        unsized = (self.width_mm, self.height_mm) == (None, None)
        width_mm = WIDTH_MM if unsized else self.width_mm
        whole = frame.outlined(
            outline, width_mm, self.height_mm, self.direction, to_hang=self.hanging_loop > 0
        )
        return frame.mirrored(whole, self)
