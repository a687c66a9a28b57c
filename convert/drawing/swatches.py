"""A sheet with all colours of a palette as beads, to hold beside the real ones or to choose from."""

import math

import numpy as np
from numpy.typing import NDArray

from convert.colour.srgb import parse_hex
from convert.drawing import style
from convert.drawing.canvas import Canvas, text_cover
from convert.drawing.labels import Label, font, label, line_mm, shortened
from convert.drawing.piece import Outline
from convert.drawing.png_file import encode_png
from convert.drawing.raster import coverage
from convert.errors import SizeError
from convert.palette.model import BeadColour, Palette, size_in_words
from convert.units import MM_PER_INCH, MM_PER_POINT
from convert.weave.beads import BeadSize, bead_size

DOTS_PER_INCH = 200
COLUMNS = 7
CELL_MM = (24.0, 19.0)
# All sizes are drawn to this height, so that colours are compared and not sizes.
BEAD_MM = 8.0
_ANY_SIZE = "11/0"
_DOTS = DOTS_PER_INCH / MM_PER_INCH
_PILLOW_ANCHORS = {"start": "ls", "middle": "ms"}

Sizes = tuple[str | None, ...]


def draw_swatches(palette: Palette) -> bytes:
    """Return a PNG file with a bead of each colour of a palette, its code and its name.

    Parameters
    ----------
    palette : Palette
        The colours, shown in the palette's order. A colour that comes in several sizes is shown once, with
        the others that come in the same sizes.
    """
    labels = [label(palette.name, style.MARGIN_MM, style.MARGIN_MM + line_mm(style.TITLE) / 2, style.TITLE)]
    beads: list[tuple[float, float, BeadColour]] = []
    y_mm = style.MARGIN_MM + line_mm(style.TITLE)
    for sizes, entries in _by_sizes(palette).items():
        count = f"{len(entries)} colour{'s' * (len(entries) != 1)}"
        heading = f"{', '.join(size_in_words(size) for size in sizes)}: {count}"
        y_mm += line_mm(style.FACTS)
        labels.append(label(heading[0].upper() + heading[1:], style.MARGIN_MM, y_mm, style.FACTS))
        y_mm += style.GAP_MM
        for place, entry in enumerate(entries):
            row, column = divmod(place, COLUMNS)
            centre = style.MARGIN_MM + (column + 0.5) * CELL_MM[0]
            top = y_mm + row * CELL_MM[1]
            beads.append((centre, top + BEAD_MM / 2 + style.GAP_MM, entry))
            labels += _words(entry, centre, top + BEAD_MM + style.GAP_MM)
        y_mm += math.ceil(len(entries) / COLUMNS) * CELL_MM[1]

    width_mm = COLUMNS * CELL_MM[0] + 2 * style.MARGIN_MM
    canvas = Canvas(round((y_mm + style.MARGIN_MM) * _DOTS), round(width_mm * _DOTS))
    shapes = {size: _shape(size) for size in {entry.size for _, _, entry in beads}}
    for x, y, entry in beads:
        middle, (rim, inner) = shapes[entry.size]
        colour = parse_hex(entry.hex)
        top_px, left_px = round(y * _DOTS) - middle, round(x * _DOTS) - middle
        canvas.paint(top_px, left_px, rim, style.rim_colour(colour))
        canvas.paint(top_px, left_px, inner, colour)
    for words in labels:
        face = font(words.size_pt * MM_PER_POINT * _DOTS)
        cover, down, right = text_cover(words.text, face, _PILLOW_ANCHORS[words.anchor])
        canvas.paint(round(words.y_mm * _DOTS) + down, round(words.x_mm * _DOTS) + right, cover, words.colour)
    return encode_png(canvas.pixels, DOTS_PER_INCH)


def _by_sizes(palette: Palette) -> dict[Sizes, list[BeadColour]]:
    """Return the colours that come in the same sizes, each by its first entry."""
    alike: dict[int, list[BeadColour]] = {}
    for number, entry in zip(palette.colour_numbers().tolist(), palette.entries, strict=True):
        alike.setdefault(number, []).append(entry)
    groups: dict[Sizes, list[BeadColour]] = {}
    for entries in alike.values():
        groups.setdefault(tuple(entry.size for entry in entries), []).append(entries[0])
    return groups


def _words(entry: BeadColour, x_mm: float, y_mm: float) -> list[Label]:
    lines = [(entry.code, style.BODY), (entry.name, style.SMALL)]
    words = []
    for text, kind in lines:
        y_mm += line_mm(kind)
        fitting = shortened(text, kind.size_pt, CELL_MM[0] - style.GAP_MM)
        if fitting:
            words.append(label(fitting, x_mm, y_mm, kind, anchor="middle"))
    return words


def _shape(size: str | None) -> tuple[int, list[NDArray[np.float32]]]:
    """Return the middle of a square with a bead in it, and how far rim and bead cover its pixels."""
    outline = Outline(_size_called(size), 0.0, 0.0)
    scale = BEAD_MM / outline.size.diameter_mm * _DOTS
    short = outline.size.shorter_mm
    polygons = [outline.polygon() * scale, outline.polygon(style.RIM_SHARE * short) * scale]
    middle = math.ceil(float(np.abs(polygons[0]).max())) + 1
    side = 2 * middle + 1
    return middle, [coverage([polygon + middle], (side, side)) for polygon in polygons]


def _size_called(name: str | None) -> BeadSize:
    try:
        return bead_size(name or _ANY_SIZE)
    except SizeError:
        return bead_size(_ANY_SIZE)  # a palette may name sizes this program cannot weave
