"""The chart as a page in millimetres: the piece, its numbers, the way of the work, the key and the scale.

A scene is drawn once and replayed by every writer, so that what is added here appears in all of them.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from convert.chart import style
from convert.chart.key import Key
from convert.chart.labels import (
    CAPITAL,
    Label,
    label,
    label_centred,
    line_mm,
    plain,
    shortened,
    text_width_mm,
)
from convert.chart.marks import ARROW_MM, KeyBead, Point, Stroke, arrow, ring, scale_bar
from convert.chart.piece import Piece, Rows, draw_piece
from convert.materials import finished_size
from convert.pattern import Pattern
from convert.units import MM_PER_INCH, MM_PER_POINT
from convert.weave.model import FloatArray

LAYERS = {
    "beads": "Beads",
    "symbols": "Symbols of the colours",
    "numbers": "Loop numbers: place in the row",
    "thread": "Thread, and where to start",
    "rim": "Rim: row numbers and the way each row is woven",
    "legend": "Legend",
}
NUMBER_ALL_LOOPS = 160
NUMBER_EVERY = 5
_BAR_MOST_MM = 50.0
_BAR_LENGTHS_MM = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
_ROW_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
_START = "start"
_RING_MM = 3.4
_GUIDE_LINE_MM = 5.6
_GUIDE_GAP_MM = 9.0


@dataclass(frozen=True, eq=False, slots=True)
class Scene:
    """A page with the piece on it, in mm, y down.

    Parameters
    ----------
    title : str
        Name of the piece.
    facts : str
        Finished size with its range.
    width_mm, height_mm : float
        The page.
    piece : Piece
        Beads at true size.
    scale, offset_mm : float, tuple of float
        A point p of the piece lies at ``offset_mm + scale * p`` on the page.
    symbols : bool
        Whether beads are large enough to show their symbols.
    key_beads, strokes, labels : tuple
        Everything else, drawn over the beads in this order.
    """

    title: str
    facts: str
    width_mm: float
    height_mm: float
    piece: Piece
    scale: float
    offset_mm: Point
    symbols: bool
    key_beads: tuple[KeyBead, ...]
    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]


def chart_scene(pattern: Pattern, most_pixels: float | None = style.MOST_PIXELS) -> Scene:
    """Return the chart of a pattern.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    most_pixels : float or None
        How large the page may grow, in pixels at `convert.chart.style.DOTS_PER_INCH`. Where this leaves beads
        too small for symbols, they go without. None: the page grows until symbols are legible.
    """
    layout = _Layout(pattern, draw_piece(pattern))
    return layout.scene(layout.best_scale(most_pixels))


def scale_for_symbols(piece: Piece, size_pt: float) -> float:
    """Return the scale at which symbols have a size of type in points."""
    return size_pt * style.SYMBOL_EM * MM_PER_POINT / (style.SYMBOL_SHARE * piece.narrowest_mm)


@dataclass(frozen=True, slots=True)
class _GuideEntry:
    mark: str
    mark_mm: float
    words: str

    @property
    def words_mm(self) -> float:
        """Where the words begin, from the left of the mark."""
        return self.mark_mm + 1.8 if self.mark else 0.0


class _Layout:
    """Lays out one piece at any scale."""

    def __init__(self, pattern: Pattern, piece: Piece) -> None:
        left, top, right, bottom = piece.extent_mm
        self.piece = piece
        self.span_mm = right - left, bottom - top
        self.key = Key(piece)
        self.title = plain(pattern.title)
        self.facts = str(finished_size(pattern))
        self.counts = _counts(pattern, piece)
        self.gutter_mm = _row_gutter_mm(piece)
        self.legible = scale_for_symbols(piece, style.LEAST_SYMBOL_PT)

    def best_scale(self, most_pixels: float | None) -> float:
        """Return the largest scale that is comfortable, else the one just legible, else what fits."""
        largest = scale_for_symbols(self.piece, style.MOST_SYMBOL_PT)
        comfortable = self._scale_within(style.COMFORTABLE_PIXELS, largest)
        if comfortable >= self.legible or most_pixels is None:
            return max(self.legible, comfortable)
        return min(self.legible, self._scale_within(most_pixels, largest))

    def _scale_within(self, pixels: float, largest: float) -> float:
        """Return the largest scale at which the page has no more than so many pixels, by bisection."""
        most_mm2 = pixels * (MM_PER_INCH / style.DOTS_PER_INCH) ** 2
        if math.prod(self.page_mm(largest)) <= most_mm2:
            return largest
        low, high = 0.0, largest
        for _ in range(30):
            middle = (low + high) / 2
            low, high = (middle, high) if math.prod(self.page_mm(middle)) <= most_mm2 else (low, middle)
        return low

    def page_mm(self, scale: float) -> Point:
        """Return width and height of the page at a scale."""
        inner = self._inner_mm(scale)
        height = self._key_top_mm(scale) + self.key.height_mm(inner) + style.MARGIN_MM
        return inner + 2 * style.MARGIN_MM, height

    def _inner_mm(self, scale: float) -> float:
        """Return the width of the page between its margins."""
        piece = self.span_mm[0] * scale + 2 * self.gutter_mm[0]
        return max(piece, style.LEAST_WIDTH_MM, text_width_mm(self.facts, style.FACTS.size_pt))

    def _piece_top_mm(self) -> float:
        head = line_mm(style.TITLE) + 2 * line_mm(style.FACTS) + style.BLOCK_MM
        return style.MARGIN_MM + head + self.gutter_mm[1]

    def _guide_top_mm(self, scale: float) -> float:
        return self._piece_top_mm() + self.span_mm[1] * scale + self.gutter_mm[1] + style.BLOCK_MM

    def _key_top_mm(self, scale: float) -> float:
        places = _flow(self._guide(scale), self._inner_mm(scale))
        lines = places[-1][1] + 1
        return self._guide_top_mm(scale) + lines * _GUIDE_LINE_MM + style.BLOCK_MM

    def scene(self, scale: float) -> Scene:
        """Return the page at a scale."""
        width, height = self.page_mm(scale)
        inner = self._inner_mm(scale)
        left = (width - self.span_mm[0] * scale) / 2
        offset = (
            left - scale * self.piece.extent_mm[0],
            self._piece_top_mm() - scale * self.piece.extent_mm[1],
        )
        row_strokes, row_labels = _row_marks(self.piece, scale, offset)
        guide_strokes, guide_labels = self._draw_guide(scale, inner)
        key_beads, key_strokes, key_labels = self.key.draw(style.MARGIN_MM, self._key_top_mm(scale), inner)
        return Scene(
            title=self.title,
            facts=self.facts,
            width_mm=width,
            height_mm=height,
            piece=self.piece,
            scale=scale,
            offset_mm=offset,
            symbols=self._symbols(scale),
            key_beads=tuple(key_beads),
            strokes=(*_start_marks(self.piece, scale, offset), *row_strokes, *guide_strokes, *key_strokes),
            labels=(
                *self._head(inner),
                *self._loop_numbers(scale, offset),
                *row_labels,
                *guide_labels,
                *key_labels,
            ),
        )

    def _symbols(self, scale: float) -> bool:
        return scale >= self.legible * 0.999

    def _head(self, width_mm: float) -> Iterator[Label]:
        x, y = style.MARGIN_MM, style.MARGIN_MM + CAPITAL * style.TITLE.size_pt * MM_PER_POINT
        yield label(shortened(self.title, style.TITLE.size_pt, width_mm), x, y, style.TITLE)
        y += line_mm(style.TITLE) * 0.85
        yield label(self.facts, x, y, style.FACTS)
        yield label(
            shortened(self.counts, style.FACTS.size_pt, width_mm), x, y + line_mm(style.FACTS), style.FACTS
        )

    def _number_size_pt(self, scale: float) -> float:
        """Return the size of type of the loop numbers, the longest that can be read; 0 where none can."""
        for digits in range(len(str(int(self.piece.loop_number.max()))), 0, -1):
            size = self.piece.loop_clear_mm * scale * 0.94 / _diagonal_mm(digits, 1.0)
            if size >= style.LEAST_PT:
                return min(size, style.LOOP_MOST_PT)
        return 0.0

    def _loop_numbers(self, scale: float, offset: Point) -> Iterator[Label]:
        piece, size = self.piece, self._number_size_pt(scale)
        if not size:
            return
        digits = max(d for d in range(1, 10) if _diagonal_mm(d, size) <= piece.loop_clear_mm * scale)
        shown = piece.loop_number < 10**digits
        if len(piece.loop_number) > NUMBER_ALL_LOOPS:
            shown &= piece.loop_number % NUMBER_EVERY == 0
        half = CAPITAL / 2 * size * MM_PER_POINT
        places = (piece.loop_xy[shown] * scale + offset).tolist()
        for number, (x, y) in zip(piece.loop_number[shown].tolist(), places, strict=True):
            yield Label(str(number), x, y + half, size, style.LOOP_COLOUR, "middle", "numbers")

    def _guide(self, scale: float) -> list[_GuideEntry]:
        """Return what stands below the piece: the scale, and how to read the marks."""
        length = max((mm for mm in _BAR_LENGTHS_MM if mm * scale <= _BAR_MOST_MM), default=_BAR_LENGTHS_MM[0])
        entries = [
            _GuideEntry("bar", length * scale, f"{length} mm of the finished piece"),
            _GuideEntry("start", _RING_MM, "first bead"),
        ]
        if self.piece.rows is not None:
            entries.append(_GuideEntry("arrow", ARROW_MM, "the way a row is woven"))
            if self._number_size_pt(scale):
                every = "every 5th loop of a row is numbered"
                words = "loops are numbered along the row"
                few = len(self.piece.loop_number) <= NUMBER_ALL_LOOPS
                entries.append(_GuideEntry("", 0.0, words if few else every))
        if not self._symbols(scale):
            entries.append(
                _GuideEntry("", 0.0, "Beads are too small here for symbols; see the printed chart.")
            )
        return entries

    def _draw_guide(self, scale: float, width_mm: float) -> tuple[list[Stroke], list[Label]]:
        entries = self._guide(scale)
        strokes: list[Stroke] = []
        labels: list[Label] = []
        for entry, (left, line) in zip(entries, _flow(entries, width_mm), strict=True):
            x, y = style.MARGIN_MM + left, self._guide_top_mm(scale) + (line + 0.5) * _GUIDE_LINE_MM
            if entry.mark == "bar":
                strokes += scale_bar(x, y, entry.mark_mm, "legend")
            elif entry.mark == "start":
                strokes.append(_start_ring((x + _RING_MM / 2, y), _RING_MM / 2, "legend"))
            elif entry.mark == "arrow":
                strokes += arrow((x, y), (x + entry.mark_mm, y), style.SOFT, "legend")
            labels.append(label_centred(entry.words, x + entry.words_mm, y, style.BODY_SOFT))
        return strokes, labels


def _flow(entries: list[_GuideEntry], width_mm: float) -> list[tuple[float, int]]:
    """Return the left end and the line of each entry, broken into lines of a width."""
    places = []
    x, line = 0.0, 0
    for entry in entries:
        wide = entry.words_mm + text_width_mm(entry.words, style.BODY.size_pt)
        if x > 0 and x + wide > width_mm:
            x, line = 0.0, line + 1
        places.append((x, line))
        x += wide + _GUIDE_GAP_MM
    return places


def _diagonal_mm(digits: int, size_pt: float) -> float:
    """Return the diagonal of a number in mm, which must fit into the circle that is free in a loop."""
    return math.hypot(text_width_mm("0" * digits, size_pt), CAPITAL * size_pt * MM_PER_POINT)


def _counts(pattern: Pattern, piece: Piece) -> str:
    sizes = " and ".join(dict.fromkeys(size.name for size in pattern.weave.sizes))
    words = [f"{len(piece.bead_xy):,} beads of {sizes}", f"{pattern.weave.loops:,} loops"]
    if piece.rows is not None:
        words.append(f"{len(piece.rows.forward):,} rows")
    words.append("1 colour" if len(piece.colours) == 1 else f"{len(piece.colours)} colours")
    if pattern.copies > 1:
        words.append(f"make {pattern.copies}")
    return plain(" · ".join(words))


def _row_gutter_mm(piece: Piece) -> Point:
    """Return the room beside the piece and above it that row numbers and arrows take."""
    if piece.rows is None:
        return 0.0, 0.0
    number = text_width_mm(str(len(piece.rows.forward)), style.ROW.size_pt)
    if piece.rows.axis == 0:
        start = text_width_mm(_START, style.ROW.size_pt)
        return 3 * style.GAP_MM + ARROW_MM + number + start, 0.0
    return 0.0, 4 * style.GAP_MM + ARROW_MM + 2 * line_mm(style.ROW)


def _start_ring(centre: Point, radius_mm: float, layer: str) -> Stroke:
    return ring(centre, radius_mm - style.STRONG_MM, 2 * style.STRONG_MM, style.ACCENT, layer)


def _start_marks(piece: Piece, scale: float, offset: Point) -> Iterator[Stroke]:
    """Return a ring round the first bead, on a white one that parts it from the beads."""
    x, y = (piece.bead_xy[piece.start] * scale + offset).tolist()
    size = piece.outlines[int(piece.bead_outline[piece.start])].size
    across = max(size.diameter_mm, size.length_mm) * scale
    radius = max(_RING_MM, across * 1.12) / 2 + style.STRONG_MM
    yield ring((x, y), radius - style.STRONG_MM, 4 * style.STRONG_MM, style.WHITE, "thread")
    yield _start_ring((x, y), radius, "thread")


def _row_marks(piece: Piece, scale: float, offset: Point) -> tuple[list[Stroke], list[Label]]:
    """Return row numbers at both ends of the rows, and an arrow where each row begins."""
    rows = piece.rows
    if rows is None:
        return [], []
    axis = rows.axis
    # Clear of the rows next to it, whose ends may stand out further.
    begin = (-_outermost(-rows.first_mm) * scale + offset[axis]).tolist()
    end = (_outermost(rows.last_mm) * scale + offset[axis]).tolist()
    middle = (rows.middle_mm * scale + offset[1 - axis]).tolist()
    step = _row_step(rows, scale)
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for row, forward in enumerate(rows.forward.tolist()):
        number = str(row + 1) if row == 0 or (row + 1) % step == 0 else ""
        for edge, outward, starts in ((begin[row], -1, forward), (end[row], 1, not forward)):
            near, far = edge + outward * style.GAP_MM, edge + outward * (style.GAP_MM + ARROW_MM)
            if starts:
                tail, head = ((at, middle[row]) if axis == 0 else (middle[row], at) for at in (far, near))
                colour = style.ACCENT if row == rows.begun_first else style.SOFT
                strokes += arrow(tail, head, colour, "rim", _arrow_size(rows, scale))
            at = (far if starts else near) + (outward * style.GAP_MM if starts else 0.0)
            first_row = starts and row == rows.begun_first
            labels += _row_labels(axis, outward, at, middle[row], number, first_row)
    return strokes, labels


def _row_labels(
    axis: int, outward: int, at: float, middle: float, number: str, first_row: bool
) -> Iterator[Label]:
    """Return the number of a row at one of its ends, with a word where the work starts."""
    start = style.ROW._replace(colour=style.ACCENT)
    if axis == 0:
        anchor = "end" if outward < 0 else "start"
        if number:
            yield label_centred(number, at, middle, style.ROW, anchor=anchor, layer="rim")
            at += outward * (text_width_mm(number, style.ROW.size_pt) + style.GAP_MM)
        if first_row:
            yield label_centred(_START, at, middle, start, anchor=anchor, layer="rim")
        return
    lines = [(number, style.ROW)] if number else []
    if first_row:
        lines.append((_START, start))
    for place, (words, kind) in enumerate(lines):
        y = at + outward * (place + 0.5) * line_mm(style.ROW)
        yield label_centred(words, middle, y, kind, anchor="middle", layer="rim")


def _outermost(edge_mm: FloatArray) -> FloatArray:
    """Return the greatest of each row's edge and those of the rows beside it."""
    padded = np.pad(edge_mm, 1, mode="edge")
    return np.maximum(np.maximum(padded[:-2], padded[2:]), edge_mm)


def _row_pitch_mm(rows: Rows, scale: float) -> float:
    """Return the distance between rows on the page."""
    if len(rows.middle_mm) < 2:
        return ARROW_MM
    return float(np.diff(rows.middle_mm).min()) * scale


def _row_step(rows: Rows, scale: float) -> int:
    """Return which rows are numbered: every one, every second, every fifth ..."""
    if rows.axis == 0:
        needed = line_mm(style.ROW) * 0.9
    else:
        needed = text_width_mm(str(len(rows.forward)), style.ROW.size_pt) + style.GAP_MM
    pitch = _row_pitch_mm(rows, scale)
    return next(step for step in _ROW_STEPS if step * pitch >= needed or step >= len(rows.forward))


def _arrow_size(rows: Rows, scale: float) -> float:
    """Return how large arrows may be without touching those of the next row."""
    return min(1.0, _row_pitch_mm(rows, scale) / 2.2)
