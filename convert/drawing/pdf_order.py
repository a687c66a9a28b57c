"""The stitch order in the booklet, in two columns."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial

from convert.drawing import style
from convert.drawing.labels import Label, label, line_mm
from convert.drawing.paragraphs import broken
from convert.drawing.pdf_blocks import tick_box
from convert.drawing.pdf_canvas import Page, PdfCanvas
from convert.drawing.pdf_frame import COLUMN_GAP_MM, SUBHEADING, Frame
from convert.drawing.style import Type
from convert.instructions.wording import Kind, Paragraph

_TEXT = Type(7.0, style.INK)
_STEP_MM = line_mm(_TEXT) * 0.93
_INDENT_MM = 9.0
_BOX_MM, _BOX_GAP_MM = 1.9, 0.8
# What breaks the even run of stitches stands out.
_STRONG = (Kind.NEW_THREAD, Kind.REPEAT)


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of a column: a number at its left, words, how they look, and whether work begins with it."""

    words: str
    number: str = ""
    kind: Type = _TEXT
    strong: bool = False
    begins: bool = False
    indent_mm: float = 0.0


def order_pages(
    canvas: PdfCanvas, frame: Frame, told: Iterable[Paragraph], *, boxes: bool = False
) -> list[Page]:
    """Return the pages of the stitch order.

    Parameters
    ----------
    canvas : PdfCanvas
        The file.
    frame : Frame
        Margins.
    told : iterable of Paragraph
        The work, see `convert.instructions.wording.paragraphs`.
    boxes : bool
        Whether there is a box to tick before each stitch and each repeat.
    """
    indent = _INDENT_MM + boxes * (_BOX_MM + _BOX_GAP_MM)
    columns = _columns([_block(one, frame.column_mm, indent) for one in told], frame)
    return [
        Page(
            partial(_draw, canvas, frame, columns[start : start + 2], start == 0, boxes),
            "" if start else "Stitch order",
        )
        for start in range(0, len(columns), 2)
    ]


def _block(told: Paragraph, width_mm: float, indent_mm: float) -> list[_Line]:
    """Return a stitch, mark or heading as lines broken to a column; they should not be parted."""
    if told.kind is Kind.HEADING:
        words = broken(told.lines[0], SUBHEADING.size_pt, width_mm)
        return [_Line(one, kind=SUBHEADING, strong=True) for one in words]
    # A heavier letter is no wider, but the line round it is: see `convert.drawing.pdf_canvas`.
    strong = told.kind in _STRONG
    words = [part for line in told.lines for part in broken(line, _TEXT.size_pt, width_mm - indent_mm)]
    number = str(told.number) if told.kind is Kind.STITCH else ""
    is_work = told.kind in (Kind.STITCH, Kind.REPEAT)
    return [
        _Line(
            one,
            number if place == 0 else "",
            strong=strong,
            begins=is_work and place == 0,
            indent_mm=indent_mm,
        )
        for place, one in enumerate(words)
    ]


def _columns(blocks: list[list[_Line]], frame: Frame) -> list[list[tuple[float, _Line]]]:
    """Return the columns, each line with its place from the top of its column."""
    columns: list[list[tuple[float, _Line]]] = [[]]
    y = 0.0
    for number, block in enumerate(blocks):
        room = frame.bottom_mm - _column_top_mm(frame, len(columns) - 1)
        heading = block[0].kind is SUBHEADING
        height = _height(block)
        # A heading, and the word of a new thread, stay with what follows them.
        keeps = (heading or block[0].strong) and number + 1 < len(blocks)
        needed = height + (_height(blocks[number + 1]) if keeps else 0.0)
        gap = (2.2 if heading else 0.7) if columns[-1] else 0.0
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
    return sum(line_mm(one.kind) if one.kind is SUBHEADING else _STEP_MM for one in block)


def _column_top_mm(frame: Frame, column: int) -> float:
    """Return where a column begins: the first page has a heading."""
    return frame.top_mm + (10.0 if column < 2 else 0.0)


def _draw(
    canvas: PdfCanvas, frame: Frame, pair: list[list[tuple[float, _Line]]], first: bool, boxes: bool
) -> None:
    if first:
        frame.heading(canvas, "Stitch order")
    top = _column_top_mm(frame, 0 if first else 2)
    canvas.column(_labels(frame, pair, top))
    if boxes:
        canvas.strokes(
            tick_box(
                frame.left_mm + place * (frame.column_mm + COLUMN_GAP_MM), top + y + 0.5 * _STEP_MM, _BOX_MM
            )
            for place, column in enumerate(pair)
            for y, one in column
            if one.begins
        )


def _labels(frame: Frame, pair: list[list[tuple[float, _Line]]], top: float) -> Iterator[tuple[Label, bool]]:
    for place, column in enumerate(pair):
        x = frame.left_mm + place * (frame.column_mm + COLUMN_GAP_MM)
        for y, one in column:
            base = top + y + 0.75 * line_mm(one.kind)
            if one.number:
                yield label(one.number, x + one.indent_mm - 1.6, base, style.ROW, anchor="end"), False
            yield label(one.words, x + one.indent_mm, base, one.kind), one.strong
