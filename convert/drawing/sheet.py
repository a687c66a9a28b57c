"""A sheet to look at and to print: pictures, lines and words, as PNG and as PDF."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from convert.drawing import style
from convert.drawing.canvas import Canvas
from convert.drawing.labels import Label
from convert.drawing.marks import Stroke
from convert.drawing.pdf_canvas import PdfCanvas
from convert.drawing.png import draw_marks
from convert.drawing.png_file import encode_png
from convert.drawing.style import Box
from convert.drawing.told import PROGRAM
from convert.units import MM_PER_INCH, MM_PER_POINT, Paper

DOTS_PER_INCH = 200
DOTS = DOTS_PER_INCH / MM_PER_INCH
"""Pixels in a millimetre."""


@dataclass(eq=False, slots=True)
class Sheet:
    """What stands on the sheet, in mm.

    Parameters
    ----------
    title : str
        Title of the sheet.
    width_mm, height_mm : float
        Its size.
    images : list of tuple
        Left and top in mm, and pixels (H, W, 3) at `DOTS_PER_INCH`.
    strokes, labels : list
        Lines and words.
    scale : float
        Millimetres on the sheet for a millimetre of a piece.
    """

    title: str
    width_mm: float
    height_mm: float = 0.0
    images: list[tuple[float, float, NDArray[np.uint8]]] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    scale: float = 1.0


def frame(box_mm: Box, width_mm: float, colour: style.RGB) -> Iterator[Stroke]:
    """Yield the four sides of a frame, each a bar: a line round it would be drawn over all it encloses."""
    left, top, right, bottom = box_mm
    bars = (
        (left, top, right, top + width_mm),
        (left, bottom - width_mm, right, bottom),
        (left, top + width_mm, left + width_mm, bottom - width_mm),
        (right - width_mm, top + width_mm, right, bottom - width_mm),
    )
    for x0, y0, x1, y1 in bars:
        yield Stroke(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), 0.0, colour, "legend")


def sheet_png(sheet: Sheet) -> bytes:
    """Return the sheet as a PNG file."""
    canvas = Canvas(math.ceil(sheet.height_mm * DOTS), round(sheet.width_mm * DOTS))
    for x_mm, y_mm, pixels in sheet.images:
        top, left = round(y_mm * DOTS), round(x_mm * DOTS)
        canvas.pixels[top : top + pixels.shape[0], left : left + pixels.shape[1], :3] = pixels
    draw_marks(canvas, sheet.strokes, sheet.labels, DOTS)
    return encode_png(canvas.pixels, DOTS_PER_INCH, {"Software": PROGRAM})


def sheet_pdf(sheet: Sheet, subject: str) -> bytes:
    """Return the sheet as a PDF file of one page, its words as text."""
    from reportlab.lib.utils import ImageReader

    page = PdfCanvas(Paper("sheet", sheet.width_mm, sheet.height_mm), sheet.title, subject)
    for x_mm, y_mm, pixels in sheet.images:
        height, width = (span / DOTS for span in pixels.shape[:2])
        page.raw.drawImage(
            ImageReader(Image.fromarray(pixels)),
            *page.point(x_mm, y_mm + height),
            width / MM_PER_POINT,
            height / MM_PER_POINT,
        )
    page.strokes(sheet.strokes)
    page.labels(sheet.labels)
    page.end_page()
    return page.finish()
