"""A PDF file on which everything is placed in millimetres, y down, in the package's own typeface."""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any, Literal

from convert.chart import style
from convert.chart.labels import FONT_NAME, Label, font_bytes, label, plain
from convert.chart.marks import Point, Stroke
from convert.chart.style import RGB, Type
from convert.units import MM_PER_POINT, Paper

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFontFace
    from reportlab.pdfgen.canvas import Canvas

LANGUAGE = "en"
# Print viewers scale pages to the printer's margins unless told otherwise.
_NO_SCALING = ("PrintScaling", "None")
_EVEN_ODD = 0
_FILL: Literal[0] = 0
_FILL_AND_STROKE: Literal[2] = 2
# Width of the line round the letters of a heading: the typeface has no bold.
_STRONG_PT = 0.28


@cache
def _registered_face() -> "TTFontFace":
    """Make the typeface known to reportlab and return its tables."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    font = TTFont(FONT_NAME, BytesIO(font_bytes()))
    pdfmetrics.registerFont(font)
    return font.face


def printable(text: str) -> str:
    """Return a text on one line in which letters that the typeface lacks are question marks.

    Parameters
    ----------
    text : str
        Anything a user may have put into a name.
    """
    text = plain(text)
    if text.isascii():
        return text
    glyphs = _registered_face().charToGlyph
    return "".join(letter if ord(letter) in glyphs else "?" for letter in text)


class PdfCanvas:
    """A PDF file that is drawn page by page.

    Parameters
    ----------
    paper : Paper
        Size of the pages.
    title, subject : str
        What the file tells about itself.
    """

    def __init__(self, paper: Paper, title: str, subject: str) -> None:
        from reportlab.pdfgen.canvas import Canvas

        _registered_face()
        self.paper = paper
        self._file = BytesIO()
        self._pages = 0
        size = paper.width_mm / MM_PER_POINT, paper.height_mm / MM_PER_POINT
        # invariant: no time stamps, so that the same pattern gives the same bytes.
        # The first font, else an unembedded Helvetica is listed; its annotation says float.
        first_font: Any = FONT_NAME
        self._canvas = Canvas(
            self._file, size, invariant=1, pageCompression=1, initialFontName=first_font, lang=LANGUAGE
        )
        self._canvas.setTitle(printable(title))
        self._canvas.setSubject(printable(subject))
        self._canvas.setAuthor("combweave")
        self._canvas.setCreator("combweave")
        self._canvas.setViewerPreference(*_NO_SCALING)
        self._canvas.setViewerPreference("DisplayDocTitle", "true")

    @property
    def raw(self) -> "Canvas":
        """The canvas of reportlab, in points and y up."""
        return self._canvas

    def point(self, x_mm: float, y_mm: float) -> Point:
        """Return a point of the page as reportlab counts it."""
        return x_mm / MM_PER_POINT, (self.paper.height_mm - y_mm) / MM_PER_POINT

    def label(self, shown: Label, *, strong: bool = False) -> None:
        """Draw a label.

        Parameters
        ----------
        shown : Label
            The label.
        strong : bool
            Whether its letters are heavier.
        """
        self._write([(shown, strong)])

    def labels(self, shown: Iterable[Label]) -> None:
        """Draw labels."""
        self._write((one, False) for one in shown)

    def column(self, shown: Iterable[tuple[Label, bool]]) -> None:
        """Draw labels, each with whether its letters are heavier."""
        self._write(shown)

    def _write(self, shown: Iterable[tuple[Label, bool]]) -> None:
        """Write labels as one piece of text that sets only what changes from one to the next."""
        self._canvas.setLineWidth(_STRONG_PT)
        text = self._canvas.beginText()
        look: tuple[float, RGB, bool] | None = None
        for one, strong in shown:
            if look != (one.size_pt, one.colour, strong):
                look = one.size_pt, one.colour, strong
                text.setFont(FONT_NAME, one.size_pt)
                text.setFillColorRGB(*_share(one.colour))
                text.setTextRenderMode(_FILL_AND_STROKE if strong else _FILL)
                text.setStrokeColorRGB(*_share(one.colour))
            one = replace(one, text=printable(one.text))
            text.setTextOrigin(*self.point(one.left_mm, one.y_mm))
            text.textOut(one.text)
        text.setTextRenderMode(_FILL)
        self._canvas.drawText(text)

    def text(
        self, words: str, x_mm: float, y_mm: float, kind: Type, *, anchor: str = "start", strong: bool = False
    ) -> None:
        """Draw a line of text with its base line at `y_mm`."""
        self.label(label(words, x_mm, y_mm, kind, anchor=anchor), strong=strong)

    def upright_text(self, words: str, x_mm: float, y_mm: float, kind: Type) -> None:
        """Draw a line of text that runs upwards, its middle at a point."""
        shown = label(words, 0.0, 0.0, kind, anchor="middle")
        with self.state():
            self._canvas.translate(*self.point(x_mm, y_mm))
            self._canvas.rotate(90)
            self._canvas.translate(*(-at for at in self.point(0.0, 0.0)))
            self.label(shown)

    def strokes(self, shown: Iterable[Stroke]) -> None:
        """Draw lines and filled polygons."""
        for one in shown:
            self._stroke(one)

    def _stroke(self, shown: Stroke) -> None:
        canvas = self._canvas
        path = canvas.beginPath()
        path.moveTo(*self.point(*shown.points[0]))
        for corner in shown.points[1:]:
            path.lineTo(*self.point(*corner))
        if shown.width_mm == 0 or shown.closed:
            path.close()
        if shown.width_mm == 0:
            canvas.setFillColorRGB(*_share(shown.colour))
        else:
            canvas.setStrokeColorRGB(*_share(shown.colour))
            canvas.setLineWidth(shown.width_mm / MM_PER_POINT)
        canvas.drawPath(path, stroke=int(shown.width_mm > 0), fill=int(shown.width_mm == 0))

    def box(
        self,
        box: tuple[float, float, float, float],
        *,
        fill: RGB | None = None,
        line: RGB | None = None,
        alpha: float = 1.0,
    ) -> None:
        """Draw a rectangle given by left, top, right and bottom."""
        left, top, right, bottom = box
        with self.state():
            if fill is not None:
                self._canvas.setFillColorRGB(*_share(fill))
                if alpha < 1:
                    self._canvas.setFillAlpha(alpha)
            if line is not None:
                self._canvas.setStrokeColorRGB(*_share(line))
                self._canvas.setLineWidth(style.FINE_MM / MM_PER_POINT)
            self._canvas.rect(
                *self.point(left, bottom),
                (right - left) / MM_PER_POINT,
                (bottom - top) / MM_PER_POINT,
                stroke=int(line is not None),
                fill=int(fill is not None),
            )

    def dashed(self, start: Point, end: Point) -> None:
        """Draw a dashed line."""
        with self.state():
            self._canvas.setStrokeColorRGB(*_share(style.INK))
            self._canvas.setLineWidth(style.FINE_MM / MM_PER_POINT)
            self._canvas.setDash([4, 2.5])
            self._canvas.line(*self.point(*start), *self.point(*end))

    @contextmanager
    def state(self) -> Iterator[None]:
        """Undo in the end what is set inside."""
        self._canvas.saveState()
        yield
        self._canvas.restoreState()

    @contextmanager
    def millimetres(
        self, scale: float, offset_mm: Point, clip: tuple[float, float, float, float] | None = None
    ) -> Iterator["Canvas"]:
        """Let reportlab draw in millimetres of the piece, y down.

        Parameters
        ----------
        scale, offset_mm : float, tuple of float
            A point p of the piece lies at ``offset_mm + scale * p`` on the page.
        clip : tuple of float, optional
            Left, top, right and bottom of the part of the page that may be drawn on.
        """
        with self.state():
            if clip is not None:
                left, top, right, bottom = clip
                path = self._canvas.beginPath()
                path.rect(
                    *self.point(left, bottom), (right - left) / MM_PER_POINT, (bottom - top) / MM_PER_POINT
                )
                self._canvas.clipPath(path, stroke=0, fill=0)
            unit = scale / MM_PER_POINT
            self._canvas.transform(unit, 0, 0, -unit, *self.point(*offset_mm))
            yield self._canvas

    def end_page(self) -> None:
        """Finish a page."""
        self._canvas.showPage()
        self._pages += 1

    def bookmark(self, title: str, level: int) -> None:
        """Let the reader's list of contents lead to this page.

        Parameters
        ----------
        title : str
            What the list says.
        level : int
            0, or 1 below the last entry of level 0.
        """
        key = f"page{self._pages + 1}"
        self._canvas.bookmarkPage(key)
        self._canvas.addOutlineEntry(printable(title), key, level, closed=level > 0)

    def finish(self) -> bytes:
        """Return the whole file."""
        self._canvas.save()
        return self._file.getvalue()


@dataclass(frozen=True, slots=True)
class Page:
    """A page that is still to be drawn.

    Parameters
    ----------
    draw : callable
        Draws it, without its foot.
    bookmark : str
        Entry of the list of contents, or empty.
    level : int
        Level of that entry.
    """

    draw: Callable[[], None]
    bookmark: str = ""
    level: int = 0


def fill_polygons(canvas: "Canvas", polygons: Iterable[Iterable[Point]], colour: RGB) -> None:
    """Fill polygons under the even-odd rule, in the units of the canvas."""
    path = canvas.beginPath()
    for polygon in polygons:
        first, *others = polygon
        path.moveTo(*first)
        for corner in others:
            path.lineTo(*corner)
        path.close()
    canvas.setFillColorRGB(*_share(colour))
    canvas.drawPath(path, stroke=0, fill=1, fillMode=_EVEN_ODD)


def _share(colour: RGB) -> tuple[float, float, float]:
    red, green, blue = colour
    return red / 255, green / 255, blue / 255
