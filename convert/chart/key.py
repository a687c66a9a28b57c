"""The key: which symbol and colour is which bead, and how many there are."""

from dataclasses import dataclass

from convert.chart import style
from convert.chart.labels import Label, label, label_centred, line_mm, plain, shortened, text_width_mm
from convert.chart.marks import KeyBead, Stroke, line
from convert.chart.piece import Outline, Piece

_BEAD_MM = 4.2
_ROW_MM = 5.9
_GUTTER_MM = 10.0
_NAME_MOST_MM = 42.0
_CODE_MOST_MM = 26.0
_HEADINGS = ("code", "name", "size", "beads")
_LAYER = "legend"


@dataclass(frozen=True, slots=True)
class _Row:
    colour: int
    outline: Outline
    cells: tuple[str, str, str, str]


class Key:
    """The key of a piece, laid out in as many columns as fit.

    Parameters
    ----------
    piece : Piece
        What it explains.
    """

    def __init__(self, piece: Piece) -> None:
        self._rows = _rows(piece)
        body = style.BODY.size_pt
        widths = [
            max(text_width_mm(row.cells[column], body) for row in self._rows)
            for column in range(len(_HEADINGS))
        ]
        least = [text_width_mm(heading, style.SMALL.size_pt) for heading in _HEADINGS]
        most = (_CODE_MOST_MM, _NAME_MOST_MM, _CODE_MOST_MM, _CODE_MOST_MM)
        code, name, size, beads = (
            min(max(width, low), high) for width, low, high in zip(widths, least, most, strict=True)
        )
        gap = 3.0
        self._code_x = _BEAD_MM + 2.4
        self._name_x = self._code_x + code + gap
        self._size_x = self._name_x + name + gap
        self._beads_x = self._size_x + size + gap + beads
        self._limits = code, name, size, beads

    def columns(self, width_mm: float) -> int:
        """Return the number of columns that fit into a width."""
        fit = int((width_mm + _GUTTER_MM) // (self._beads_x + _GUTTER_MM))
        return max(1, min(fit, len(self._rows)))

    def height_mm(self, width_mm: float) -> float:
        """Return the height the key takes in a width."""
        return line_mm(style.SMALL) + 1.5 + _ROW_MM * -(-len(self._rows) // self.columns(width_mm))

    def draw(
        self, left_mm: float, top_mm: float, width_mm: float
    ) -> tuple[list[KeyBead], list[Stroke], list[Label]]:
        """Return the key as marks on the page, filled column by column."""
        beads: list[KeyBead] = []
        strokes: list[Stroke] = []
        labels: list[Label] = []
        columns = self.columns(width_mm)
        rows_each = -(-len(self._rows) // columns)
        head = top_mm + line_mm(style.SMALL)
        for number, row in enumerate(self._rows):
            column, place = divmod(number, rows_each)
            x = left_mm + column * (self._beads_x + _GUTTER_MM)
            if place == 0:
                labels += self._headings(x, head - 1.2)
                strokes.append(line((x, head), (x + self._beads_x, head), style.FINE_MM, style.HAIR, _LAYER))
            y = head + 1.5 + (place + 0.5) * _ROW_MM
            size = row.outline.size
            scale = _BEAD_MM / max(size.diameter_mm, size.length_mm)
            beads.append(KeyBead(row.outline, row.colour, x + _BEAD_MM / 2, y, scale))
            labels += self._cells(row, x, y)
        return beads, strokes, labels

    def _headings(self, x: float, y: float) -> list[Label]:
        code, name, size, beads = _HEADINGS
        return [
            label(code, x + self._code_x, y, style.SMALL),
            label(name, x + self._name_x, y, style.SMALL),
            label(size, x + self._size_x, y, style.SMALL),
            label(beads, x + self._beads_x, y, style.SMALL, anchor="end"),
        ]

    def _cells(self, row: _Row, x: float, y: float) -> list[Label]:
        body, soft = style.BODY, style.BODY_SOFT
        code, name, size, beads = (
            shortened(cell, body.size_pt, limit + 0.05)
            for cell, limit in zip(row.cells, self._limits, strict=True)
        )
        return [
            label_centred(code, x + self._code_x, y, body),
            label_centred(name, x + self._name_x, y, soft),
            label_centred(size, x + self._size_x, y, soft),
            label_centred(beads, x + self._beads_x, y, body, anchor="end"),
        ]


def _rows(piece: Piece) -> list[_Row]:
    """Return a row for each colour in each size it is used in."""
    rows = []
    for number, colour in enumerate(piece.colours):
        for index, count in enumerate(colour.counts):
            if count:
                size = piece.sizes[index]
                cells = plain(colour.bead.code), plain(colour.bead.name), plain(size.name), f"{count:,}"
                rows.append(_Row(number, Outline(size, 90.0, size.length_mm), cells))
    return rows
