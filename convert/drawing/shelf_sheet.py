"""A sheet to hang by the shelf: every colour of a palette as a bead, with its code, name, sizes and stock.

Colours stand in the order of the rainbow, each hue from light to dark, greys first; those that are hard to
tell apart are marked, for everybody and for people with a colour-vision deficiency.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from convert.colour.srgb import parse_hex
from convert.drawing import style
from convert.drawing.canvas import Canvas
from convert.drawing.labels import Label, label, line_mm, shortened
from convert.drawing.marks import Stroke, line
from convert.drawing.paragraphs import broken
from convert.drawing.pdf_canvas import PdfCanvas
from convert.drawing.pdf_frame import Frame
from convert.drawing.piece import Outline
from convert.drawing.png import draw_marks
from convert.drawing.png_file import encode_png
from convert.drawing.style import Type
from convert.errors import SizeError
from convert.palette.assortment import Alike, describe
from convert.palette.model import BeadColour, Palette
from convert.units import A4, MM_PER_INCH, Paper
from convert.weave.beads import BeadSize, bead_size

DOTS_PER_INCH = 200
COLUMNS = 4
CODE = Type(9.5, style.INK)
# All sizes are drawn to this width, so that colours are compared and not sizes.
BEAD_MM = 13.0
_WORDS_MM = 15.5
_BETWEEN_MM = 4.0
_LEAST_MM = 15.0
_ANY_SIZE = "11/0"
# Below this chroma a colour is a grey with a tinge (CIELAB; a choice of ours).
GREY_CHROMA = 8.0
# Hues of one family, in degrees of CIELAB, counted from the reds.
HUE_STEP, FIRST_HUE = 30.0, 350.0
ALIKE_MARK, DEFICIENCY_MARK = "≈", "◐"
LEGEND = (
    f"{ALIKE_MARK} and a code: hard to tell from that colour side by side. {DEFICIENCY_MARK} and a code: so"
    " for people with a colour-vision deficiency. Print and screen show colours about as they are: hold the"
    " beads themselves beside each other. Keep beads and needles from small children: they can choke on small"
    " parts."
)
_MOST_LINES = 3


@dataclass(eq=False, slots=True)
class SheetPage:
    """What stands on a page, in mm.

    Parameters
    ----------
    strokes : list of Stroke
        Beads and lines.
    labels : list of (Label, bool)
        Words, each with whether its letters are heavier.
    height_mm : float
        Where the last of it ends.
    """

    strokes: list[Stroke] = field(default_factory=list)
    labels: list[tuple[Label, bool]] = field(default_factory=list)
    height_mm: float = 0.0


def draw_shelf_png(palette: Palette) -> bytes:
    """Return the sheet as one picture, as wide as A4 and as long as it has to be.

    Parameters
    ----------
    palette : Palette
        The colours. One that comes in several sizes is shown once.
    """
    (page,) = _pages(palette, A4, endless=True)
    dots = DOTS_PER_INCH / MM_PER_INCH
    canvas = Canvas(round(page.height_mm * dots), round(A4.width_mm * dots))
    draw_marks(canvas, page.strokes, [one for one, _ in page.labels], dots)
    return encode_png(canvas.pixels, DOTS_PER_INCH)


def draw_shelf_pdf(palette: Palette, paper: Paper = A4) -> bytes:
    """Return the sheet as a PDF file, on as many pages as it takes.

    Parameters
    ----------
    palette : Palette
        The colours. One that comes in several sizes is shown once.
    paper : Paper
        Size of the pages.
    """
    pages = list(_pages(palette, paper, endless=False))
    canvas = PdfCanvas(paper, palette.name, "Colours of the shelf")
    frame = Frame(paper)
    for number, page in enumerate(pages, start=1):
        canvas.strokes(page.strokes)
        canvas.column(page.labels)
        frame.foot(canvas, palette.name, number, len(pages))
        canvas.end_page()
    return canvas.finish()


def _pages(palette: Palette, paper: Paper, *, endless: bool) -> Iterator[SheetPage]:
    frame = Frame(paper)
    pitch = frame.width_mm / COLUMNS
    words_mm = pitch - _WORDS_MM - style.GAP_MM
    cards = shelf_cards(palette)
    page = SheetPage()
    y = _head(page, palette, frame)
    for start in range(0, len(cards), COLUMNS):
        row = [(card, _words(card, words_mm)) for card in cards[start : start + COLUMNS]]
        height = (
            max(_LEAST_MM, *(sum(line_mm(kind) for _, kind, _ in words) for _, words in row)) + _BETWEEN_MM
        )
        if not endless and y + height > frame.bottom_mm:
            yield page
            page, y = SheetPage(), frame.top_mm
        for column, (card, words) in enumerate(row):
            left = frame.left_mm + column * pitch
            page.strokes += _bead(card.entries[0], left + BEAD_MM / 2, y + BEAD_MM / 2 - 0.5)
            base = y
            for text, kind, strong in words:
                base += line_mm(kind)
                page.labels.append((label(text, left + _WORDS_MM, base - 0.25 * line_mm(kind), kind), strong))
        y += height
        ends = (frame.left_mm, y - _BETWEEN_MM / 2), (frame.right_mm, y - _BETWEEN_MM / 2)
        page.strokes.append(line(*ends, style.FINE_MM, style.HAIR, "legend"))
        page.height_mm = y + style.MARGIN_MM
    yield page


def _head(page: SheetPage, palette: Palette, frame: Frame) -> float:
    """Write the head of the first page and return where the colours begin."""
    y = frame.top_mm + line_mm(style.TITLE) * 0.7
    title = shortened(palette.name, style.TITLE.size_pt, frame.width_mm)
    page.labels.append((label(title, frame.left_mm, y, style.TITLE), True))
    sizes = list(dict.fromkeys(entry.size or "any size" for entry in palette.entries))
    colours = len(set(palette.colour_numbers().tolist()))
    facts = f"{colours} colour{'s' * (colours != 1)} in {', '.join(sizes)}"
    lines = [
        *broken(facts, style.FACTS.size_pt, frame.width_mm),
        *broken(LEGEND, style.FACTS.size_pt, frame.width_mm),
    ]
    y += style.GAP_MM
    for text in lines:
        y += line_mm(style.FACTS)
        page.labels.append((label(text, frame.left_mm, y, style.FACTS), False))
    return y + 2 * _BETWEEN_MM


@dataclass(frozen=True, slots=True)
class Card:
    """A colour of the sheet.

    Parameters
    ----------
    entries : tuple of BeadColour
        The colour in each of its sizes.
    alike, alike_with : tuple of str
        Codes hard to tell from it, for everybody and with a colour-vision deficiency.
    """

    entries: tuple[BeadColour, ...]
    alike: tuple[str, ...]
    alike_with: tuple[str, ...]


def shelf_cards(palette: Palette) -> list[Card]:
    """Return the colours of a palette in the order of the sheet.

    Parameters
    ----------
    palette : Palette
        The colours.
    """
    found = describe(palette, {})
    deficient = [pair for pairs in found.alike_with.values() for pair in pairs]
    numbers = palette.colour_numbers()
    first = np.unique(numbers, return_index=True)[1]
    order = first[np.lexsort(_order(palette.labs()[first])[::-1])]
    cards = []
    for entry in order.tolist():
        entries = tuple(palette.entries[index] for index in np.flatnonzero(numbers == numbers[entry]))
        code = entries[0].code
        cards.append(
            Card(entries, _partners(found.alike, palette, code), _partners(deficient, palette, code))
        )
    return cards


def _order(lab: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """Return by what colours are ordered: greys first, then the family of the hue; light before dark."""
    lightness, a, b = lab.T
    hue = np.degrees(np.arctan2(b, a)) - FIRST_HUE
    family = np.floor(np.mod(hue, 360) / HUE_STEP)
    return [np.where(np.hypot(a, b) < GREY_CHROMA, -1.0, family), -lightness]


def _partners(pairs: Sequence[Alike], palette: Palette, code: str) -> tuple[str, ...]:
    codes = [(palette.entries[pair.first].code, palette.entries[pair.second].code) for pair in pairs]
    return tuple(dict.fromkeys(other for pair in codes if code in pair for other in pair if other != code))


def _words(card: Card, width_mm: float) -> list[tuple[str, Type, bool]]:
    """Return the lines beside a bead, each with its type and whether it is heavier."""
    bead = card.entries[0]
    counted = [entry for entry in card.entries if _stock(entry)]
    silent = ", ".join(entry.size or "any size" for entry in card.entries if not _stock(entry))
    lines = [(bead.code, CODE, True), (bead.name, style.BODY, False)]
    lines += [(f"{entry.size or 'any size'}: {_stock(entry)}", style.SMALL, False) for entry in counted]
    lines.append((silent, style.SMALL, False))
    for mark, codes in ((ALIKE_MARK, card.alike), (DEFICIENCY_MARK, card.alike_with)):
        if codes:
            told = broken(f"{mark} {', '.join(codes)}", style.SMALL.size_pt, width_mm)
            more = ["…"] if len(told) > _MOST_LINES else []
            lines += [(text, style.SMALL, False) for text in [*told[:_MOST_LINES], *more]]
    return [
        (shortened(text, kind.size_pt, width_mm), kind, strong)
        for text, kind, strong in lines
        if text.strip()
    ]


def _stock(entry: BeadColour) -> str:
    if entry.on_hand is not None:
        return f"{entry.on_hand:,} beads" if entry.on_hand else "none"
    if entry.on_hand_g is not None:
        return f"{entry.on_hand_g:,.4g} g" if entry.on_hand_g else "none"
    return ""


def _bead(entry: BeadColour, x_mm: float, y_mm: float) -> list[Stroke]:
    """Return a bead about a point: its rim, and its colour within."""
    colour = parse_hex(entry.hex)
    outline = Outline(_size_called(entry.size), 90.0, 0.0)
    scale = BEAD_MM / outline.size.diameter_mm
    rim, inner = outline.polygon(), outline.polygon(style.RIM_SHARE * outline.size.shorter_mm)
    return [
        Stroke(tuple((x_mm + scale * x, y_mm + scale * y) for x, y in shape.tolist()), 0.0, tone, "legend")
        for shape, tone in ((rim, style.rim_colour(colour)), (inner, colour))
    ]


def _size_called(name: str | None) -> BeadSize:
    try:
        return bead_size(name or _ANY_SIZE)
    except SizeError:
        return bead_size(_ANY_SIZE)  # a palette may name sizes this program cannot weave
