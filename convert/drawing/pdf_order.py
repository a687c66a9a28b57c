"""The stitch order in the booklet, in two columns."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial

from convert.drawing import style
from convert.drawing.labels import Label, label, line_mm
from convert.drawing.marks import Stroke
from convert.drawing.paragraphs import broken
from convert.drawing.pdf_blocks import tick_box
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
        words = broken(told.lines[0], _HEADING.size_pt, width_mm - _BOX_MM - _BOX_GAP_MM)
        return [
            _Line(one, kind=_HEADING, strong=True, begins=place == 0, indent_mm=_BOX_MM + _BOX_GAP_MM)
            for place, one in enumerate(words)
        ]
    # A heavier letter is no wider, but the line round it is: see `convert.drawing.pdf_canvas`.
    strong = told.kind in _STRONG
    number = str(told.number) if told.number else ""
    is_work = told.kind in (Kind.STITCH, Kind.SHORT, Kind.REPEAT)
    lines: list[_Line] = []
    for place, line in enumerate(told.lines):
        for part in broken(glued(line), _TEXT.size_pt, width_mm - indent_mm):
            first = not lines
            lines.append(
                _Line(
                    part,
                    number if first else "",
                    strong=strong and place == 0,
                    begins=is_work and first,
                    indent_mm=indent_mm,
                )
            )
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


def _draw(
    canvas: PdfCanvas, frame: Frame, pair: list[list[tuple[float, _Line]]], first: bool, boxes: bool
) -> None:
    if first:
        frame.heading(canvas, "Stitch order")
    top = _column_top_mm(frame, 0 if first else 2)
    canvas.column(_labels(frame, pair, top))
    ticked: list[Stroke] = []
    for place, column in enumerate(pair):
        left = frame.left_mm + place * (frame.column_mm + COLUMN_GAP_MM)
        for y, one in column:
            heading = one.kind is _HEADING
            if heading and one.begins:
                canvas.bookmark(one.words, 1)
            # Rows are ticked off in every booklet, stitches where that is asked for.
            if one.begins and (heading or boxes):
                middle = 0.5 * (line_mm(_HEADING) if heading else _STEP_MM)
                ticked.append(tick_box(left, top + y + middle, _BOX_MM))
    canvas.strokes(ticked)


def _labels(frame: Frame, pair: list[list[tuple[float, _Line]]], top: float) -> Iterator[tuple[Label, bool]]:
    for place, column in enumerate(pair):
        x = frame.left_mm + place * (frame.column_mm + COLUMN_GAP_MM)
        for y, one in column:
            base = top + y + 0.75 * line_mm(one.kind)
            if one.number:
                yield label(one.number, x + one.indent_mm - 1.2, base, style.ROW, anchor="end"), False
            yield label(one.words, x + one.indent_mm, base, one.kind), one.strong
