"""The card to print and to lay beside the beads: patches with their values, a ruler and a place for beads."""

from collections.abc import Iterator

from convert.colour.srgb import parse_hex
from convert.drawing import style
from convert.drawing.labels import line_mm
from convert.drawing.marks import Point, Stroke, line
from convert.drawing.paragraphs import broken
from convert.drawing.pdf_canvas import PdfCanvas
from convert.drawing.style import RGB, Box, Type
from convert.shelf.card import MARK_MM, MARK_UNITS, PATCH_MM, PATCHES, SPAN_MM
from convert.units import A4, Paper

BLACK: RGB = (0, 0, 0)
RULER_MM = 140
_TITLE = Type(13.0, style.INK)
_VALUE = Type(5.2, style.SOFT)
_TOP_MM = style.MARGIN_MM + MARK_MM / 2
_PLACE_GAP_MM = 7.0
_CORNER_MM = 8.0
_SUBTITLE = "Four marks, 24 patches of colour and 12 of grey. Keep all four marks in the photograph."
_STEPS = (
    "Print at 100% on plain white paper; the ruler tells. Lay the beads in little heaps, a"
    " finger apart, in rows between the corners below, beside a window, without sun or flash. Photograph the"
    " whole sheet from straight above, the paper light grey and not burnt out. Then: combweave shelf PHOTO",
    "The values (CIELAB under D65, and sRGB) are what the patches should be; a home printer misses them. Have"
    " them measured and give what was measured with --card-values, else they are used only where they fit"
    " together.",
)
# Words outside the marks could be taken for grey beads, so that all stand between them.
_WORDS_MM = 73.5


def write_card(paper: Paper = A4) -> bytes:
    """Return the card as a PDF file of one page, to be printed at true size.

    Parameters
    ----------
    paper : Paper
        Size of the page.
    """
    canvas = PdfCanvas(paper, "Card for a shelf", "Patches of known colour and a place for beads")
    origin = (paper.width_mm - SPAN_MM[0]) / 2, _TOP_MM
    for x, y in ((0.0, 0.0), (SPAN_MM[0], 0.0), (SPAN_MM[0], SPAN_MM[1]), (0.0, SPAN_MM[1])):
        canvas.strokes(_mark((origin[0] + x, origin[1] + y)))
    _head(canvas, origin)
    _patches(canvas, origin)
    canvas.strokes(_ruler((paper.width_mm - RULER_MM) / 2, origin[1] + SPAN_MM[1]))
    _ruler_words(canvas, (paper.width_mm - RULER_MM) / 2, origin[1] + SPAN_MM[1])
    _words(canvas, origin)
    canvas.strokes(_corners(place_for_beads_mm(paper)))
    canvas.end_page()
    return canvas.finish()


def place_for_beads_mm(paper: Paper) -> Box:
    """Return left, top, right and bottom of the place for beads on the page."""
    top = _TOP_MM + SPAN_MM[1] + MARK_MM / 2 + _PLACE_GAP_MM
    return style.MARGIN_MM, top, paper.width_mm - style.MARGIN_MM, paper.height_mm - style.MARGIN_MM


def _square(middle: Point, side_mm: float, colour: RGB) -> Stroke:
    (x, y), half = middle, side_mm / 2
    return Stroke(
        ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)),
        0.0,
        colour,
        "legend",
    )


def _mark(middle: Point) -> Iterator[Stroke]:
    for units, colour in zip(MARK_UNITS, (BLACK, style.WHITE, BLACK), strict=True):
        yield _square(middle, MARK_MM * units / MARK_UNITS[0], colour)


def _head(canvas: PdfCanvas, origin: Point) -> None:
    middle, y = origin[0] + SPAN_MM[0] / 2, origin[1]
    canvas.text("Card for a shelf of beads", middle, y, _TITLE, anchor="middle", strong=True)
    canvas.text(_SUBTITLE, middle, y + line_mm(style.FACTS), style.SMALL, anchor="middle")


def _patches(canvas: PdfCanvas, origin: Point) -> None:
    wide, high = PATCH_MM
    for patch in PATCHES:
        x, y = origin[0] + patch.x_mm, origin[1] + patch.y_mm
        box = x - wide / 2, y - high / 2, x + wide / 2, y + high / 2
        canvas.box(box, fill=parse_hex(patch.hex))
        below = y + high / 2
        lightness, a, b = patch.lab
        for words in (patch.code, patch.hex, f"{lightness} {a} {b}"):
            below += line_mm(_VALUE) * 0.92
            canvas.text(words, x, below, _VALUE, anchor="middle")


def _ruler(left_mm: float, y_mm: float) -> Iterator[Stroke]:
    yield line((left_mm, y_mm), (left_mm + RULER_MM, y_mm), style.FINE_MM, style.INK, "legend")
    for at in range(RULER_MM + 1):
        tick = 3.0 if at % 10 == 0 else 2.2 if at % 5 == 0 else 1.4
        x = left_mm + at
        yield line((x, y_mm - tick), (x, y_mm), style.FINE_MM, style.INK, "legend")


def _ruler_words(canvas: PdfCanvas, left_mm: float, y_mm: float) -> None:
    for at in range(0, RULER_MM + 1, 10):
        words = f"{at} mm" if at == RULER_MM else str(at)
        canvas.text(words, left_mm + at, y_mm + line_mm(style.ROW), style.ROW, anchor="middle")


def _corners(box: Box) -> Iterator[Stroke]:
    left, top, right, bottom = box
    for x, y, to_right, down in (
        (left, top, 1, 1),
        (right, top, -1, 1),
        (right, bottom, -1, -1),
        (left, bottom, 1, -1),
    ):
        ends = (x + to_right * _CORNER_MM, y), (x, y), (x, y + down * _CORNER_MM)
        yield Stroke(ends, style.FINE_MM, style.LINE, "legend")


def _words(canvas: PdfCanvas, origin: Point) -> None:
    """Draw what to do, as wide as the marks stand apart."""
    y_mm = origin[1] + _WORDS_MM
    for step in _STEPS:
        for words in broken(step, style.SMALL.size_pt, SPAN_MM[0] + MARK_MM):
            canvas.text(words, origin[0] - MARK_MM / 2, y_mm, style.SMALL)
            y_mm += line_mm(style.SMALL)
