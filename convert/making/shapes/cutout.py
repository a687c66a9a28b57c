"""A sheet cut in an outline: a drop, a heart, a leaf, or a line of your own."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from convert.errors import SizeError
from convert.making.shapes.shape import HangingSettings, OutlineSettings, Shape
from convert.settings.declaring import SIZE, option

if TYPE_CHECKING:
    from convert.making.frame import Frame
    from convert.making.layout import Layout
    from convert.picture.model import Picture

_WIDTH_MM = 30.0


@dataclass(frozen=True, kw_only=True)
class Cutout(OutlineSettings, HangingSettings, Shape):
    """A sheet in an outline; of width and height one follows from the other, or both stretch it."""

    width_mm: float | None = option(
        None, "--width", "finished width; 30 if no size is given.", SIZE, metavar="MM"
    )
    height_mm: float | None = option(None, "--height", "finished height.", SIZE, metavar="MM")

    @property
    def title(self) -> str:
        """What it is called: by its outline."""
        name = (self.outline or "outline").replace("\\", "/").rsplit("/", 1)[-1]
        return name.rsplit(".", 1)[0].capitalize()

    def lay_out(self, frame: "Frame", picture: "Picture | None") -> "Layout":
        """Return the loops within the outline; it takes no measure from a picture."""
        if self.outline is None:
            raise SizeError("no outline is given", "give --outline, such as --outline drop")
        nothing_given = self.width_mm is None and self.height_mm is None
        width_mm = _WIDTH_MM if nothing_given else self.width_mm
        to_hang = self.hanging_loop > 0
        cut = frame.outlined(self.outline, width_mm, self.height_mm, to_hang=to_hang)
        return frame.hung(cut, self.hanging_loop)
