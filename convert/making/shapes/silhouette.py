"""A sheet that takes the outline of its picture: where that is transparent nothing is woven."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from convert.making.shapes.shape import Shape
from convert.settings.declaring import SIZE, Settings, option
from convert.settings.design import DesignSettings

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
class SheetMeasures(DesignSettings, DirectionSettings):
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

    def loops(self, frame: "Frame", aspect: float) -> tuple[int, int]:
        """Return rows and loops in a row of the full sheet.

        Parameters
        ----------
        frame : Frame
            What it is laid out with.
        aspect : float
            Width by height of the picture.
        """
        unsized = (self.width_mm, self.height_mm, self.across) == (None, None, None)
        return frame.loops(
            aspect,
            width_mm=WIDTH_MM if unsized else self.width_mm,
            height_mm=self.height_mm,
            across=self.across,
            fit=self.fit,
            direction=self.direction,
        )

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

    def lay_out(self, frame: "Frame", picture: "Picture | None") -> "Layout":
        """Return the loops that the picture covers."""
        if picture is None:
            return self.full(frame, None)
        return frame.silhouette(self.full(frame, picture.aspect), picture)
