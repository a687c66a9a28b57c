"""The key: which symbol and colour is which bead, and how many there are."""

from dataclasses import dataclass

from convert.drawing import style
from convert.drawing.labels import Label, label, label_centred, line_mm, plain, shortened, text_width_mm
from convert.drawing.marks import KeyBead, Stroke, line
from convert.drawing.piece import Outline, Piece
from convert.drawing.style import Type
from convert.weave.beads import BeadSize

_BEAD_MM = 4.2
_BEAD_GAP_MM = 2.2
_GAP_MM = 3.0
_ROW_MM = 5.9
_RULE_MM = 1.4
_GUTTER_MM = 9.0
_CODE_MOST_MM = 24.0
_NAME_MOST_MM = 44.0
_COUNT_MOST_MM = 30.0
_LAYER = "legend"


@dataclass(frozen=True, slots=True)
class _Column:
    """A column of words: where it is anchored, from the left of the key, and how wide words may be."""

    heading: str
    words: list[str]
    x_mm: float
    width_mm: float
    anchor: str
    kind: Type


class Key:
    """The key of a piece, laid out in as many blocks side by side as fit.

    Each colour has a line: its bead with its symbol, code and name, and a count for each size of bead.

    Parameters
    ----------
    piece : Piece
        What it explains.
    """

    def __init__(self, piece: Piece) -> None:
        self._colours = len(piece.colours)
        core, connector = piece.sizes
        counted = [(0, core)] if core == connector else [(0, core), (1, connector)]
        columns = [
            ("code", [plain(colour.bead.code) for colour in piece.colours], _CODE_MOST_MM, style.BODY),
            ("name", [plain(colour.bead.name) for colour in piece.colours], _NAME_MOST_MM, style.BODY_SOFT),
        ]
        for index, size in counted:
            counts = [colour.counts[index] for colour in piece.colours]
            words = [f"{count:,}" if count else "–" for count in counts]
            columns.append((plain(size.name), words, _COUNT_MOST_MM, style.BODY))
        self._columns = []
        x = _BEAD_MM + _BEAD_GAP_MM
        for place, (heading, words, most, kind) in enumerate(columns):
            widths = [text_width_mm(heading, style.SMALL.size_pt)]
            widths += [text_width_mm(word, kind.size_pt) for word in words]
            width = min(max(widths), most)
            anchor = "start" if place < 2 else "end"
            self._columns.append(_Column(heading, words, x + width * (anchor == "end"), width, anchor, kind))
            x += width + _GAP_MM
        self._width_mm = x - _GAP_MM
        self._outlines = [_lying(core if colour.counts[0] else connector) for colour in piece.colours]

    def blocks(self, width_mm: float) -> int:
        """Return the number of blocks that fit side by side into a width."""
        fit = int((width_mm + _GUTTER_MM) // (self._width_mm + _GUTTER_MM))
        return max(1, min(fit, self._colours))

    def height_mm(self, width_mm: float) -> float:
        """Return the height the key takes in a width."""
        return line_mm(style.SMALL) + _RULE_MM + _ROW_MM * -(-self._colours // self.blocks(width_mm))

    def draw(
        self, left_mm: float, top_mm: float, width_mm: float
    ) -> tuple[list[KeyBead], list[Stroke], list[Label]]:
        """Return the key as marks on the page, filled block by block."""
        beads: list[KeyBead] = []
        strokes: list[Stroke] = []
        labels: list[Label] = []
        lines = -(-self._colours // self.blocks(width_mm))
        rule = top_mm + line_mm(style.SMALL)
        for colour, outline in enumerate(self._outlines):
            block, place = divmod(colour, lines)
            x = left_mm + block * (self._width_mm + _GUTTER_MM)
            if place == 0:
                right = x + self._width_mm
                strokes.append(line((x, rule), (right, rule), style.FINE_MM, style.HAIR, _LAYER))
                labels += [
                    label(column.heading, x + column.x_mm, rule - 1.2, style.SMALL, anchor=column.anchor)
                    for column in self._columns
                ]
            y = rule + _RULE_MM + (place + 0.5) * _ROW_MM
            scale = _BEAD_MM / outline.size.longer_mm
            beads.append(KeyBead(outline, colour, x + _BEAD_MM / 2, y, scale))
            for column in self._columns:
                words = shortened(column.words[colour], column.kind.size_pt, column.width_mm + 0.01)
                at = x + column.x_mm
                labels.append(label_centred(words, at, y, column.kind, anchor=column.anchor))
        return beads, strokes, labels


def _lying(size: BeadSize) -> Outline:
    """Return a bead whose hole points up, so that its longer side lies along the line of the key."""
    return Outline(size, 90.0, size.length_mm)
