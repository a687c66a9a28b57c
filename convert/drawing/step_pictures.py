"""The sheet of step pictures: the kinds of step of a piece, one small picture each, with what to do."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from convert.drawing import style
from convert.drawing.canvas import Canvas
from convert.drawing.finishing_pictures import captioned_finish
from convert.drawing.labels import Label, label, line_mm, plain, shortened, text_width_mm
from convert.drawing.marks import Stroke, line
from convert.drawing.paragraphs import broken
from convert.drawing.piece import Piece, draw_piece
from convert.drawing.png import draw_marks
from convert.drawing.png_file import encode_png
from convert.drawing.step_choice import MOST_PICTURES, choose_steps
from convert.drawing.step_drawing import LAYER, CaptionedStep, StepArtist, legend
from convert.instructions.order import OrderOfWork
from convert.instructions.short import ShortWords
from convert.instructions.wording import caption, step_aside, step_title
from convert.units import mm_to_pixels

WIDTH_MM = 210.0
COLUMNS = 3
PICTURE_MM = 48.0
DOTS_PER_INCH = 200
_INNER_MM = WIDTH_MM - 2 * style.MARGIN_MM
_GAP_MM = 6.0
_HEAD_LINE_MM = 6.5
_NUMBER_MM = 12.0
_STEP = style.Type(13.0, style.INK)


@dataclass(frozen=True, eq=False, slots=True)
class StepSheet:
    """A page of steps, in mm, y down.

    Parameters
    ----------
    title : str
        Name of the piece.
    width_mm, height_mm : float
        The page.
    strokes : tuple of Stroke
        Lines and areas, in the order in which they are drawn.
    labels : tuple of Label
        Words, over the strokes.
    """

    title: str
    width_mm: float
    height_mm: float
    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]


def captioned_steps(
    order: OrderOfWork, piece: Piece, width_mm: float, height_mm: float, most: int = MOST_PICTURES
) -> tuple[list[CaptionedStep], int]:
    """Return the pictures of a piece's steps, and how many kinds of step go without.

    Parameters
    ----------
    order, piece : OrderOfWork, Piece
        The work, and how its piece is drawn.
    width_mm, height_mm : float
        Size of a picture.
    most : int
        Most pictures.
    """
    weave, told, names = order.pattern.weave, order.told, order.names
    chosen, left_out = choose_steps(weave, told, in_rows=names.line == "row", most=most)
    short = ShortWords(order)
    artist = StepArtist(order.pattern, piece, told, names.loops)
    found = []
    for one in chosen:
        step = order.step(one.step)
        found.append(
            CaptionedStep(
                step_title(step),
                _about(order, short, step.stitch, step_aside(one.times, turns_back=one.turn), width_mm),
                caption(order, step),
                artist.draw(one.step, width_mm, height_mm),
            )
        )
    return found, left_out


def _about(order: OrderOfWork, short: ShortWords, number: int, aside: str, width_mm: float) -> str:
    """Return what stands beside the number of a stitch: the stitch in short, or how often a step comes."""
    stitch = order.stitch(number)
    if len(stitch.steps) > 1 or not all(map(order.kinds.letter, stitch.loops)):
        return aside
    words = short.entry(stitch)
    return words if text_width_mm(words, style.SMALL.size_pt) < width_mm - _NUMBER_MM else aside


def step_sheet(order: OrderOfWork) -> StepSheet:
    """Return the sheet of step pictures of a piece.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    """
    width = (_INNER_MM - (COLUMNS - 1) * _GAP_MM) / COLUMNS
    piece = draw_piece(order.pattern)
    steps, left_out = captioned_steps(order, piece, width, PICTURE_MM)
    title = shortened(f"{plain(order.pattern.title)}: step by step", style.TITLE.size_pt, _INNER_MM)
    y = style.MARGIN_MM + line_mm(style.TITLE) * 0.6
    labels = [label(title, style.MARGIN_MM, y, style.TITLE, layer=LAYER)]
    y += line_mm(style.TITLE) * 0.2
    for part in broken(_intro(left_out), style.BODY_SOFT.size_pt, _INNER_MM):
        y += line_mm(style.BODY_SOFT)
        labels.append(label(part, style.MARGIN_MM, y, style.BODY_SOFT, layer=LAYER))
    y += style.BLOCK_MM
    strokes, more = legend(piece, style.MARGIN_MM, y)
    labels += more
    y += style.BLOCK_MM
    steps += captioned_finish(order, piece, width, PICTURE_MM)
    for first in range(0, len(steps), COLUMNS):
        row = steps[first : first + COLUMNS]
        strokes.append(
            line((style.MARGIN_MM, y), (WIDTH_MM - style.MARGIN_MM, y), style.FINE_MM, style.HAIR, LAYER)
        )
        y += _GAP_MM * 0.6
        lines = [broken(step.words, style.BODY.size_pt, width) for step in row]
        for column, (step, words) in enumerate(zip(row, lines, strict=True)):
            x = style.MARGIN_MM + column * (width + _GAP_MM)
            labels += _caption(step, words, x, y)
            strokes += [_moved_stroke(stroke, x, y + _HEAD_LINE_MM) for stroke in step.picture.strokes]
            labels += [
                replace(one, x_mm=one.x_mm + x, y_mm=one.y_mm + y + _HEAD_LINE_MM)
                for one in step.picture.labels
            ]
        y += _HEAD_LINE_MM + PICTURE_MM + (max(map(len, lines)) + 0.5) * line_mm(style.BODY) + _GAP_MM * 0.6
    return StepSheet(order.pattern.title, WIDTH_MM, y + style.MARGIN_MM / 2, tuple(strokes), tuple(labels))


def _intro(left_out: int) -> str:
    more = ""
    if left_out:
        more = " Steps that come seldom may have no picture; all are in the stitch order."
    return (
        "Numbers are those of the stitch order; a, b and c are the lines of one stitch. Pictures lie as the"
        " chart does. Follow the line from the dot, in at one end of each bead and out at the other. Beads"
        f" that are not strung yet are not shown.{more}"
    )


def _caption(step: CaptionedStep, words: list[str], x: float, y: float) -> Iterator[Label]:
    """Return the number of a step above its picture and what to do below it."""
    base = y + _HEAD_LINE_MM * 0.75
    yield label(step.title, x, base, _STEP, layer=LAYER)
    aside = x + text_width_mm(step.title, _STEP.size_pt) + 2.5
    yield label(step.about, aside, base, style.SMALL, layer=LAYER)
    base = y + _HEAD_LINE_MM + PICTURE_MM
    for part in words:
        base += line_mm(style.BODY)
        yield label(part, x, base, style.BODY, layer=LAYER)


def _moved_stroke(stroke: Stroke, x: float, y: float) -> Stroke:
    return replace(stroke, points=tuple((px + x, py + y) for px, py in stroke.points))


def write_steps_png(sheet: StepSheet, words: Mapping[str, str] | None = None) -> bytes:
    """Return the sheet as a PNG file.

    Parameters
    ----------
    sheet : StepSheet
        The page.
    words : mapping of str to str, optional
        What the file tells of itself, see `convert.drawing.told`.
    """
    dots = mm_to_pixels(1.0, DOTS_PER_INCH)
    canvas = Canvas(round(sheet.height_mm * dots), round(sheet.width_mm * dots))
    draw_marks(canvas, sheet.strokes, sheet.labels, dots)
    return encode_png(canvas.pixels, DOTS_PER_INCH, words)
