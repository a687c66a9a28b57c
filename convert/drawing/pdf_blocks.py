"""Pages that are filled from top to bottom with blocks, none of which is cut by the end of a page."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial

from convert.drawing import style
from convert.drawing.labels import line_mm, text_width_mm
from convert.drawing.marks import Stroke, line
from convert.drawing.paragraphs import broken
from convert.drawing.pdf_canvas import Page, PdfCanvas
from convert.drawing.pdf_frame import SUBHEADING, Frame

BOX_MM = 3.0
"""Side of a box to tick."""
_BOX_GAP_MM = 1.8
_NAME, _DATE = "Name", "Date"
_DATE_MM = 50.0
_BETWEEN_MM = 1.2


@dataclass(frozen=True, slots=True)
class Block:
    """Something of a height that is not cut by the end of a page; `head` repeats above it on a new page."""

    height_mm: float
    draw: Callable[[float], None]
    head: "Block | None" = None


def flowing_pages(blocks: Iterable[Block], frame: Frame, bookmark: str) -> list[Page]:
    """Return the pages that blocks fill.

    Parameters
    ----------
    blocks : iterable of Block
        What there is to draw, from top to bottom.
    frame : Frame
        Margins.
    bookmark : str
        Entry of the list of contents that leads to the first page.
    """
    pages: list[list[tuple[float, Block]]] = [[]]
    y = frame.top_mm
    for block in blocks:
        if y + block.height_mm > frame.bottom_mm and pages[-1]:
            pages.append([])
            y = frame.top_mm
            if block.head is not None:
                pages[-1].append((y, block.head))
                y += block.head.height_mm
        pages[-1].append((y, block))
        y += block.height_mm
    return [
        Page(partial(_draw, placed), bookmark if number == 0 else "") for number, placed in enumerate(pages)
    ]


def _draw(placed: Sequence[tuple[float, Block]]) -> None:
    for y, block in placed:
        block.draw(y)


def title_block(canvas: PdfCanvas, frame: Frame, words: str) -> Block:
    """Return the heading of a page."""
    return Block(line_mm(style.TITLE) * 0.9, partial(_draw_title, canvas, frame, words))


def _draw_title(canvas: PdfCanvas, frame: Frame, words: str, y: float) -> None:
    frame.heading(canvas, words, y)


def heading_block(canvas: PdfCanvas, frame: Frame, words: str) -> Block:
    """Return a heading above a part of a page."""

    def draw(y: float) -> None:
        canvas.text(words, frame.left_mm, y + 0.75 * line_mm(SUBHEADING), SUBHEADING, strong=True)

    return Block(line_mm(SUBHEADING) + 1.0, draw)


def text_block(
    canvas: PdfCanvas, frame: Frame, heading: str, paragraphs: Sequence[str], *, boxes: bool = False
) -> Block:
    """Return a heading with paragraphs below it, each with a box to tick if that is wanted."""
    body, step = style.BODY, line_mm(style.BODY)
    indent = BOX_MM + _BOX_GAP_MM if boxes else 0.0
    told = [broken(text, body.size_pt, frame.width_mm - indent) for text in paragraphs]
    title = heading_block(canvas, frame, heading)
    # Single lines stand as a list; longer paragraphs are set apart.
    between = _BETWEEN_MM if len(told) > 1 and max(map(len, told)) > 1 else 0.0

    def draw(y: float) -> None:
        title.draw(y)
        y += title.height_mm
        for lines in told:
            if boxes:
                canvas.strokes([tick_box(frame.left_mm, y + step / 2)])
            for words in lines:
                canvas.text(words, frame.left_mm + indent, y + 0.75 * step, body)
                y += step
            y += between

    height = sum(len(lines) * step + between for lines in told)
    return Block(title.height_mm + height + 4.0, draw)


def tick_box(left_mm: float, middle_mm: float, side_mm: float = BOX_MM) -> Stroke:
    """Return a box to tick, its middle at a height."""
    top, bottom, right = middle_mm - side_mm / 2, middle_mm + side_mm / 2, left_mm + side_mm
    corners = (left_mm, top), (right, top), (right, bottom), (left_mm, bottom)
    return Stroke(corners, style.FINE_MM, style.SOFT, "legend", closed=True)


def name_lines(canvas: PdfCanvas, frame: Frame) -> Block:
    """Return the lines on which a student writes a name and a date."""

    def draw(y: float) -> None:
        base = y + 6.5
        date = frame.right_mm - _DATE_MM
        for words, left, right in ((_NAME, frame.left_mm, date - 6.0), (_DATE, date, frame.right_mm)):
            canvas.text(words, left, base, style.FACTS)
            begin = left + text_width_mm(words, style.FACTS.size_pt) + 2.0
            ends = (begin, base + 0.8), (right, base + 0.8)
            canvas.strokes([line(*ends, style.FINE_MM, style.SOFT, "legend")])

    return Block(12.0, draw)
