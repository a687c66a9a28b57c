"""The sheet of step pictures: the kinds of step of a piece, one small picture each, with what to do."""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from convert.drawing import style
from convert.drawing.canvas import Canvas
from convert.drawing.labels import Label, label, line_mm, plain, shortened, text_width_mm
from convert.drawing.marks import Stroke, line
from convert.drawing.paragraphs import broken
from convert.drawing.piece import Piece, draw_piece
from convert.drawing.png import draw_marks
from convert.drawing.png_file import encode_png
from convert.drawing.step_choice import MOST_PICTURES, ChosenStep, choose_steps
from convert.drawing.step_drawing import LAYER, StepArtist, StepPicture, legend
from convert.instructions.groups import groups
from convert.instructions.names import StitchNames
from convert.piece.pattern import Pattern
from convert.thread.stitches import NO_LOOP, Stitches, stitches
from convert.units import mm_to_pixels

WIDTH_MM = 210.0
COLUMNS = 3
PICTURE_MM = 48.0
DOTS_PER_INCH = 200
_INNER_MM = WIDTH_MM - 2 * style.MARGIN_MM
_GAP_MM = 6.0
_HEAD_LINE_MM = 6.5
_STEP = style.Type(13.0, style.INK)
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


@dataclass(frozen=True, eq=False, slots=True)
class CaptionedStep:
    """A step with its picture and its words.

    Parameters
    ----------
    title : str
        Number of the stitch as in the stitch order, with a letter where the stitch has several steps.
    about : str
        The loops it works on, and how often the kind comes.
    words : str
        What to do.
    picture : StepPicture
        What it looks like.
    """

    title: str
    about: str
    words: str
    picture: StepPicture


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
    pattern: Pattern, piece: Piece, width_mm: float, height_mm: float, most: int = MOST_PICTURES
) -> tuple[list[CaptionedStep], int]:
    """Return the pictures of a piece's steps, and how many kinds of step go without.

    Parameters
    ----------
    pattern, piece : Pattern, Piece
        The piece and how it is drawn.
    width_mm, height_mm : float
        Size of a picture.
    most : int
        Most pictures.
    """
    told = stitches(pattern.weave, pattern.thread)
    names = StitchNames(pattern)
    chosen, left_out = choose_steps(pattern.weave, told, in_rows=names.line == "row", most=most)
    artist = StepArtist(pattern, piece, told, names.loops)
    words = _Words(pattern, told, names)
    return [
        CaptionedStep(
            words.title(one.step),
            words.about(one),
            words.step(one.step),
            artist.draw(one.step, width_mm, height_mm),
        )
        for one in chosen
    ], left_out


class _Words:
    """Says what a step is in few words."""

    def __init__(self, pattern: Pattern, told: Stitches, names: StitchNames) -> None:
        self.told, self.names = told, names
        self.passes, self.beads = pattern.thread.passes, pattern.weave.beads
        self.new_threads = set(pattern.thread.new_threads[1:].tolist())
        found = groups(pattern, told)
        self.first_steps = np.array([group.first_step for group in found])
        self.end_steps = np.array([group.end_step for group in found])

    def title(self, step: int) -> str:
        """Return the number of the stitch, with a letter for each of several steps."""
        stitch = int(np.searchsorted(self.first_steps, step, side="right")) - 1
        first, end = int(self.first_steps[stitch]), int(self.end_steps[stitch])
        if end - first == 1:
            return f"{stitch + 1}"
        part = step - first
        return f"{stitch + 1}{_LETTERS[part] if part < len(_LETTERS) else f'.{part + 1}'}"

    def about(self, one: ChosenStep) -> str:
        """Return how often the kind comes, and whether the work turns here."""
        words = ["the work turns here"] if one.turn else []
        if one.times > 1:
            words.append(f"{one.times:,} steps like this")
        return " · ".join(words)

    def step(self, step: int) -> str:
        """Return what to do."""
        start, end = self.told.step_start[step : step + 2].tolist()
        through = int(self.told.step_through[step])
        told = ["Leave a tail."] if start == 0 else []
        if start in self.new_threads:
            told.append("Join a new thread.")
        tip = self.passes[start] >= self.beads
        if through > start:
            of_tip = " for the tip" if tip else ""
            told.append(f"Pick up {self._picked_up(start, through)}{of_tip}{self._closed(start, through)}.")
        if tip:
            return " ".join([*told, f"Pass through {end - through} along the edge."])
        travels = end
        while travels > through and self._travels(travels - 1):
            travels -= 1
        if travels > through:
            told.append(f"Pass through {travels - through}{self._closed(through, travels)}.")
        if end > travels:
            told.append(f"Sew through {end - travels} to go on.")
        return " ".join(told)

    def _picked_up(self, start: int, end: int) -> str:
        names = [self.names.beads[bead] for bead in self.passes[start:end].tolist()]
        runs = [(name, len(list(run))) for name, run in itertools.groupby(names)]
        words = ", ".join(name if count == 1 else f"{count} x {name}" for name, count in runs)
        return words if len(runs) == 1 else f"{end - start}: {words}"

    def _closed(self, start: int, end: int) -> str:
        loops = [self.names.loops[loop] for loop in self.told.closes[start:end].tolist() if loop != NO_LOOP]
        if not loops:
            return ""
        if len(loops) == 1:
            return f": loop {loops[0]} closed"
        return f": loops {', '.join(loops[:-1])} and {loops[-1]} closed"

    def _travels(self, at: int) -> bool:
        is_open = self.told.open_loops
        return at > 0 and is_open[at] == 0 and is_open[at - 1] == 0


def step_sheet(pattern: Pattern) -> StepSheet:
    """Return the sheet of step pictures of a pattern.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    """
    width = (_INNER_MM - (COLUMNS - 1) * _GAP_MM) / COLUMNS
    piece = draw_piece(pattern)
    steps, left_out = captioned_steps(pattern, piece, width, PICTURE_MM)
    title = shortened(f"{plain(pattern.title)}: step by step", style.TITLE.size_pt, _INNER_MM)
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
    return StepSheet(pattern.title, WIDTH_MM, y + style.MARGIN_MM / 2, tuple(strokes), tuple(labels))


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


def write_steps_png(sheet: StepSheet) -> bytes:
    """Return the sheet as a PNG file.

    Parameters
    ----------
    sheet : StepSheet
        The page.
    """
    dots = mm_to_pixels(1.0, DOTS_PER_INCH)
    canvas = Canvas(round(sheet.height_mm * dots), round(sheet.width_mm * dots))
    draw_marks(canvas, sheet.strokes, sheet.labels, dots)
    return encode_png(canvas.pixels, DOTS_PER_INCH)
