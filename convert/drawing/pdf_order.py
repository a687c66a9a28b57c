"""The stitch order in the booklet, in two columns."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial

from convert.drawing import style
from convert.drawing.labels import Label, label, line_mm
from convert.drawing.marks import Stroke
from convert.drawing.paragraphs import broken
from convert.drawing.pdf_canvas import Page, PdfCanvas
from convert.drawing.pdf_frame import COLUMN_GAP_MM, Frame
from convert.drawing.style import Type
from convert.instructions.phrases import glued
from convert.instructions.wording import Kind, Paragraph

_TEXT = Type(9.0, style.INK)
_HEADING = Type(10.5, style.INK)
_STEP_MM = line_mm(_TEXT) * 0.86
_INDENT_MM = 6.6
_BOX_MM, _BOX_GAP_MM = 2.6, 1.2
# What breaks the even run of stitches stands out.
_STRONG = (Kind.NEW_THREAD, Kind.REPEAT)


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of a column: a number at its left, words, and how they look."""

    words: str
    number: str = ""
    kind: Type = _TEXT
    strong: bool = False
    indent_mm: float = _INDENT_MM


def order_pages(canvas: PdfCanvas, frame: Frame, told: Iterable[Paragraph]) -> list[Page]:
    """Return the pages of the stitch order.

    Parameters
    ----------
    canvas : PdfCanvas
        The file.
    frame : Frame
        Margins.
    told : iterable of Paragraph
        The work, see `convert.instructions.wording.paragraphs`.
    """
    columns = _columns([_block(one, frame.column_mm) for one in told], frame)
    return [
        Page(
            partial(_draw, canvas, frame, columns[start : start + 2], start == 0),
            "" if start else "Stitch order",
        )
        for start in range(0, len(columns), 2)
    ]


def _block(told: Paragraph, width_mm: float) -> list[_Line]:
    """Return a stitch, mark or heading as lines broken to a column; they should not be parted."""
    if told.kind is Kind.HEADING:
        indent_mm = _BOX_MM + _BOX_GAP_MM
        words = broken(told.lines[0], _HEADING.size_pt, width_mm - indent_mm)
        return [_Line(one, kind=_HEADING, strong=True, indent_mm=indent_mm) for one in words]
    # A heavier letter is no wider, but the line round it is: see `convert.drawing.pdf_canvas`.
    strong = told.kind in _STRONG
    number = str(told.number) if told.number else ""
    lines: list[_Line] = []
    for place, line in enumerate(told.lines):
        for part in broken(glued(line), _TEXT.size_pt, width_mm - _INDENT_MM):
            lines.append(_Line(part, "" if lines else number, strong=strong and place == 0))
    return lines


def _columns(blocks: list[list[_Line]], frame: Frame) -> list[list[tuple[float, _Line]]]:
    """Return the columns, each line with its place from the top of its column."""
    columns: list[list[tuple[float, _Line]]] = [[]]
    y = 0.0
    for number, block in enumerate(blocks):
        room = frame.bottom_mm - _column_top_mm(frame, len(columns) - 1)
        heading = block[0].kind is _HEADING
        height = _height(block)
        # A heading, and the word of a new thread, stay with what follows them.
        keeps = (heading or block[0].strong) and number + 1 < len(blocks)
        needed = height + (_height(blocks[number + 1]) if keeps else 0.0)
        gap = (1.8 if heading else 0.25) if columns[-1] else 0.0
        if columns[-1] and y + gap + min(needed, room) > room:
            columns.append([])
            y = gap = 0.0
        y += gap
        for one in block:
            step = line_mm(one.kind) if heading else _STEP_MM
            if y + step > room + 1e-6 and columns[-1]:
                columns.append([])
                y = 0.0
                room = frame.bottom_mm - _column_top_mm(frame, len(columns) - 1)
            columns[-1].append((y, one))
            y += step
    return columns


def _height(block: list[_Line]) -> float:
    return sum(line_mm(one.kind) if one.kind is _HEADING else _STEP_MM for one in block)


def _column_top_mm(frame: Frame, column: int) -> float:
    """Return where a column begins: the first page has a heading."""
    return frame.top_mm + (10.0 if column < 2 else 0.0)


def _draw(canvas: PdfCanvas, frame: Frame, pair: list[list[tuple[float, _Line]]], first: bool) -> None:
    if first:
        frame.heading(canvas, "Stitch order")
    top = _column_top_mm(frame, 0 if first else 2)
    canvas.column(_labels(frame, pair, top))
    for place, column in enumerate(pair):
        for y, one in column:
            if one.kind is _HEADING:
                canvas.bookmark(one.words, 1)
                left = frame.left_mm + place * (frame.column_mm + COLUMN_GAP_MM)
                low = top + y + 0.8 * line_mm(_HEADING)
                corners = (
                    (left, low),
                    (left + _BOX_MM, low),
                    (left + _BOX_MM, low - _BOX_MM),
                    (left, low - _BOX_MM),
                )
                canvas.strokes([Stroke(corners, style.FINE_MM, style.INK, "order", closed=True)])


def _labels(frame: Frame, pair: list[list[tuple[float, _Line]]], top: float) -> Iterator[tuple[Label, bool]]:
    for place, column in enumerate(pair):
        x = frame.left_mm + place * (frame.column_mm + COLUMN_GAP_MM)
        for y, one in column:
            base = top + y + 0.75 * line_mm(one.kind)
            if one.number:
                yield label(one.number, x + _INDENT_MM - 1.2, base, style.ROW, anchor="end"), False
            yield label(one.words, x + one.indent_mm, base, one.kind), one.strong
