"""A plain rectangle."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from convert.making.shapes.shape import HangingSettings, Shape
from convert.settings.declaring import SIZE, option
from convert.settings.design import DesignSettings

if TYPE_CHECKING:
    from convert.making.frame import Frame
    from convert.making.layout import Layout
    from convert.picture.model import Picture

_WIDTH_MM = 60.0


@dataclass(frozen=True, kw_only=True)
class Rectangle(HangingSettings, DesignSettings, Shape):
    """A rectangle of a width and a height; what is missing follows from the picture, or makes it square."""

    width_mm: float | None = option(None, "--width", "finished width.", SIZE, metavar="MM")
    height_mm: float | None = option(None, "--height", "finished height.", SIZE, metavar="MM")

    def lay_out(self, frame: "Frame", picture: "Picture | None") -> "Layout":
        """Return the loops of the rectangle."""
        nothing_given = self.width_mm is None and self.height_mm is None
        width_mm = _WIDTH_MM if nothing_given else self.width_mm
        whole = frame.designed(
            self,
            None if picture is None else picture.aspect,
            lambda whole: frame.loops(whole, width_mm=width_mm, height_mm=self.height_mm),
            frame.measures(width_mm, self.height_mm),
        )
        whole = frame.told(whole, (self.width_mm, self.height_mm))
        return frame.hung(whole, self.hanging_loop)
