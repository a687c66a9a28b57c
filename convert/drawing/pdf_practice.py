"""The page before the stitch order: what to know before the first stitch, and a swatch to practise on."""

from functools import partial

import numpy as np

from convert.drawing import style
from convert.drawing.labels import label, label_centred, line_mm
from convert.drawing.numbering import start_marks
from convert.drawing.paragraphs import broken
from convert.drawing.pdf_canvas import Page, PdfCanvas
from convert.drawing.pdf_frame import SUBHEADING, Frame
from convert.drawing.pdf_guide import GAP_MM, text_block
from convert.drawing.piece import draw_piece
from convert.drawing.step_drawing import bead_strokes
from convert.drawing.style import Type
from convert.instructions.order import OrderOfWork
from convert.instructions.phrases import glued
from convert.instructions.practice import BEFORE_THE_FIRST_STITCH, practice_swatch
from convert.instructions.short import told_in
from convert.instructions.wording import Kind

_HEADING = "Before the first stitch"
_SWATCH = (
    "Weave this small piece first: its words are those of the stitch order, and it shows whether you hold"
    " the thread"
    " tight enough. It takes a few beads of the two commonest colours, which you can use again."
)
_DRAWN_MM = 84.0
_TEXT = Type(9.0, style.INK)
_LOOP = Type(7.0, style.LOOP_COLOUR)


def practice_pages(
    canvas: PdfCanvas, frame: Frame, order: OrderOfWork, words: str, *, spare: bool
) -> list[Page]:
    """Return the page.

    Parameters
    ----------
    canvas : PdfCanvas
        The file.
    frame : Frame
        Margins.
    order : OrderOfWork
        The work that it stands before.
    words : str
        In which words the work is told, see `convert.instructions.short.told_in`.
    spare : bool
        Whether beads stay white, to print with little ink.
    """
    return [Page(partial(_draw, canvas, frame, order, words, spare), _HEADING)]


def _draw(canvas: PdfCanvas, frame: Frame, order: OrderOfWork, words: str, spare: bool) -> None:
    y = frame.heading(canvas, _HEADING) + GAP_MM / 2
    for heading, told in (("", list(BEFORE_THE_FIRST_STITCH)), ("Practice swatch", [_SWATCH])):
        height, draw = text_block(canvas, frame, heading, told)
        draw(y)
        y += height
    swatch = OrderOfWork(practice_swatch(order.pattern))
    below = _draw_beads(canvas, frame, swatch, y, spare)
    _draw_words(canvas, frame, swatch, words, y, below)


def _draw_beads(canvas: PdfCanvas, frame: Frame, swatch: OrderOfWork, top_mm: float, spare: bool) -> float:
    """Draw the swatch with its loops named and a ring round its first bead; return where it ends."""
    piece = draw_piece(swatch.pattern)
    left, top, right, bottom = piece.extent_mm
    scale = _DRAWN_MM / (right - left)
    offset = np.array([frame.left_mm - left * scale, top_mm - top * scale])
    for xy, outline, colour in zip(
        piece.bead_xy * scale + offset, piece.bead_outline.tolist(), piece.bead_colour.tolist(), strict=True
    ):
        rgb = piece.colours[colour].rgb
        fill = style.WHITE if spare else rgb
        canvas.strokes(bead_strokes(piece.outlines[outline], xy, scale, fill, style.rim_colour(rgb), 0.3))
    names = swatch.names.loops
    canvas.labels(
        label_centred(name, x, y, _LOOP, anchor="middle")
        for name, (x, y) in zip(names, (piece.loop_xy * scale + offset).tolist(), strict=True)
    )
    canvas.strokes(start_marks(piece, scale, (float(offset[0]), float(offset[1]))))
    return float(bottom * scale + offset[1])


def _draw_words(
    canvas: PdfCanvas, frame: Frame, swatch: OrderOfWork, words: str, y: float, below: float
) -> None:
    """Write the order of work beside the swatch and, where there is no room left, below it."""
    x = frame.left_mm + _DRAWN_MM + GAP_MM
    width = frame.right_mm - x
    step = line_mm(_TEXT) * 0.86
    for told in told_in(swatch, words):
        if told.kind is Kind.ENDING:
            continue
        kind = SUBHEADING if told.kind is Kind.HEADING else _TEXT
        number = f"{told.number}. " if told.number else ""
        for line in told.lines:
            text = glued(number + line)
            parts = broken(text, kind.size_pt, width)
            if y + step * len(parts) > frame.bottom_mm:
                x, y, width = frame.left_mm, below + GAP_MM, _DRAWN_MM
                parts = broken(text, kind.size_pt, width)
            for part in parts:
                y += step
                canvas.label(label(part, x, y, kind), strong=told.kind is Kind.HEADING)
            number = ""
        y += 0.4
