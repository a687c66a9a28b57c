"""How to read and weave: the pages a beginner starts with, and pictures of the first steps."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from convert.drawing import style
from convert.drawing.labels import line_mm, shortened, text_width_mm
from convert.drawing.paragraphs import broken
from convert.drawing.pdf_canvas import Page, PdfCanvas
from convert.drawing.pdf_frame import HEADING, SUBHEADING, Frame
from convert.drawing.piece import Piece
from convert.drawing.step_drawing import CaptionedStep, legend
from convert.drawing.step_pictures import captioned_steps
from convert.drawing.style import Type
from convert.instructions.introduction import how_to_read, short_form
from convert.instructions.order import OrderOfWork
from convert.instructions.short import kind_lines

MOST_PICTURES = 12
_HEADING = "How to read and weave"
COLUMNS = 3
GAP_MM = 6.0
_PICTURE_MM = 42.0
_BODY = Type(9.0, style.INK)
_STEP = Type(11.0, style.INK)
_PARAGRAPH_MM = 1.2
_CHART = (
    "Each bead is drawn in its shape, in its colour and with its symbol; the strip below the beads and the"
    " list of beads say which code a symbol stands for. A ring marks the first bead.",
    "The number inside a loop is its number in the row; numbers beside the chart are those of the rows, and"
    " an arrow shows the way the thread weaves the row.",
)
_CHART_IN_ROUNDS = (
    _CHART[0],
    "The number inside a loop is the loop's name in the stitch order.",
)
_CHART_IN_PARTS = (
    "Where the chart takes several pages, neighbouring parts overlap. What lies beyond a dashed line is pale"
    " because it belongs to the next part, whose page stands beside the line."
)
_PICTURES = (
    "Pictures lie as the chart does; the number above each is that of the stitch in the stitch order, with a"
    " letter where the stitch has several steps. Follow the line through each bead it crosses."
)


def guide_pages(
    canvas: PdfCanvas, frame: Frame, order: OrderOfWork, piece: Piece, *, in_parts: bool, spare: bool
) -> list[Page]:
    """Return the pages that say how to read the chart and the stitch order, with pictures of steps.

    Parameters
    ----------
    canvas : PdfCanvas
        The file.
    frame : Frame
        Margins.
    order, piece : OrderOfWork, Piece
        The work, and how its piece is drawn.
    in_parts : bool
        Whether the chart takes several pages.
    spare : bool
        Whether beads stay white, to print with little ink.
    """
    if spare:
        white = tuple(replace(colour, rgb=style.WHITE, ink=style.INK) for colour in piece.colours)
        piece = replace(piece, colours=white)
    pages: list[list[Callable[[], None]]] = [[]]
    y = frame.top_mm
    for height, draw in _blocks(canvas, frame, order, piece, in_parts):
        # The gap that ends a block may fall off the page.
        if y + height - GAP_MM > frame.bottom_mm:
            pages.append([])
            y = frame.top_mm
        pages[-1].append(partial(draw, y))
        y += height
    return [
        Page(partial(_draw_all, parts), _HEADING if number == 0 else "") for number, parts in enumerate(pages)
    ]


def _draw_all(parts: list[Callable[[], None]]) -> None:
    for part in parts:
        part()


def _title(canvas: PdfCanvas, frame: Frame, y: float) -> None:
    frame.heading(canvas, _HEADING, y)


def _blocks(
    canvas: PdfCanvas, frame: Frame, order: OrderOfWork, piece: Piece, in_parts: bool
) -> Iterator[tuple[float, Callable[[float], None]]]:
    """Yield the height of each block and what draws it below a given place."""
    yield line_mm(HEADING) + 2.0, partial(_title, canvas, frame)
    chart = _CHART if piece.rows is not None else _CHART_IN_ROUNDS
    _, _, *reading = how_to_read(order)
    yield text_block(canvas, frame, "The chart", (*chart, _CHART_IN_PARTS) if in_parts else chart)
    yield text_block(canvas, frame, "The stitch order", [line.strip() for line in reading])
    if order.kinds.lettered:
        yield text_block(canvas, frame, "Kinds of loop", short_form(order))
        yield _columns_of(canvas, frame, kind_lines(order.kinds.lettered))
    width = (frame.width_mm - (COLUMNS - 1) * GAP_MM) / COLUMNS
    steps, _ = captioned_steps(order, piece, width, _PICTURE_MM, MOST_PICTURES)
    above, head = text_block(canvas, frame, "Step by step", [_PICTURES])

    def draw_head(y: float) -> None:
        head(y)
        strokes, labels = legend(piece, frame.left_mm, y + above)
        canvas.strokes(strokes)
        canvas.labels(labels)

    rows = [
        picture_row(canvas, frame, steps[at : at + COLUMNS], width) for at in range(0, len(steps), COLUMNS)
    ]
    # The heading stays with the first pictures.
    first_height, draw_first = rows[0]
    above_first = above + style.BLOCK_MM

    def draw_head_and_first(y: float) -> None:
        draw_head(y)
        draw_first(y + above_first)

    yield above_first + first_height, draw_head_and_first
    yield from rows[1:]


def text_block(
    canvas: PdfCanvas, frame: Frame, heading: str, paragraphs: tuple[str, ...] | list[str]
) -> tuple[float, Callable[[float], None]]:
    """Return a heading with paragraphs below it: its height, and what draws it."""
    told = [broken(text, _BODY.size_pt, frame.width_mm) for text in paragraphs]
    step, below = line_mm(_BODY), line_mm(SUBHEADING) + 1.5

    def draw(y: float) -> None:
        canvas.text(heading, frame.left_mm, y + 0.75 * line_mm(SUBHEADING), SUBHEADING, strong=True)
        y += below
        for lines in told:
            for words in lines:
                canvas.text(words, frame.left_mm, y + 0.75 * step, _BODY)
                y += step
            y += _PARAGRAPH_MM

    height = below + sum(len(lines) * step + _PARAGRAPH_MM for lines in told)
    return height - _PARAGRAPH_MM + GAP_MM, draw


def _columns_of(canvas: PdfCanvas, frame: Frame, lines: list[str]) -> tuple[float, Callable[[float], None]]:
    """Return short lines in two columns: their height, and what draws them."""
    step, rows = line_mm(_BODY), -(-len(lines) // 2)

    def draw(y: float) -> None:
        for number, words in enumerate(lines):
            column, row = divmod(number, rows)
            x = frame.left_mm + column * (frame.column_mm + GAP_MM)
            canvas.text(words, x, y + (row + 0.75) * step, _BODY)

    return rows * step + GAP_MM, draw


def picture_row(
    canvas: PdfCanvas, frame: Frame, steps: list[CaptionedStep], width: float, picture_mm: float = _PICTURE_MM
) -> tuple[float, Callable[[float], None]]:
    """Return a row of pictures with what to do below each."""
    told = [broken(step.words, style.BODY.size_pt, width) for step in steps]
    head, step_mm = line_mm(_STEP), line_mm(style.BODY)

    def draw(y: float) -> None:
        for column, (step, lines) in enumerate(zip(steps, told, strict=True)):
            x = frame.left_mm + column * (width + GAP_MM)
            base = y + 0.75 * head
            canvas.text(step.title, x, base, _STEP, strong=True)
            aside = text_width_mm(step.title, _STEP.size_pt) + 2.5
            about = shortened(step.about, style.SMALL.size_pt, width - aside)
            canvas.text(about, x + aside, base, style.SMALL)
            for stroke in step.picture.strokes:
                moved = tuple((px + x, py + y + head) for px, py in stroke.points)
                canvas.strokes([replace(stroke, points=moved)])
            canvas.labels(
                replace(one, x_mm=one.x_mm + x, y_mm=one.y_mm + y + head) for one in step.picture.labels
            )
            for number, words in enumerate(lines):
                at = y + head + picture_mm + (number + 0.75) * step_mm
                canvas.text(words, x, at, style.BODY)

    return head + picture_mm + max(map(len, told)) * step_mm + GAP_MM, draw
