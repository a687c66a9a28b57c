"""The sheet of a shelf: the photograph, each heap outlined, code and swatch beside it, to check by eye."""

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from convert.colour.srgb import encode_to_bytes, parse_hex
from convert.drawing import style
from convert.drawing.canvas import Canvas
from convert.drawing.contrast import ink_on
from convert.drawing.labels import Label, label, label_centred, line_mm, shortened, text_width_mm
from convert.drawing.marks import Point, Stroke
from convert.drawing.paragraphs import broken
from convert.drawing.png import draw_marks
from convert.drawing.png_file import encode_png
from convert.drawing.style import RGB, Box, Type
from convert.palette.model import size_in_words
from convert.shelf.shelf import Shelf
from convert.units import MM_PER_INCH

DOTS_PER_INCH = 160
WIDTH_MM = 280.0
_DOTS = DOTS_PER_INCH / MM_PER_INCH
_INNER_MM = WIDTH_MM - 2 * style.MARGIN_MM
_MOST_HIGH_MM = 320.0
_OUTLINE_MM = 0.45
_HALO_MM = 1.1
_TAG_HEIGHT = 0.5
"""Height of a swatch in the photograph, as a share of the radius of its heap."""
_TAG_MM = (2.6, 6.0)
_FRAME_MM = 0.3
_MOST_COLUMNS = 8
_CELL_HIGH_MM = 13.5
_SWATCH_MM = (9.0, 9.0)
_LAYER = "legend"


def draw_shelf(shelf: Shelf) -> bytes:
    """Return the sheet of a shelf as a PNG file.

    Parameters
    ----------
    shelf : Shelf
        The shelf. Its photograph is shown without the cast of the light, so that heaps and swatches can be
        compared.
    """
    strokes: list[Stroke] = []
    labels: list[Label] = []
    top = _head(shelf, labels)
    photograph, scale = _photograph(shelf)
    left = (WIDTH_MM - photograph.shape[1] / _DOTS) / 2
    for number in range(len(shelf.entries)):
        _mark_heap(shelf, number, scale, (left, top), strokes, labels)
    y_mm = top + photograph.shape[0] / _DOTS + style.BLOCK_MM
    y_mm = _list(shelf, y_mm, strokes, labels)
    for note in shelf.notes:
        for words in broken(note, style.FACTS.size_pt, _INNER_MM):
            y_mm += line_mm(style.FACTS)
            labels.append(label(words, style.MARGIN_MM, y_mm, style.FACTS))
        y_mm += style.GAP_MM / 2
    canvas = Canvas(math.ceil((y_mm + style.MARGIN_MM) * _DOTS), round(WIDTH_MM * _DOTS))
    row, column = round(top * _DOTS), round(left * _DOTS)
    canvas.pixels[row : row + photograph.shape[0], column : column + photograph.shape[1], :3] = photograph
    draw_marks(canvas, strokes, labels, _DOTS)
    return encode_png(canvas.pixels, DOTS_PER_INCH)


def _head(shelf: Shelf, labels: list[Label]) -> float:
    """Lay out the title; return where what follows it begins."""
    y_mm = style.MARGIN_MM + line_mm(style.TITLE) * 0.7
    title = shortened(f"{shelf.name}: shelf", style.TITLE.size_pt, _INNER_MM)
    labels.append(label(title, style.MARGIN_MM, y_mm, style.TITLE))
    count = len(shelf.entries)
    facts = f"{count} colour{'s' * (count != 1)} in {len(shelf.rows)} row{'s' * (len(shelf.rows) != 1)}"
    facts += f", {size_in_words(shelf.entries[0].size)}; the cast of the light is taken out of the photograph"
    y_mm += line_mm(style.FACTS) * 1.1
    labels.append(label(facts, style.MARGIN_MM, y_mm, style.FACTS))
    return y_mm + style.BLOCK_MM / 2


def _photograph(shelf: Shelf) -> tuple[NDArray[np.uint8], float]:
    """Return the photograph at the sheet's resolution, and mm on the sheet for one of its pixels."""
    height, width = shelf.light.shape[:2]
    scale = min(_INNER_MM / width, _MOST_HIGH_MM / height)
    size = max(1, round(width * scale * _DOTS)), max(1, round(height * scale * _DOTS))
    return np.asarray(
        Image.fromarray(encode_to_bytes(shelf.light)).resize(size, Image.Resampling.LANCZOS)
    ), scale


def _mark_heap(
    shelf: Shelf, number: int, scale: float, origin: Point, strokes: list[Stroke], labels: list[Label]
) -> None:
    """Outline a heap, and lay its swatch with its code over its lower right edge."""
    entry = shelf.entries[number]
    outline = shelf.outlines[number] * scale + origin
    points = tuple((float(x), float(y)) for x, y in outline)
    strokes.append(Stroke(points, _HALO_MM, style.WHITE, _LAYER, closed=True))
    strokes.append(Stroke(points, _OUTLINE_MM, style.INK, _LAYER, closed=True))
    low, high = outline.min(axis=0), outline.max(axis=0)
    radius = float(min(high - low)) / 2
    tall = min(max(_TAG_HEIGHT * radius, _TAG_MM[0]), _TAG_MM[1])
    colour = parse_hex(entry.hex)
    kind = Type(tall * 0.58 / 0.3528, ink_on(colour))
    wide = text_width_mm(entry.code, kind.size_pt) + 0.7 * tall
    x, y = float(high[0]) - 0.15 * radius, float(high[1]) - 0.15 * radius
    strokes += _plate((x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2), colour)
    labels.append(label_centred(entry.code, x, y, kind, anchor="middle"))


def _list(shelf: Shelf, top_mm: float, strokes: list[Stroke], labels: list[Label]) -> float:
    """Lay out the list of colours, each row of heaps on lines of its own; return where it ends."""
    columns = min(_MOST_COLUMNS, max(4, *shelf.rows))
    cell = _INNER_MM / columns
    y_mm, first = top_mm, 0
    for count in shelf.rows:
        for place in range(count):
            column = place % columns
            if place and column == 0:
                y_mm += _CELL_HIGH_MM
            _cell(shelf, first + place, (style.MARGIN_MM + column * cell, y_mm), cell, strokes, labels)
        y_mm += _CELL_HIGH_MM
        first += count
    return y_mm


def _cell(
    shelf: Shelf, number: int, at: Point, wide: float, strokes: list[Stroke], labels: list[Label]
) -> None:
    entry = shelf.entries[number]
    (x, y), (across, down) = at, _SWATCH_MM
    strokes += _plate((x, y, x + across, y + down), parse_hex(entry.hex))
    x += across + style.GAP_MM
    room = wide - across - 2 * style.GAP_MM
    lines = (
        (entry.code, style.BODY),
        (entry.name, style.SMALL),
        (f"±{shelf.spreads[number]:.1f}", style.SMALL),
    )
    for words, kind in lines:
        y += line_mm(kind) * 0.85
        labels.append(label(shortened(words, kind.size_pt, room), x, y, kind))


def _plate(box: Box, colour: RGB) -> Iterator[Stroke]:
    """Yield a swatch with a white rim and a thin line about it, so that it stands out of any photograph."""
    for grown, tone in ((2 * _FRAME_MM, style.LINE), (1.6 * _FRAME_MM, style.WHITE), (0.0, colour)):
        left, top, right, bottom = box[0] - grown, box[1] - grown, box[2] + grown, box[3] + grown
        yield Stroke(((left, top), (right, top), (right, bottom), (left, bottom)), 0.0, tone, _LAYER)
