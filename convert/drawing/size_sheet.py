"""Pieces in several bead sizes on one sheet, all at one scale, to choose from by eye."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from convert.drawing import style
from convert.drawing.labels import label, line_mm, shortened
from convert.drawing.paragraphs import broken
from convert.drawing.piece import Piece, draw_piece
from convert.drawing.preview import draw_preview_part
from convert.drawing.sheet import DOTS, DOTS_PER_INCH, Sheet, frame
from convert.drawing.style import Box
from convert.errors import SizeError
from convert.piece.pattern import Pattern

WIDTH_MM = 420.0
"""Width of the sheet, as of A3 on its side."""
_INNER_MM = WIDTH_MM - 2 * style.MARGIN_MM
_LEAST_CELL_MM = 62.0
_MOST_HIGH_MM = 1_000.0
_MOST_IN_LINE = 5
_CLOSE_MM = 50.0
_PAD_MM = 3.0
_SHADOW_MM = 1.0
_MARKED_MM = 0.7


@dataclass(frozen=True, eq=False, slots=True)
class SizeCell:
    """One piece of the sheet.

    Parameters
    ----------
    heading : str
        Its bead sizes.
    pattern : Pattern
        The piece.
    lines : tuple of str
        Its figures.
    mark : str
        Why it is to be chosen; empty where it is not.
    close_up : tuple of float or None
        Left, top, right and bottom in mm of the piece of the part to draw large.
    """

    heading: str
    pattern: Pattern
    lines: tuple[str, ...]
    mark: str = ""
    close_up: Box | None = None


def lay_out_sizes(
    title: str,
    advice: tuple[str, ...],
    readings: list[tuple[str, list[SizeCell]]],
    detail: NDArray[np.uint8] | None = None,
) -> Sheet:
    """Return the sheet.

    Parameters
    ----------
    title : str
        Title.
    advice : tuple of str
        Paragraphs below it.
    readings : list of (str, list of SizeCell)
        Headings, and the pieces below each.
    detail : ndarray of shape (H, W, 3), uint8, optional
        The part of the picture that is judged, to draw large at the top.

    Raises
    ------
    SizeError
        There is nothing to show.
    """
    rows = [
        (heading if not start else "", cells[start : start + _MOST_IN_LINE])
        for heading, cells in readings
        for start in range(0, len(cells), _MOST_IN_LINE)
    ]
    if not rows:
        raise SizeError("there are no bead sizes to show")
    pieces = {id(cell): draw_piece(cell.pattern) for _, cells in rows for cell in cells}
    scale = _common_scale([[pieces[id(cell)] for cell in cells] for _, cells in rows])
    sheet = Sheet(title, WIDTH_MM, scale=scale)
    true = "at true size" if scale == 1 else f"at {scale:.{0 if scale >= 0.1 else 1}%} of true size"
    y_mm = _head(sheet, (*advice, f"All pieces {true} where this sheet is {WIDTH_MM:.0f} mm wide."), detail)
    for heading, cells in rows:
        if heading:
            y_mm += line_mm(style.TITLE)
            sheet.labels.append(label(heading, style.MARGIN_MM, y_mm, style.Type(12.0, style.INK)))
        y_mm = _row(sheet, cells, [pieces[id(cell)] for cell in cells], y_mm + style.GAP_MM * 2)
    sheet.height_mm = y_mm + style.MARGIN_MM
    return sheet


def _span_mm(piece: Piece) -> tuple[float, float]:
    left, top, right, bottom = piece.extent_mm
    return right - left, bottom - top


def _cell_mm(piece: Piece, scale: float) -> float:
    return max(_LEAST_CELL_MM, _span_mm(piece)[0] * scale) + 2 * _PAD_MM


def _common_scale(rows: list[list[Piece]]) -> float:
    """Return the largest scale, at most true size, at which every row of pieces fits the sheet."""

    def fits(scale: float) -> bool:
        return all(sum(_cell_mm(piece, scale) for piece in row) <= _INNER_MM for row in rows)

    low, high = 0.0, min(1.0, _MOST_HIGH_MM / max(_span_mm(piece)[1] for row in rows for piece in row))
    if fits(high):
        return high
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def _head(sheet: Sheet, advice: tuple[str, ...], detail: NDArray[np.uint8] | None) -> float:
    """Lay out title, advice and the part that is judged; return where they end."""
    x_mm, y_mm = style.MARGIN_MM, style.MARGIN_MM + line_mm(style.TITLE) * 0.7
    wide = _INNER_MM - (0 if detail is None else _CLOSE_MM + style.BLOCK_MM)
    sheet.labels.append(label(shortened(sheet.title, style.TITLE.size_pt, wide), x_mm, y_mm, style.TITLE))
    kind = style.Type(11.0, style.INK)
    for number, paragraph in enumerate(advice):
        for words in broken(paragraph, kind.size_pt, wide):
            y_mm += line_mm(kind)
            sheet.labels.append(label(words, x_mm, y_mm, kind))
        kind = style.FACTS
        y_mm += 0.0 if number else style.GAP_MM
    if detail is None:
        return y_mm
    image = _fitted(detail)
    left = WIDTH_MM - style.MARGIN_MM - image.shape[1] / DOTS
    sheet.images.append((left, style.MARGIN_MM, image))
    below = style.MARGIN_MM + image.shape[0] / DOTS + line_mm(style.BODY_SOFT)
    sheet.labels.append(label("the detail in the picture", left, below, style.BODY_SOFT))
    return float(max(y_mm, below))


def _fitted(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return a part of the picture as large as a close-up."""
    height, width = pixels.shape[:2]
    factor = _CLOSE_MM * DOTS / max(height, width)
    size = max(1, round(width * factor)), max(1, round(height * factor))
    return np.asarray(Image.fromarray(pixels).resize(size, Image.Resampling.BICUBIC))


def _row(sheet: Sheet, cells: list[SizeCell], pieces: list[Piece], top_mm: float) -> float:
    """Lay out pieces beside each other; return where they end."""
    high = max(_span_mm(piece)[1] for piece in pieces) * sheet.scale
    words_mm = top_mm + _PAD_MM + high + line_mm(style.FACTS)
    left = style.MARGIN_MM
    ends, frames = [], []
    for cell, piece in zip(cells, pieces, strict=True):
        wide = _cell_mm(piece, sheet.scale)
        # All stand on one line, as for a photograph; shadows fall into the pad about them.
        down = high - _span_mm(piece)[1] * sheet.scale
        shadow = _SHADOW_MM / sheet.scale
        low_x, low_y, high_x, high_y = piece.extent_mm
        box = low_x - shadow, low_y - shadow, high_x + shadow, high_y + shadow
        image = draw_preview_part(piece, box, DOTS_PER_INCH * sheet.scale)
        sheet.images.append((left + _PAD_MM - _SHADOW_MM, top_mm + _PAD_MM - _SHADOW_MM + down, image))
        y_mm = words_mm
        for words, kind in _words(cell, wide - 2 * _PAD_MM):
            y_mm += line_mm(kind)
            sheet.labels.append(label(words, left + _PAD_MM, y_mm, kind))
        if cell.close_up is not None:
            close = _close_up(piece, cell.close_up)
            sheet.images.append((left + _PAD_MM, y_mm + 2 * style.GAP_MM, close))
            y_mm += 2 * style.GAP_MM + close.shape[0] / DOTS
        ends.append(y_mm)
        frames.append((left, wide, bool(cell.mark)))
        left += wide
    bottom = max(ends) + _PAD_MM
    for x_mm, wide, marked in frames:
        width = _MARKED_MM if marked else style.FINE_MM
        colour = style.INK if marked else style.HAIR
        sheet.strokes += frame((x_mm, top_mm, x_mm + wide, bottom), width, colour)
    return bottom


def _words(cell: SizeCell, wide_mm: float) -> Iterator[tuple[str, style.Type]]:
    heading = style.Type(11.0, style.INK)
    yield shortened(cell.heading, heading.size_pt, wide_mm), heading
    for text, kind in [(cell.mark, style.BODY), *((line, style.BODY_SOFT) for line in cell.lines)]:
        if text:
            for words in broken(text, kind.size_pt, wide_mm):
                yield words, kind


def _close_up(piece: Piece, box_mm: Box) -> NDArray[np.uint8]:
    """Return a part of a piece drawn large; of one smaller than beads so much about it that some are seen."""
    least = 2 * max(outline.size.longer_mm for outline in piece.outlines)
    grown = [max(0.0, least - (box_mm[axis + 2] - box_mm[axis])) / 2 for axis in (0, 1)]
    left, top = box_mm[0] - grown[0], box_mm[1] - grown[1]
    right, bottom = box_mm[2] + grown[0], box_mm[3] + grown[1]
    dots_per_inch = DOTS_PER_INCH * _CLOSE_MM / max(right - left, bottom - top)
    return draw_preview_part(piece, (left, top, right, bottom), dots_per_inch)
