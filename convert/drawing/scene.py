"""The chart as a page in millimetres: the piece, its numbers, the way of the work, the key and the scale.

A scene is drawn once and replayed by every writer, so that what is added here appears in all of them.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from convert.drawing import style
from convert.drawing.key import Key
from convert.drawing.labels import (
    CAPITAL,
    Label,
    label,
    label_centred,
    line_mm,
    plain,
    shortened,
    text_width_mm,
)
from convert.drawing.marks import ARROW_MM, KeyBead, Point, Stroke, arrow, scale_bar
from convert.drawing.numbering import (
    NUMBER_EVERY,
    RING_MM,
    loop_numbers,
    number_size_pt,
    numbers_all,
    row_gutter_mm,
    row_marks,
    scale_for_numbers,
    seam_mark,
    seam_marks,
    start_marks,
    start_ring,
)
from convert.drawing.piece import Piece, draw_piece
from convert.piece.materials import finished_size
from convert.piece.pattern import Pattern
from convert.piece.repeats import repeat_told, seam_told
from convert.units import MM_PER_INCH, MM_PER_POINT, mm_to_pixels

LAYERS = {
    "thread": "Thread",
    "beads": "Beads",
    "symbols": "Symbols of the colours",
    "numbers": "Loop numbers: place in the row",
    "rim": "Rim: row numbers, where to start, and the way each row is woven",
    "legend": "Legend",
}
_BAR_MOST_MM = 50.0
_BAR_LENGTHS_MM = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
_GUIDE_LINE_MM = 5.6
_SNAP_PX = 4
_SNAP_LEAST_PX = 16
_GUIDE_GAP_MM = 7.0
_SEAM_MM = 3.4


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
        How large the page may grow, in pixels at `convert.drawing.style.DOTS_PER_INCH`. Where this leaves
        beads too small for symbols, they go without. None: the page grows until symbols are legible.
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
        said = (self.facts, _counts(pattern, piece), plain(pattern.imprint.line))
        self.below_title = [line for line in said if line]
        self.gutter_mm = row_gutter_mm(piece)
        self.repeat = repeat_told(pattern) if piece.pale.any() else ""
        self.seam = seam_told(pattern)
        self.pitch_px = mm_to_pixels(pattern.weave.spacing.pitch_mm, style.DOTS_PER_INCH)
        self.legible = self._snapped(scale_for_symbols(piece, style.LEAST_SYMBOL_PT), math.ceil)

    def best_scale(self, most_pixels: float | None) -> float:
        """Return a scale that is comfortable to read, else the one just legible, else what fits."""
        comfortable = math.sqrt(_area_mm2(style.COMFORTABLE_PIXELS) / math.prod(self.span_mm))
        easy = scale_for_symbols(self.piece, style.EASY_SYMBOL_PT)
        largest = scale_for_symbols(self.piece, style.MOST_SYMBOL_PT)
        small = style.SMALL_PIECE_MM / max(self.span_mm)
        numbered = scale_for_numbers(self.piece, style.LEAST_PT)
        # Where there are no rows to count along, a number is the only name a loop has.
        named = 0.0 if self.piece.rows is not None else self._snapped(numbered, math.ceil)
        wanted = max(self.legible, named, min(comfortable, largest, max(easy, numbered, small)))
        if most_pixels is None or math.prod(self.page_mm(wanted)) <= _area_mm2(most_pixels):
            return self._snapped(wanted, math.floor)
        low, high = 0.0, wanted
        for _ in range(30):
            middle = (low + high) / 2
            fits = math.prod(self.page_mm(middle)) <= _area_mm2(most_pixels)
            low, high = (middle, high) if fits else (low, middle)
        return self._snapped(low, math.floor)

    def _snapped(self, scale: float, whole: Callable[[float], int]) -> float:
        """Return a scale at which loops along a row are a multiple of `_SNAP_PX` apart.

        Then all beads of a shape lie alike on the pixels of a row, which draws them evenly and packs well.
        """
        pitch_px = scale * self.pitch_px
        # The thousandth keeps a scale that is snapped already where it is.
        near = pitch_px / _SNAP_PX + (1e-3 if whole is math.floor else -1e-3)
        return scale if pitch_px < _SNAP_LEAST_PX else whole(near) * _SNAP_PX / self.pitch_px

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
        head = line_mm(style.TITLE) + len(self.below_title) * line_mm(style.FACTS) + style.BLOCK_MM
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
        row_strokes, row_labels = row_marks(self.piece, scale, offset)
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
            strokes=(
                *seam_marks(self.piece, scale, offset),
                *start_marks(self.piece, scale, offset),
                *row_strokes,
                *guide_strokes,
                *key_strokes,
            ),
            labels=(
                *self._head(inner),
                *loop_numbers(self.piece, scale, offset),
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
        for line in self.below_title:
            yield label(shortened(line, style.FACTS.size_pt, width_mm), x, y, style.FACTS)
            y += line_mm(style.FACTS)

    def _guide(self, scale: float) -> list[_GuideEntry]:
        """Return what stands below the piece: the scale, and how to read the marks."""
        entries = [_GuideEntry("start", RING_MM, "first bead")]
        if self.piece.flat:
            lengths = (mm for mm in _BAR_LENGTHS_MM if mm * scale <= _BAR_MOST_MM)
            length = max(lengths, default=_BAR_LENGTHS_MM[0])
            entries.insert(0, _GuideEntry("bar", length * scale, f"{length} mm of the finished piece"))
        else:
            entries.append(_GuideEntry("", 0.0, "Laid flat: in the piece the beads lie closer together."))
        if self.piece.rows is not None:
            entries.append(_GuideEntry("arrow", ARROW_MM, "the way a row is woven"))
        if len(self.piece.seam_xy):
            entries.append(_GuideEntry("seam", _SEAM_MM, f"bead of {self.seam}: the ring closes here"))
        if self.repeat:
            entries.append(_GuideEntry("", 0.0, f"repeat: {self.repeat}; pale: the same again"))
        if number_size_pt(self.piece, scale):
            numbers = "1, 2" if numbers_all(self.piece) else f"{NUMBER_EVERY}, {2 * NUMBER_EVERY}"
            meaning = "number of a loop" if self.piece.rows is None else "number of a loop in its row"
            entries.append(_GuideEntry("", 0.0, f"{numbers} …: {meaning}"))
        if not self._symbols(scale):
            entries.append(
                _GuideEntry("", 0.0, "too small for symbols: chart.svg and the printed chart show them")
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
                strokes.append(start_ring((x + RING_MM / 2, y), RING_MM / 2, "legend"))
            elif entry.mark == "seam":
                outline = self.piece.outlines[int(self.piece.seam_outline[0])]
                strokes.append(seam_mark(outline, (x + _SEAM_MM / 2, y), _SEAM_MM / outline.size.longer_mm))
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


def _area_mm2(pixels: float) -> float:
    """Return the area of so many pixels of the chart."""
    return pixels * (MM_PER_INCH / style.DOTS_PER_INCH) ** 2


def _counts(pattern: Pattern, piece: Piece) -> str:
    sizes = " and ".join(dict.fromkeys(size.name for size in pattern.weave.sizes))
    words = [f"{len(piece.bead_xy):,} beads of {sizes}", f"{pattern.weave.loops:,} loops"]
    if piece.rows is not None:
        words.append(f"{len(piece.rows.forward):,} rows")
    words.append("1 colour" if len(piece.colours) == 1 else f"{len(piece.colours)} colours")
    if pattern.copies > 1:
        words.append(f"make {pattern.made_alike}")
    if pattern.mirror_pair:
        words.append(f"and {pattern.made_alike} of the mirror image")
    return plain(" · ".join(words))
