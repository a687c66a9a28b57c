"""Row and loop numbers beside and inside the piece, the way each row is woven, and where the work starts."""

from collections.abc import Iterator

import numpy as np

from convert.drawing import style
from convert.drawing.labels import CAPITAL, Label, label_centred, line_mm, text_width_mm
from convert.drawing.marks import ARROW_MM, Point, Stroke, arrow, line, ring
from convert.drawing.piece import Outline, Piece
from convert.drawing.piece_rows import Rows
from convert.drawing.style import Box
from convert.units import MM_PER_POINT
from convert.weave.hanging import HANGING
from convert.weave.model import FloatArray

NUMBER_ALL_LOOPS = 160
NUMBER_EVERY = 5
RING_MM = 3.4
_ROW_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
_START = "start"
_BEGINS_MM = 2.0
_NUMBER_ROOM = 0.97
# A row that ends so many distances of rows before its label has a line that leads to it.
_FAR_ROWS = 1.2
_LEADER_AIR_MM = 0.1


def numbers_all(piece: Piece) -> bool:
    """Return whether every loop is numbered: in a small piece, and where no rows help to count them."""
    return piece.rows is None or len(piece.loop_number) <= NUMBER_ALL_LOOPS


def most_digits(piece: Piece) -> int:
    """Return the number of digits of the longest loop number."""
    return len(str(int(piece.loop_number.max())))


def most_number_pt(piece: Piece, digits: int, scale: float) -> float:
    """Return the largest type in which a number of so many digits clears the beads of every loop."""
    half_wide, half_high = text_width_mm("0" * digits, 1.0) / 2, CAPITAL * MM_PER_POINT / 2
    x, y, free = piece.loop_walls.T
    return float((free * scale / (half_wide * x + half_high * y)).min()) * _NUMBER_ROOM


def number_size_pt(piece: Piece, scale: float) -> float:
    """Return the size of type of the loop numbers, for the longest that can be read; 0 where none can."""
    # Of every fifth number hardly any has a single digit, unless rows are short.
    longest = most_digits(piece)
    for digits in range(longest, 0 if numbers_all(piece) or longest == 1 else 1, -1):
        size = most_number_pt(piece, digits, scale)
        if size >= style.LEAST_PT:
            return min(size, style.LOOP_MOST_PT)
    return 0.0


def scale_for_numbers(piece: Piece, size_pt: float) -> float:
    """Return the scale at which the number of every loop fits at a size of type.

    It is 0 where beads leave no room in a loop, as by a very tight gauge: there no scale helps.
    """
    at_one = most_number_pt(piece, most_digits(piece), 1.0)
    return size_pt / at_one if at_one > 0 else 0.0


def loop_numbers(piece: Piece, scale: float, offset: Point, window: Box | None = None) -> Iterator[Label]:
    """Return the numbers inside the loops; in large pieces of rows every fifth, and the ends of each row.

    Parameters
    ----------
    piece : Piece
        The piece.
    scale, offset : float, tuple of float
        A point p of the piece lies at ``offset + scale * p`` on the page.
    window : tuple of float, optional
        Part of the page that is drawn; all of it if not given.
    """
    size = number_size_pt(piece, scale)
    if not size:
        return
    digits = max(d for d in range(1, 10) if most_number_pt(piece, d, scale) >= size)
    shown = piece.loop_number < 10**digits
    if not numbers_all(piece):
        shown &= (piece.loop_number % NUMBER_EVERY == 0) | piece.loop_at_end
    shown[len(shown) - piece.hangs :] = False
    places = piece.loop_xy * scale + offset
    if window is not None:
        shown &= ((places > window[:2]) & (places < window[2:])).all(axis=1)
    half = CAPITAL / 2 * size * MM_PER_POINT
    if piece.hangs:
        x, y = places[-1].tolist()
        yield Label(HANGING, x, y + half, size, style.LOOP_COLOUR, "middle", "numbers")
    for number, (x, y) in zip(piece.loop_number[shown].tolist(), places[shown].tolist(), strict=True):
        yield Label(str(number), x, y + half, size, style.LOOP_COLOUR, "middle", "numbers")


def start_ring(centre: Point, radius_mm: float, layer: str) -> Stroke:
    """Return the ring that marks the first bead, its outer edge at a radius."""
    return ring(centre, radius_mm - style.STRONG_MM, 2 * style.STRONG_MM, style.ACCENT, layer)


def start_marks(piece: Piece, scale: float, offset: Point) -> Iterator[Stroke]:
    """Return a ring round the first bead, on a white one that parts it from the beads."""
    x, y = (piece.bead_xy[piece.start] * scale + offset).tolist()
    size = piece.outlines[int(piece.bead_outline[piece.start])].size
    across = size.longer_mm * scale
    radius = max(RING_MM, across * 1.12) / 2 + style.STRONG_MM
    yield ring((x, y), radius - style.STRONG_MM, 4 * style.STRONG_MM, style.WHITE, "rim")
    yield start_ring((x, y), radius, "rim")


def seam_marks(piece: Piece, scale: float, offset: Point, window: Box | None = None) -> Iterator[Stroke]:
    """Return outlines, at the end where a ring is closed, of the beads that are drawn at the other end.

    Parameters as in `loop_numbers`.
    """
    places = piece.seam_xy * scale + offset
    for (x, y), number in zip(places.tolist(), piece.seam_outline.tolist(), strict=True):
        if window is None or (window[0] < x < window[2] and window[1] < y < window[3]):
            yield seam_mark(piece.outlines[number], (x, y), scale)


def seam_mark(outline: Outline, place: Point, scale: float) -> Stroke:
    """Return the outline of a bead that is drawn elsewhere."""
    half_mm = style.STRONG_MM / 2 / scale
    corners = tuple(
        (x * scale + place[0], y * scale + place[1]) for x, y in outline.polygon(half_mm).tolist()
    )
    return Stroke(corners, style.STRONG_MM, style.ACCENT, "rim", closed=True)


def row_gutter_mm(piece: Piece) -> Point:
    """Return the room beside the piece and above it that row numbers, arrows and the ring take."""
    ring_mm = 2 * style.GAP_MM
    if piece.rows is None:
        return ring_mm, ring_mm
    start = text_width_mm(_START, style.ROW.size_pt)
    number = text_width_mm(str(len(piece.rows.forward)), style.ROW.size_pt)
    if piece.rows.axis == 0:
        return 3 * style.GAP_MM + ARROW_MM + number + start, ring_mm
    return max(ring_mm, start / 2), 4 * style.GAP_MM + ARROW_MM + 2 * line_mm(style.ROW)


def row_marks(
    piece: Piece, scale: float, offset: Point, window: Box | None = None
) -> tuple[list[Stroke], list[Label]]:
    """Return row numbers at both ends of the rows, and an arrow where each row begins.

    Parameters
    ----------
    piece : Piece
        The piece.
    scale, offset : float, tuple of float
        A point p of the piece lies at ``offset + scale * p`` on the page.
    window : tuple of float, optional
        Part of the page that is drawn: rows that go on beyond it begin and end at its edge.
    """
    rows = piece.rows
    if rows is None:
        return [], []
    axis = rows.axis
    # Clear of the rows next to it, whose ends may stand out further.
    begin = -_outermost(-rows.first_mm) * scale + offset[axis]
    end = _outermost(rows.last_mm) * scale + offset[axis]
    own = rows.first_mm * scale + offset[axis], rows.last_mm * scale + offset[axis]
    middle = rows.middle_mm * scale + offset[1 - axis]
    low, high = (-np.inf, np.inf) if window is None else (window[axis], window[axis + 2])
    shown = (begin < high) & (end > low)
    if window is not None:
        shown &= (middle > window[1 - axis]) & (middle < window[3 - axis])
    step = _row_step(rows, scale)
    leads = rows.clear_mm * scale > style.FINE_MM / 2 + _LEADER_AIR_MM
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for row in np.flatnonzero(shown).tolist():
        number = str(row + 1) if row == 0 or (row + 1) % step == 0 else ""
        across, forward, first = float(middle[row]), bool(rows.forward[row]), row == rows.begun_first
        ends = (max(float(begin[row]), low), -1, forward), (min(float(end[row]), high), 1, not forward)
        for edge, outward, starts in ends:
            near, far = edge + outward * style.GAP_MM, edge + outward * (style.GAP_MM + ARROW_MM)
            if starts:
                tail, head = ((at, across) if axis == 0 else (across, at) for at in (far, near))
                colour = style.ACCENT if first else style.SOFT
                strokes += arrow(tail, head, colour, "rim", _arrow_size(rows, scale))
            row_edge = min(max(float(own[outward > 0][row]), low), high) + outward * style.GAP_MM
            if leads and outward * (near - row_edge) > _FAR_ROWS * _row_pitch_mm(rows, scale):
                points = [
                    (at, across) if axis == 0 else (across, at) for at in (near if starts else far, row_edge)
                ]
                strokes.append(line(points[0], points[1], style.FINE_MM, style.LINE, "rim"))
            at = far + outward * style.GAP_MM
            # Clipped to the window by more than a bead: the row begins on another page.
            begins_here = first and starts and abs(edge - (begin, end)[outward > 0][row]) < _BEGINS_MM * scale
            labels += _row_labels(axis, outward, at, across, number, begins_here)
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
