"""The chart in the booklet: parts of the piece large enough to work from, and the piece at true size."""

from collections import Counter
from functools import cached_property, partial
from typing import Any

import numpy as np

from convert.drawing import style
from convert.drawing.labels import line_mm, plain, shortened, text_width_mm
from convert.drawing.marks import KeyBead, Point
from convert.drawing.numbering import (
    loop_numbers,
    row_gutter_mm,
    row_marks,
    scale_for_numbers,
    seam_marks,
    start_marks,
)
from convert.drawing.pdf_beads import PdfBeads
from convert.drawing.pdf_canvas import Page, PdfCanvas
from convert.drawing.pdf_frame import Frame
from convert.drawing.piece import Outline, Piece
from convert.drawing.scene import scale_for_symbols
from convert.drawing.style import Box
from convert.drawing.tiles import NO_CUTS, Tile, Tiling, tile
from convert.piece.pattern import Pattern
from convert.weave.model import FloatArray

_HEAD_MM = 12.5
_MAP_MOST_MM = (30.0, 19.0)
_GOES_ON_MM = 5.0
_STRIP_BEAD_MM = 3.2
_STRIP_LINE_MM = 4.6
_STRIP_GAP_MM = 3.4
_STRIP_MOST_LINES = 7
_STRIP_MORE = "others: see the list of beads"
_VEIL = 0.6
"""How far beads that belong to the next part are faded."""
_OVERLAP_LOOPS = 2
_LAY_ON = "Lay your work on it to see whether it comes out as large."
_CURVED = "The beads at true size, laid flat: in the finished piece they lie closer together."


class ChartPages:
    """The pages that show the piece.

    Parameters
    ----------
    canvas : PdfCanvas
        The file.
    beads : PdfBeads
        Draws the beads.
    frame : Frame
        Margins.
    pattern, piece : Pattern, Piece
        The piece and how it is drawn.
    """

    def __init__(
        self, canvas: PdfCanvas, beads: PdfBeads, frame: Frame, pattern: Pattern, piece: Piece
    ) -> None:
        self._canvas, self._beads, self._frame, self._piece = canvas, beads, frame, piece
        self._overlap_mm = _OVERLAP_LOOPS * pattern.weave.spacing.pitch_mm
        self._loop_row = pattern.weave.loop_row
        self._uses_of_code = Counter(colour.bead.code for colour in piece.colours)
        self._cuts = _between_rows(piece)
        self._map_form, self._has_map = canvas.new_form(), False

    @property
    def in_parts(self) -> bool:
        """Whether the chart takes several pages."""
        return max(len(self._to_work_from.tiles), len(self._at_true_size.tiles)) > 1

    @cached_property
    def _to_work_from(self) -> Tiling:
        most = scale_for_symbols(self._piece, style.MOST_SYMBOL_PT)
        least = max(
            scale_for_symbols(self._piece, style.LEAST_SYMBOL_PT),
            scale_for_numbers(self._piece, style.LEAST_PT),
        )
        least = min(least, most)
        strip = self._strip_lines(list(range(len(self._piece.colours)))) * _STRIP_LINE_MM
        bottom = self._frame.bar_mm - 4.0 - strip
        return self._tiling((least, most), row_gutter_mm(self._piece), bottom)

    @cached_property
    def _at_true_size(self) -> Tiling:
        return self._tiling((1.0, 1.0), (0.0, 0.0), self._frame.bar_mm - 3.5)

    def working(self, first_page: int) -> list[Page]:
        """Return the parts to work from.

        Parameters
        ----------
        first_page : int
            Number of the first of these pages in the booklet.
        """
        tiling, gutter = self._to_work_from, row_gutter_mm(self._piece)
        return [
            Page(
                partial(self._working_page, tiling, part, first_page, gutter),
                self._part_name("Working chart", tiling, number),
                int(number > 0),
            )
            for number, part in enumerate(tiling.tiles)
        ]

    def true_size(self, first_page: int) -> list[Page]:
        """Return the piece at true size, in parts where it does not fit on a page."""
        tiling = self._at_true_size
        return [
            Page(
                partial(self._true_page, tiling, part, first_page),
                self._part_name("True size", tiling, number),
                int(number > 0),
            )
            for number, part in enumerate(tiling.tiles)
        ]

    def _tiling(self, scales: tuple[float, float], gutter: Point, bottom: float) -> Tiling:
        """Return the parts; the head of the page is lower where there is a map in it."""
        frame = self._frame
        for head in (_HEAD_MM, _HEAD_MM + _MAP_MOST_MM[1] - 8.0):
            top = frame.top_mm + head
            area = frame.width_mm - 2 * gutter[0], bottom - top - 2 * gutter[1]
            one = tile(self._piece.extent_mm, area, self._overlap_mm, scales, self._cuts)
            if len(one.tiles) == 1:
                return one
        # Room beside the parts for the pages on which they go on.
        area = area[0] - 2 * _GOES_ON_MM, area[1] - 2 * _GOES_ON_MM
        return tile(self._piece.extent_mm, area, self._overlap_mm, scales, self._cuts)

    def _part_name(self, name: str, tiling: Tiling, number: int) -> str:
        return name if len(tiling.tiles) == 1 else f"{name}, part {number + 1} of {len(tiling.tiles)}"

    def _top_mm(self, tiling: Tiling) -> float:
        one = len(tiling.tiles) == 1
        return self._frame.top_mm + (_HEAD_MM if one else _HEAD_MM + _MAP_MOST_MM[1] - 8.0 + _GOES_ON_MM)

    def _working_page(self, tiling: Tiling, part: Tile, first_page: int, gutter: Point) -> None:
        facts = [*self._covers(part), f"{tiling.scale:.2g} times true size"]
        window, offset = self._place(tiling, part, gutter[1])
        self._head("Working chart", facts, tiling, part, first_page)
        colours = self._beads.draw(tiling.scale, offset, symbols=True, clip=window, pale=True)
        self._canvas.labels(loop_numbers(self._piece, tiling.scale, offset, window))
        self._canvas.strokes(seam_marks(self._piece, tiling.scale, offset, window))
        if _inside(self._piece.bead_xy[self._piece.start] * tiling.scale + offset, window):
            self._canvas.strokes(start_marks(self._piece, tiling.scale, offset))
        self._overlaps(tiling, part, window, offset, first_page, gutter)
        strokes, labels = row_marks(self._piece, tiling.scale, offset, window)
        self._canvas.strokes(strokes)
        self._canvas.labels(labels)
        self._strip(colours, window[3] + gutter[1] + (2.0 if len(tiling.tiles) == 1 else _GOES_ON_MM))
        self._frame.bar(self._canvas)

    def _true_page(self, tiling: Tiling, part: Tile, first_page: int) -> None:
        facts = [_LAY_ON if self._piece.flat else _CURVED]
        window, offset = self._place(tiling, part, 0.0)
        self._head("True size", facts, tiling, part, first_page)
        self._beads.draw(1.0, offset, symbols=False, clip=window)
        self._overlaps(tiling, part, window, offset, first_page, (0.0, 0.0))
        self._frame.bar(self._canvas)
        self._frame.upright_bar(self._canvas, self._top_mm(tiling))

    def _place(self, tiling: Tiling, part: Tile, gutter_mm: float) -> tuple[Box, Point]:
        """Return where the window of a part lies on the page, and where the piece's origin does."""
        width, height = tiling.window_mm
        left = (self._frame.left_mm + self._frame.right_mm - width) / 2
        top = self._top_mm(tiling) + gutter_mm
        offset = left - part.window[0] * tiling.scale, top - part.window[1] * tiling.scale
        return (left, top, left + width, top + height), offset

    def _covers(self, part: Tile) -> list[str]:
        """Return which rows and loops belong to a part."""
        inside = part.holds(self._piece.loop_xy)
        if self._piece.rows is None or not inside.any():
            return []
        told = []
        for word, numbers in (("row", self._loop_row + 1), ("loop", self._piece.loop_number)):
            low, high = int(numbers[inside].min()), int(numbers[inside].max())
            told.append(f"{word} {low}" if low == high else f"{word}s {low} to {high}")
        return told

    def _head(self, name: str, facts: list[str], tiling: Tiling, part: Tile, first_page: int) -> None:
        frame, many = self._frame, len(tiling.tiles) > 1
        number = part.row * tiling.columns + part.column
        y = frame.heading(self._canvas, self._part_name(name, tiling, number))
        room = frame.width_mm - (_MAP_MOST_MM[0] + style.BLOCK_MM if many else 0.0)
        words = shortened(" · ".join(facts), style.BODY.size_pt, room)
        self._canvas.text(words, frame.left_mm, y + 0.5 * line_mm(style.BODY), style.BODY_SOFT)
        if many:
            self._map(tiling, part, first_page)

    def _map(self, tiling: Tiling, part: Tile, first_page: int) -> None:
        """Draw the piece small, with the part of this page in a frame and the pages of all parts."""
        left, top, right, bottom = self._piece.extent_mm
        scale = min(_MAP_MOST_MM[0] / (right - left), _MAP_MOST_MM[1] / (bottom - top))
        x, y = self._frame.right_mm - (right - left) * scale, self._frame.top_mm
        offset = x - left * scale, y - top * scale
        self._store_map()
        with self._canvas.millimetres(scale, offset) as canvas:
            canvas.doForm(self._map_form)
        for number, one in enumerate(tiling.tiles):
            box = tuple(
                min(max(edge, low), high) * scale + shift
                for edge, low, high, shift in zip(
                    one.own, (left, top) * 2, (right, bottom) * 2, offset * 2, strict=True
                )
            )
            here = one == part
            self._canvas.box(
                (box[0], box[1], box[2], box[3]),
                fill=style.INK if here else None,
                line=style.SOFT,
                alpha=0.8,
            )
            page = str(first_page + number)
            size = min(style.SMALL.size_pt, 7.0)
            if text_width_mm(page, size) < box[2] - box[0] and line_mm(style.SMALL) < box[3] - box[1]:
                kind = style.SMALL._replace(colour=style.WHITE if here else style.INK)
                middle = (box[1] + box[3]) / 2 + 0.9
                self._canvas.text(page, (box[0] + box[2]) / 2, middle, kind, anchor="middle")

    def _store_map(self) -> None:
        """Store where the piece has loops, pale, as the ground of every map."""
        if self._has_map:
            return
        self._has_map = True
        canvas = self._canvas.raw
        left, top, right, bottom = self._piece.extent_mm
        bounds: Any = left, top, right, bottom  # the annotations say int
        half = self._overlap_mm / _OVERLAP_LOOPS * 0.6
        canvas.beginForm(self._map_form, *bounds)
        canvas.setFillGray(style.HAIR[0] / 255)
        path = canvas.beginPath()
        for x, y in self._piece.loop_xy.tolist():
            path.rect(x - half, y - half, 2 * half, 2 * half)
        canvas.drawPath(path, stroke=0, fill=1)
        canvas.endForm()

    def _overlaps(
        self,
        tiling: Tiling,
        part: Tile,
        window: Box,
        offset: Point,
        first_page: int,
        gutter: Point,
    ) -> None:
        """Fade what belongs to the parts beside this one, and say on which pages they are."""
        left, top, right, bottom = window
        own = [part.own[side] * tiling.scale + offset[side % 2] for side in range(4)]
        own = [min(max(edge, window[side % 2]), window[side % 2 + 2]) for side, edge in enumerate(own)]
        middle_x, middle_y = (left + right) / 2, (top + bottom) / 2
        here = first_page + part.row * tiling.columns + part.column
        if part.column > 0:
            self._fade((left, top, own[0], bottom), (own[0], top), (own[0], bottom))
            self._canvas.upright_text(f"page {here - 1}", left - gutter[0] - 1.5, middle_y, style.SMALL)
        if part.column < tiling.columns - 1:
            self._fade((own[2], top, right, bottom), (own[2], top), (own[2], bottom))
            self._canvas.upright_text(f"page {here + 1}", right + gutter[0] + 3.5, middle_y, style.SMALL)
        # Corners are faded once.
        if part.row > 0:
            self._fade((own[0], top, own[2], own[1]), (left, own[1]), (right, own[1]))
            self._goes_on(here - tiling.columns, middle_x, top - gutter[1] - 1.5)
        if part.row < tiling.rows - 1:
            self._fade((own[0], own[3], own[2], bottom), (left, own[3]), (right, own[3]))
            self._goes_on(here + tiling.columns, middle_x, bottom + gutter[1] + 3.4)

    def _goes_on(self, page: int, x: float, y: float) -> None:
        self._canvas.text(f"page {page}", x, y, style.SMALL, anchor="middle")

    def _fade(self, box: Box, start: Point, end: Point) -> None:
        self._canvas.box(box, fill=style.WHITE, alpha=_VEIL)
        self._canvas.dashed(start, end)

    def _strip_places(self, colours: list[int]) -> list[tuple[int, float, int]]:
        """Return colour, left end and line of each entry of the strip below the chart."""
        places, x, line = [], 0.0, 0
        for colour in colours:
            wide = _STRIP_BEAD_MM + 1.2 + text_width_mm(self._code(colour), style.SMALL.size_pt)
            if x > 0 and x + wide > self._frame.width_mm:
                x, line = 0.0, line + 1
            places.append((colour, x, line))
            x += wide + _STRIP_GAP_MM
        return places

    def _strip_lines(self, colours: list[int]) -> int:
        return min(self._strip_places(colours)[-1][2] + 1, _STRIP_MOST_LINES)

    def _code(self, colour: int) -> str:
        """Return the code of a colour, with its size where another has the same code."""
        look = self._piece.colours[colour]
        code = look.bead.code
        if self._uses_of_code[code] > 1:
            code += f" {self._piece.sizes[int(look.counts[0] == 0)].name}"
        return shortened(plain(code), style.SMALL.size_pt, 40.0)

    def _strip(self, colours: list[int], top: float) -> None:
        """Draw which symbol is which code, for the colours of this part."""
        places = self._strip_places(colours)
        shown = [place for place in places if place[2] < _STRIP_MOST_LINES]
        more = text_width_mm(_STRIP_MORE, style.SMALL.size_pt)
        while len(shown) < len(places) and shown[-1][1] + more > self._frame.width_mm:
            shown.pop()
        if len(shown) < len(places):
            _, left, line = shown.pop()
            y = top + (line + 0.5) * _STRIP_LINE_MM + 0.9
            self._canvas.text(_STRIP_MORE, self._frame.left_mm + left, y, style.SMALL)
        for colour, left, line in shown:
            size = self._piece.sizes[int(self._piece.colours[colour].counts[0] == 0)]
            outline = Outline(size, 90.0, size.length_mm)
            x, y = self._frame.left_mm + left, top + (line + 0.5) * _STRIP_LINE_MM
            scale = _STRIP_BEAD_MM / size.longer_mm
            self._beads.draw_single(KeyBead(outline, colour, x + _STRIP_BEAD_MM / 2, y, scale))
            self._canvas.text(self._code(colour), x + _STRIP_BEAD_MM + 1.2, y + 0.9, style.SMALL)


def _between_rows(piece: Piece) -> tuple[FloatArray, FloatArray]:
    """Return where a piece is best cut: below the beads that two rows share, so that a row stays whole."""
    if piece.rows is None or len(piece.rows.middle_mm) < 2:
        return NO_CUTS, NO_CUTS
    cuts = piece.rows.middle_mm[:-1] + 0.7 * np.diff(piece.rows.middle_mm)
    return (NO_CUTS, cuts) if piece.rows.axis == 0 else (cuts, NO_CUTS)


def _inside(xy: np.ndarray, window: Box) -> bool:
    return bool(window[0] < xy[0] < window[2] and window[1] < xy[1] < window[3])
