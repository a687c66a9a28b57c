"""A piece in several numbers of colours on one page, with the curve of its look against their number."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from convert.drawing import style
from convert.drawing.labels import label, line_mm, shortened, text_width_mm
from convert.drawing.marks import Stroke, line, ring
from convert.drawing.paragraphs import broken
from convert.drawing.piece import Piece, draw_piece
from convert.drawing.preview import draw_preview_part
from convert.drawing.sheet import DOTS_PER_INCH, Sheet, frame
from convert.piece.pattern import Pattern
from convert.units import Paper

_MARGIN_MM = 10.0
_PAD_MM = 2.0
_SHADOW_MM = 0.6
_LEAST_CELL_MM = 44.0
_PLOT_MM = 46.0
_DOT_MM = 0.9
_MARKED_MM = 0.7
_HEADING = style.Type(11.0, style.INK)


@dataclass(frozen=True, eq=False, slots=True)
class ColourCell:
    """One piece of the sheet.

    Parameters
    ----------
    heading : str
        How many colours.
    pattern : Pattern
        The piece.
    lines : tuple of str
        Its figures.
    point : tuple of float
        Colours and look, where the curve passes.
    marked : bool
        Whether it is to be chosen.
    """

    heading: str
    pattern: Pattern
    lines: tuple[str, ...]
    point: tuple[float, float]
    marked: bool


def lay_out_colours(
    title: str, words: Sequence[str], cells: Sequence[ColourCell], axes: tuple[str, str], paper: Paper
) -> Sheet:
    """Return the sheet.

    Parameters
    ----------
    title : str
        Title.
    words : sequence of str
        Paragraphs below it.
    cells : sequence of ColourCell
        The pieces, all of one size, fewest colours first.
    axes : tuple of str
        What the curve shows along and up.
    paper : Paper
        What it is printed on.
    """
    sheet = Sheet(title, paper.width_mm, paper.height_mm)
    inner = paper.width_mm - 2 * _MARGIN_MM
    y_mm = _MARGIN_MM + line_mm(style.TITLE) * 0.7
    sheet.labels.append(label(shortened(title, style.TITLE.size_pt, inner), _MARGIN_MM, y_mm, style.TITLE))
    y_mm += style.GAP_MM
    for words_in_line in (part for text in words for part in broken(text, style.FACTS.size_pt, inner)):
        y_mm += line_mm(style.FACTS)
        sheet.labels.append(label(words_in_line, _MARGIN_MM, y_mm, style.FACTS))
    top, bottom = y_mm + 3 * style.GAP_MM, paper.height_mm - _MARGIN_MM - _PLOT_MM
    pieces = [draw_piece(cell.pattern) for cell in cells]
    columns = _columns(pieces[0], cells, inner, bottom - top)
    wide = inner / columns
    rows = math.ceil(len(cells) / columns)
    words_mm = _words_mm(cells)
    high = (bottom - top - style.BLOCK_MM) / rows
    sheet.scale = _scale(pieces[0], wide, high - words_mm)
    high = _span(pieces[0])[1] * sheet.scale + words_mm + 2 * _PAD_MM
    for number, (cell, piece) in enumerate(zip(cells, pieces, strict=True)):
        row, column = divmod(number, columns)
        _cell(sheet, cell, piece, (_MARGIN_MM + column * wide, top + row * high), (wide, high))
    _plot(sheet, cells, axes, top + rows * high + style.BLOCK_MM)
    return sheet


def _span(piece: Piece) -> tuple[float, float]:
    left, top, right, bottom = piece.extent_mm
    return right - left, bottom - top


def _scale(piece: Piece, wide_mm: float, high_mm: float) -> float:
    """Return the scale at which a piece fits, at most true size."""
    width, height = _span(piece)
    return max(1e-3, min(1.0, (wide_mm - 2 * _PAD_MM) / width, (high_mm - 2 * _PAD_MM) / height))


def _columns(piece: Piece, cells: Sequence[ColourCell], wide_mm: float, high_mm: float) -> int:
    """Return how many pieces stand beside each other so that they are drawn largest."""

    def scale(columns: int) -> float:
        rows = math.ceil(len(cells) / columns)
        return _scale(piece, wide_mm / columns, (high_mm - style.BLOCK_MM) / rows - _words_mm(cells))

    most = max(1, min(len(cells), int(wide_mm // _LEAST_CELL_MM)))
    return max(range(1, most + 1), key=scale)


def _words_mm(cells: Sequence[ColourCell]) -> float:
    lines = max(len(cell.lines) for cell in cells)
    return line_mm(_HEADING) + (lines + 0.5) * line_mm(style.BODY_SOFT)


def _cell(
    sheet: Sheet,
    cell: ColourCell,
    piece: Piece,
    corner: tuple[float, float],
    size: tuple[float, float],
) -> None:
    (left, top), (wide, high) = corner, size
    around = _SHADOW_MM / sheet.scale
    x0, y0, x1, y1 = piece.extent_mm
    box = x0 - around, y0 - around, x1 + around, y1 + around
    image = draw_preview_part(piece, box, DOTS_PER_INCH * sheet.scale)
    width, height = (span * sheet.scale for span in _span(piece))
    sheet.images.append((left + (wide - width) / 2 - _SHADOW_MM, top + _PAD_MM - _SHADOW_MM, image))
    y_mm = top + _PAD_MM + height
    for text, kind in ((cell.heading, _HEADING), *((text, style.BODY_SOFT) for text in cell.lines)):
        y_mm += line_mm(kind)
        fitting = shortened(text, kind.size_pt, wide - 2 * _PAD_MM)
        sheet.labels.append(label(fitting, left + _PAD_MM, y_mm, kind))
    line_width, colour = (_MARKED_MM, style.INK) if cell.marked else (style.FINE_MM, style.HAIR)
    sheet.strokes += frame((left, top, left + wide, top + high), line_width, colour)


def _plot(sheet: Sheet, cells: Sequence[ColourCell], axes: tuple[str, str], top: float) -> None:
    """Draw the look of the pieces above their number of colours."""
    along, up = axes
    sheet.labels.append(label(up, _MARGIN_MM, top, style.BODY))
    left, right = _MARGIN_MM + 8.0, sheet.width_mm - _MARGIN_MM - 3.0
    ceiling, floor = top + 2 * style.GAP_MM, sheet.height_mm - _MARGIN_MM - 2 * line_mm(style.BODY_SOFT)
    most_x = max(cell.point[0] for cell in cells)
    most_y = max(1e-9, max(cell.point[1] for cell in cells)) * 1.1
    places = [
        (left + (right - left) * x / most_x, floor - (floor - ceiling) * y / most_y)
        for x, y in (cell.point for cell in cells)
    ]
    sheet.strokes += [
        line((left, floor), (right, floor), style.FINE_MM, style.LINE, "legend"),
        line((left, floor), (left, ceiling), style.FINE_MM, style.LINE, "legend"),
    ]
    for height in _ticks(most_y):
        y_mm = floor - (floor - ceiling) * height / most_y
        sheet.strokes.append(line((left - 1, y_mm), (left, y_mm), style.FINE_MM, style.LINE, "legend"))
        sheet.labels.append(label(f"{height:g}", left - 1.5, y_mm + 1, style.SMALL, anchor="end"))
    if len(set(places)) > 1:
        sheet.strokes.append(Stroke(tuple(dict.fromkeys(places)), style.STRONG_MM, style.SOFT, "legend"))
    end = -math.inf
    for cell, (x_mm, y_mm) in zip(cells, places, strict=True):
        sheet.strokes.append(_dot(x_mm, y_mm))
        if cell.marked:
            sheet.strokes.append(ring((x_mm, y_mm), 2.2 * _DOT_MM, style.STRONG_MM, style.INK, "legend"))
        # Where points lie closely only some are named.
        name = f"{cell.point[0]:g}"
        half = text_width_mm(name, style.BODY_SOFT.size_pt) / 2
        if x_mm - half > end:
            below = floor + line_mm(style.BODY_SOFT)
            sheet.labels.append(label(name, x_mm, below, style.BODY_SOFT, anchor="middle"))
            end = x_mm + half + 1
    last = floor + 2 * line_mm(style.BODY_SOFT)
    sheet.labels.append(label(along, right, last, style.BODY_SOFT, anchor="end"))


def _dot(x_mm: float, y_mm: float) -> Stroke:
    corners = 16
    angles = (2 * math.pi * corner / corners for corner in range(corners))
    points = tuple((x_mm + _DOT_MM * math.cos(angle), y_mm + _DOT_MM * math.sin(angle)) for angle in angles)
    return Stroke(points, 0.0, style.INK, "legend")


def _ticks(most: float) -> list[float]:
    """Return three to six round numbers up to the most."""
    power = 10.0 ** math.floor(math.log10(most))
    step = next(part * power for part in (0.2, 0.5, 1.0, 2.0) if most / (part * power) <= 6)
    return [round(step * number, 10) for number in range(int(most / step) + 1)]
