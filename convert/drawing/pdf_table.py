"""A table whose rows each begin with a bead, wherever a page lists beads."""

from collections.abc import Callable, Sequence
from functools import partial

from convert.drawing import style
from convert.drawing.labels import label_centred, line_mm, shortened, text_width_mm
from convert.drawing.marks import line
from convert.drawing.paragraphs import broken
from convert.drawing.pdf_blocks import BOX_MM, Block, tick_box
from convert.drawing.pdf_canvas import PdfCanvas
from convert.drawing.pdf_frame import Frame

BEAD_MM = 4.0
WORDS = ("code", "name", "size")
"""Columns that stand flush left."""
_ROW_MM = 5.4
_GAP_MM, _GAP_MORE_MM, _LEAST_GAP_MM = 3.2, 5.0, 1.6
_WORDS_MOST_MM = 48.0
_LEAST_NAME_MM = 12.0

Cells = dict[str, str]


class BeadTable:
    """A table of beads.

    Parameters
    ----------
    canvas : PdfCanvas
        The file.
    frame : Frame
        Margins.
    columns : sequence of str
        Names of the columns; those of `WORDS` stand flush left.
    rows : sequence of dict
        Cells by name of the column.
    total : dict
        The same for the sums below.
    notes : sequence of str
        What is said below the table.
    draw_bead : callable
        Draws the bead of a row, given its number and where the middle of the bead is.
    boxes : bool
        Whether each row begins with a box to tick.
    """

    def __init__(
        self,
        canvas: PdfCanvas,
        frame: Frame,
        columns: Sequence[str],
        rows: Sequence[Cells],
        total: Cells,
        notes: Sequence[str],
        draw_bead: Callable[[int, float, float], None],
        *,
        boxes: bool = False,
    ) -> None:
        self._canvas, self._frame, self._columns = canvas, frame, columns
        self._rows, self._total, self._draw_bead, self._boxes = rows, total, draw_bead, boxes
        self._notes = [words for note in notes for words in broken(note, style.SMALL.size_pt, frame.width_mm)]
        self._bead_left_mm = frame.left_mm + (BOX_MM + 2.0) * boxes
        self._head_mm = line_mm(style.SMALL) + 1.4
        self._total_mm = _ROW_MM + len(self._notes) * line_mm(style.SMALL) + 2.5
        self._x = self._places()

    def blocks(self) -> list[Block]:
        """Return the head, the rows and the sums."""
        head = Block(self._head_mm, self._draw_head)
        rows = [
            Block(_ROW_MM, partial(self._draw_row, number), head) for number in range(len(self._rows) - 1)
        ]
        return [head, *rows, Block(_ROW_MM + self._total_mm, self._draw_end, head)]

    def _draw_end(self, y: float) -> None:
        """Draw the last row and the sums, which do not stand on a page by themselves."""
        self._draw_row(len(self._rows) - 1, y)
        self._draw_total(y + _ROW_MM)

    def _places(self) -> dict[str, tuple[float, float]]:
        """Return the left end and the width of each column."""
        body = style.BODY.size_pt
        told = [*self._rows, self._total]
        widths = {
            name: max(
                text_width_mm(name, style.SMALL.size_pt),
                *(text_width_mm(cells[name], body) for cells in told),
            )
            for name in self._columns
        }
        for name in WORDS:
            if name in widths:
                widths[name] = min(widths[name], _WORDS_MOST_MM)
        start = self._bead_left_mm + BEAD_MM + 2.4
        gaps = len(widths) - 1
        room = self._frame.right_mm - start - sum(widths.values())
        spare = room - _GAP_MM * gaps
        # Where all this is too wide, names give way, then gaps; where it is narrow, the columns stand apart.
        of_name = widths["name"]
        widths["name"] = max(_LEAST_NAME_MM, of_name + min(spare, 0.0))
        left = room + of_name - widths["name"]
        gap = min(max(left / gaps, _LEAST_GAP_MM), _GAP_MM + _GAP_MORE_MM)
        places, x = {}, start
        for column, width in widths.items():
            places[column] = x, width
            x += width + gap
        self._end = x - gap
        return places

    def _draw_head(self, y: float) -> None:
        base = y + 0.75 * line_mm(style.SMALL)
        for name in self._columns:
            self._cell(name, name, base, style.SMALL)
        self._rule(y + self._head_mm - 0.4)

    def _draw_row(self, number: int, y: float) -> None:
        middle = y + _ROW_MM / 2
        if self._boxes:
            self._canvas.strokes([tick_box(self._frame.left_mm, middle)])
        self._draw_bead(number, self._bead_left_mm + BEAD_MM / 2, middle)
        self._rule(y + _ROW_MM)
        base = label_centred("", 0.0, middle, style.BODY).y_mm
        for name in self._columns:
            kind = style.BODY_SOFT if name in ("name", "size") else style.BODY
            self._cell(name, self._rows[number][name], base, kind)

    def _draw_total(self, y: float) -> None:
        base = label_centred("", 0.0, y + _ROW_MM / 2, style.BODY).y_mm
        for name in self._columns:
            self._cell(name, self._total[name], base, style.BODY, strong=True)
        for number, note in enumerate(self._notes, 1):
            at = base + number * line_mm(style.SMALL) + 0.6
            self._canvas.text(note, self._frame.left_mm, at, style.SMALL)

    def _cell(self, name: str, words: str, base: float, kind: style.Type, *, strong: bool = False) -> None:
        x, width = self._x[name]
        words = shortened(words, kind.size_pt, width + 0.05)
        if name in WORDS:
            self._canvas.text(words, x, base, kind, strong=strong)
        else:
            self._canvas.text(words, x + width, base, kind, anchor="end", strong=strong)

    def _rule(self, y: float) -> None:
        ends = (self._frame.left_mm, y), (self._end, y)
        self._canvas.strokes([line(*ends, style.FINE_MM, style.HAIR, "legend")])
