"""Type: clean text, its measure in millimetres, and the box it takes on the page."""

import unicodedata
from dataclasses import dataclass
from functools import cache
from importlib.resources import as_file, files

from PIL import ImageFont

from convert.drawing import style
from convert.drawing.style import RGB, Box, Type
from convert.units import MM_PER_POINT

FONT_NAME = "DejaVu Sans"
ANCHORS = ("start", "middle", "end")
# Height of capitals and digits, and depth of a descender, as shares of the size (from the font's tables).
CAPITAL = 0.729
DESCENT = 0.236
_MEASURING_PX = 256


@cache
def font_bytes() -> bytes:
    """Return the typeface that ships with the program, as a TrueType file."""
    return (files("convert.drawing") / "fonts" / "DejaVuSans.ttf").read_bytes()


@cache
def font(size_px: float) -> ImageFont.FreeTypeFont:
    """Return the typeface at a size in pixels, without any kerning, so that every writer sets it alike."""
    with as_file(files("convert.drawing") / "fonts" / "DejaVuSans.ttf") as path:
        return ImageFont.truetype(str(path), size_px, layout_engine=ImageFont.Layout.BASIC)


def plain(text: str) -> str:
    """Return a text on one line, without characters that steer a device or that XML forbids.

    Parameters
    ----------
    text : str
        Anything a user may have put into a name.
    """
    if text.isascii() and text.isprintable():  # most text by far, and the rest is slow
        return " ".join(text.split())
    kept = (
        " " if unicodedata.category(letter) in {"Cc", "Zl", "Zp", "Zs"} else letter
        for letter in text
        if unicodedata.category(letter) not in {"Cf", "Cs", "Cn", "Co"}
    )
    return " ".join("".join(kept).split())


def text_width_mm(text: str, size_pt: float) -> float:
    """Return the width of a line of text in mm."""
    return sum(map(_advance_em, text)) * size_pt * MM_PER_POINT


@cache
def _advance_em(letter: str) -> float:
    """Return how far a letter takes the line on, as a share of the size: without kerning these add up."""
    return font(_MEASURING_PX).getlength(letter) / _MEASURING_PX


def shortened(text: str, size_pt: float, width_mm: float) -> str:
    """Return a text cut to a width, with an ellipsis where it is cut."""
    if text_width_mm(text, size_pt) <= width_mm:
        return text
    while text and text_width_mm(text + "…", size_pt) > width_mm:
        text = text[:-1]
    return text.rstrip() + "…"


@dataclass(frozen=True, slots=True)
class Label:
    """A line of text on the page.

    Parameters
    ----------
    text : str
        Plain text, see `plain`.
    x_mm, y_mm : float
        Where it is anchored: `y_mm` is the base line.
    size_pt : float
        Size of type.
    colour : tuple of int
        sRGB bytes.
    anchor : str
        Which part of the text lies at `x_mm`, one of `ANCHORS`.
    layer : str
        Part of the drawing it belongs to.
    """

    text: str
    x_mm: float
    y_mm: float
    size_pt: float
    colour: RGB
    anchor: str
    layer: str

    @property
    def width_mm(self) -> float:
        """Width of the text."""
        return text_width_mm(self.text, self.size_pt)

    @property
    def left_mm(self) -> float:
        """Left end of the text."""
        if self.anchor == "start":  # most text by far, and measuring takes long
            return self.x_mm
        return self.x_mm - self.width_mm * ANCHORS.index(self.anchor) / 2

    @property
    def box(self) -> Box:
        """Left, top, right and bottom of the text, from the height of capitals to the descenders."""
        em_mm = self.size_pt * MM_PER_POINT
        left = self.left_mm
        return left, self.y_mm - CAPITAL * em_mm, left + self.width_mm, self.y_mm + DESCENT * em_mm


def label(
    text: str, x_mm: float, y_mm: float, kind: Type, *, anchor: str = "start", layer: str = "legend"
) -> Label:
    """Return a label of one of the kinds of type of `convert.drawing.style`."""
    return Label(plain(text), x_mm, y_mm, kind.size_pt, kind.colour, anchor, layer)


def line_mm(kind: Type) -> float:
    """Return the distance of base lines of a kind of type, in mm."""
    return kind.size_pt * MM_PER_POINT * style.LINE_HEIGHT


def label_centred(
    text: str, x_mm: float, y_mm: float, kind: Type, *, anchor: str = "start", layer: str = "legend"
) -> Label:
    """Return a label whose capitals and digits are centred on `y_mm`."""
    return label(
        text, x_mm, y_mm + CAPITAL / 2 * kind.size_pt * MM_PER_POINT, kind, anchor=anchor, layer=layer
    )
