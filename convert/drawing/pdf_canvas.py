"""A PDF file on which everything is placed in millimetres, y down, in the package's own typeface."""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any

from convert.drawing import style
from convert.drawing.labels import FONT_NAME, Label, font_bytes, label, plain
from convert.drawing.marks import Point, Stroke
from convert.drawing.style import RGB, Box, Type
from convert.units import MM_PER_POINT, Paper

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas

LANGUAGE = "en"
# Print viewers scale pages to the printer's margins unless told otherwise.
_NO_SCALING = ("PrintScaling", "None")
_FILL, _FILL_AND_STROKE = 0, 2
# Width of the line round the letters of a heading: the typeface has no bold.
_STRONG_PT = 0.28
# What has to be marked in a text in brackets.
_ESCAPES = str.maketrans({letter: f"\\{letter}" for letter in "\\()"})


@cache
def _registered_font() -> "TTFont":
    """Make the typeface known to reportlab and return it."""
    from reportlab import rl_config
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    # Files of bytes: as text, which no printer needs any more, they are a quarter larger and slower to write.
    rl_config.useA85 = 0
    # ASCII keeps its codes, which `_encoded` relies on.
    font = TTFont(FONT_NAME, BytesIO(font_bytes()), asciiReadable=1)
    pdfmetrics.registerFont(font)
    return font


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
    glyphs = _registered_font().face.charToGlyph
    return "".join(letter if ord(letter) in glyphs else "?" for letter in text)


class PdfCanvas:
    """A PDF file that is drawn page by page.

    Parameters
    ----------
    paper : Paper
        Size of the pages.
    title, subject : str
        What the file tells about itself.
    author : str
        Who made what is in it.
    xmp : bytes
        What it tells besides, see `convert.drawing.told.xmp`.
    """

    def __init__(
        self, paper: Paper, title: str, subject: str, author: str = "combweave", xmp: bytes = b""
    ) -> None:
        from reportlab.pdfgen.canvas import Canvas

        self._font = _registered_font()
        self.paper = paper
        self._file = BytesIO()
        self._pages = self._forms = self._bookmarks = 0
        size = paper.width_mm / MM_PER_POINT, paper.height_mm / MM_PER_POINT
        # invariant: no time stamps, so that the same pattern gives the same bytes.
        # The first font, else an unembedded Helvetica is listed; its annotation says float.
        first_font: Any = FONT_NAME
        self._canvas = Canvas(
            self._file, size, invariant=1, pageCompression=1, initialFontName=first_font, lang=LANGUAGE
        )
        # The typeface keeps the letters in use with the document; the annotations leave it out.
        self._document = self._canvas._doc  # type: ignore[attr-defined]
        # No typeface is asked for what only lists of files show.
        self._canvas.setTitle(plain(title))
        self._canvas.setSubject(plain(subject))
        self._canvas.setAuthor(plain(author))
        self._canvas.setCreator("combweave")
        self._canvas.setViewerPreference(*_NO_SCALING)
        self._canvas.setViewerPreference("DisplayDocTitle", "true")
        if xmp:
            self._tell(xmp)

    def _tell(self, xmp: bytes) -> None:
        """Attach a packet of XMP to the document as ISO 32000-1, 14.3.2 has it, to be read as it is."""
        from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName, PDFStream

        entries = {"Type": PDFName("Metadata"), "Subtype": PDFName("XML")}
        self._document.Catalog.Metadata = PDFStream(PDFDictionary(entries), xmp, filters=())

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
        # Written out, since reportlab's text object measures every text again and takes ten times as long.
        code = ["BT"]
        look: tuple[RGB, bool] | None = None
        font: tuple[int, float] | None = None
        for one, strong in shown:
            if look != (one.colour, strong):
                look = one.colour, strong
                mode = _FILL_AND_STROKE if strong else _FILL
                code.append(f"{_operands(one.colour)} rg {_operands(one.colour)} RG {mode} Tr")
            x, y = self.point(one.left_mm, one.y_mm)
            code.append(f"1 0 0 1 {x:.3f} {y:.3f} Tm")
            for subset, string in self._encoded(printable(one.text)):
                if font != (subset, one.size_pt):
                    font = subset, one.size_pt
                    name = self._font.getSubsetInternalName(subset, self._document)
                    code.append(f"{name} {one.size_pt:.4f} Tf")
                code.append(f"{string} Tj")
        code.append(f"{_FILL} Tr ET")
        self._canvas.addLiteral("\n".join(code))

    def _encoded(self, text: str) -> Iterable[tuple[int, str]]:
        """Return the parts of a text, each with the part of the typeface that its letters are in."""
        if text.isascii():
            return ((0, f"({text.translate(_ESCAPES)})"),) if text else ()
        parts = self._font.splitString(text, self._document)
        return ((subset, f"<{letters.hex()}>") for subset, letters in parts)

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
        filled = shown.width_mm == 0
        path = path_code((self.point(*corner) for corner in shown.points), closed=filled or shown.closed)
        if filled:
            self._canvas.addLiteral(fill_code(path, shown.colour))
        else:
            colour, width = _operands(shown.colour), shown.width_mm / MM_PER_POINT
            self._canvas.addLiteral(f"{colour} RG {width:.3f} w {path} S")

    def box(
        self,
        box: Box,
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
    def millimetres(self, scale: float, offset_mm: Point, clip: Box | None = None) -> Iterator["Canvas"]:
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

    def new_form(self) -> str:
        """Return a name under which a drawing can be stored that is placed several times."""
        self._forms += 1
        return f"f{self._forms}"

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
        self._bookmarks += 1
        key = f"place{self._bookmarks}"
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


def path_code(corners: Iterable[Point], *, closed: bool = True) -> str:
    """Return a path of straight lines as PDF writes it; reportlab's path takes five times as long."""
    first, *others = [f"{x:.4f} {y:.4f}" for x, y in corners]
    return " ".join([f"{first} m", *(f"{corner} l" for corner in others), "h" * closed])


def fill_code(path: str, colour: RGB) -> str:
    """Return what fills a path under the even-odd rule, as PDF writes it."""
    return f"{_operands(colour)} rg {path} f*"


def _operands(colour: RGB) -> str:
    return "{:.4f} {:.4f} {:.4f}".format(*_share(colour))


def _share(colour: RGB) -> tuple[float, float, float]:
    red, green, blue = colour
    return red / 255, green / 255, blue / 255
