"""The first pages of the booklet: the piece as it will look, what to get ready, and cautions."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from convert.drawing import style
from convert.drawing.labels import label_centred, line_mm, shortened, text_width_mm
from convert.drawing.marks import KeyBead, line
from convert.drawing.paragraphs import broken
from convert.drawing.pdf_beads import PdfBeads
from convert.drawing.pdf_canvas import Page, PdfCanvas
from convert.drawing.pdf_frame import SUBHEADING, Frame
from convert.drawing.piece import Outline, Piece
from convert.instructions.finishing import needed
from convert.instructions.introduction import cautions
from convert.piece.finishing import finishing
from convert.piece.materials import (
    COSTS_EXPLAINED,
    Material,
    finished_size,
    grams_told,
    materials,
    spare_told,
    total_cost,
)
from convert.piece.pattern import Pattern
from convert.thread.steps import TAIL_MM
from convert.thread.verifier import ThreadReport

_PICTURE_MOST_MM = 92.0
_PICTURE_MOST_SCALE = 3.0
_ROW_MM = 5.4
_BEAD_MM = 4.0
_GAP_MM, _GAP_MORE_MM = 3.2, 5.0
_WORDS_MOST_MM = 48.0
_LEAST_NAME_MM = 12.0
_NOTHING = "\N{EN DASH}"
# Columns of the table of beads: those that stand flush left, and the two of costs.
_WORDS = ("code", "name", "size")
_OF_PACKS, _OF_BEADS = "cost of packs", "cost of beads"


@dataclass(frozen=True, slots=True)
class _Block:
    """Something of a height that is not cut by the end of a page; `head` repeats above it on a new page."""

    height_mm: float
    draw: Callable[[float], None]
    head: "_Block | None" = None


class Cover:
    """The cover and the pages it flows on to.

    Parameters
    ----------
    canvas : PdfCanvas
        The file.
    beads : PdfBeads
        Draws the beads.
    frame : Frame
        Margins.
    pattern, piece, report : Pattern, Piece, ThreadReport
        The piece, how it is drawn, and the proof of its thread path.
    """

    def __init__(
        self,
        canvas: PdfCanvas,
        beads: PdfBeads,
        frame: Frame,
        pattern: Pattern,
        piece: Piece,
        report: ThreadReport,
    ) -> None:
        self._canvas, self._beads, self._frame = canvas, beads, frame
        self._pattern, self._piece, self._report = pattern, piece, report
        self._rows = materials(pattern)

    def pages(self) -> list[Page]:
        """Return the pages."""
        pages: list[list[tuple[float, _Block]]] = [[]]
        y = self._frame.top_mm
        for block in self._blocks():
            if y + block.height_mm > self._frame.bottom_mm and pages[-1]:
                pages.append([])
                y = self._frame.top_mm
                if block.head is not None:
                    pages[-1].append((y, block.head))
                    y += block.head.height_mm
            pages[-1].append((y, block))
            y += block.height_mm
        return [
            Page(_drawing(blocks), "Cover and materials" if number == 0 else "", 0)
            for number, blocks in enumerate(pages)
        ]

    def _blocks(self) -> list[_Block]:
        numbers = dict(enumerate(self._piece.colour_of_entry.tolist()))
        table = _Table(self._canvas, self._beads, self._frame, self._pattern, self._rows, numbers)
        head = _Block(table.head_mm, table.draw_head)
        caution, _, *told = cautions(self._report)
        # What to take care of stands on the cover, however long the list of beads is.
        blocks = [
            self._title(),
            self._picture(),
            self._text(caution, [" ".join(line.strip() for line in told)]),
            self._text("Thread and tools", self._tools()),
            self._heading("Beads" + table.costs_in),
            head,
        ]
        blocks += [_Block(_ROW_MM, partial(table.draw_row, row), head) for row in self._rows]
        blocks.append(_Block(table.total_mm, table.draw_total, head))
        return blocks

    def _title(self) -> _Block:
        frame, canvas = self._frame, self._canvas
        facts = [f"Finished size {finished_size(self._pattern)}", _counts(self._pattern, self._piece)]
        if self._pattern.imprint.line:
            facts += broken(self._pattern.imprint.line, style.FACTS.size_pt, frame.width_mm)

        def draw(y: float) -> None:
            y += 0.75 * line_mm(style.TITLE)
            title = shortened(self._pattern.title, style.TITLE.size_pt, frame.width_mm)
            canvas.text(title, frame.left_mm, y, style.TITLE, strong=True)
            for fact in facts:
                y += line_mm(style.FACTS) * 1.1
                canvas.text(
                    shortened(fact, style.FACTS.size_pt, frame.width_mm), frame.left_mm, y, style.FACTS
                )

        return _Block(line_mm(style.TITLE) + 1.1 * len(facts) * line_mm(style.FACTS) + 3.0, draw)

    def _picture(self) -> _Block:
        left, top, right, bottom = self._piece.extent_mm
        scale = min(
            self._frame.width_mm / (right - left), _PICTURE_MOST_MM / (bottom - top), _PICTURE_MOST_SCALE
        )
        x = (self._frame.left_mm + self._frame.right_mm - (left + right) * scale) / 2

        def draw(y: float) -> None:
            self._beads.draw(scale, (x, y + 2.0 - top * scale), symbols=False)

        return _Block((bottom - top) * scale + style.BLOCK_MM, draw)

    def _heading(self, words: str) -> _Block:
        def draw(y: float) -> None:
            self._canvas.text(
                words, self._frame.left_mm, y + 0.75 * line_mm(SUBHEADING), SUBHEADING, strong=True
            )

        return _Block(line_mm(SUBHEADING) + 1.0, draw)

    def _text(self, heading: str, paragraphs: list[str]) -> _Block:
        """Return a heading with paragraphs below it."""
        body, step = style.BODY, line_mm(style.BODY)
        lines = [one for text in paragraphs for one in broken(text, body.size_pt, self._frame.width_mm)]
        title = self._heading(heading)

        def draw(y: float) -> None:
            title.draw(y)
            for number, words in enumerate(lines):
                at = y + title.height_mm + (number + 0.75) * step
                self._canvas.text(words, self._frame.left_mm, at, body)

        return _Block(title.height_mm + len(lines) * step + 4.0, draw)

    def _tools(self) -> list[str]:
        supplies, report, copies = self._pattern.supplies, self._report, self._pattern.copies
        threads = report.threads * copies
        finish = finishing(self._pattern)
        return [
            f"Thread {supplies.thread_mm:g} mm thick: {report.length_mm * copies / 1000:.1f} m, in"
            f" {threads} working thread{'s' * (threads > 1)} of up to"
            f" {report.longest_thread_mm / 1000:.1f} m, two tails of {TAIL_MM / 10:g} cm each counted in.",
            *([] if finish is None else [f"To finish each piece: {needed(finish)}."]),
            f"Two needles {supplies.needle_mm:g} mm thick, since they bend. Sharp scissors. A cloth on which"
            " beads do not roll, and a lamp.",
        ]


def _drawing(blocks: list[tuple[float, _Block]]) -> Callable[[], None]:
    def draw() -> None:
        for y, block in blocks:
            block.draw(y)

    return draw


def _counts(pattern: Pattern, piece: Piece) -> str:
    sizes = " and ".join(dict.fromkeys(size.name for size in pattern.weave.sizes))
    words = [f"{len(piece.bead_xy):,} beads of {sizes}", f"{pattern.weave.loops:,} loops"]
    words.append("1 colour" if len(piece.colours) == 1 else f"{len(piece.colours)} colours")
    if pattern.copies > 1:
        pairs = f" and {pattern.made_alike} of the mirror image" if pattern.mirror_pair else ""
        words.append(f"make {pattern.made_alike}{pairs}; the beads and thread below are for all of them")
    return " · ".join(words)


class _Table:
    """The table of beads: a row for each colour in each size."""

    def __init__(
        self,
        canvas: PdfCanvas,
        beads: PdfBeads,
        frame: Frame,
        pattern: Pattern,
        rows: list[Material],
        numbers: dict[int, int],
    ) -> None:
        self._canvas, self._beads, self._frame = canvas, beads, frame
        self._number, self._pattern = numbers, pattern
        self._rows = rows
        known = {
            "on hand": any(row.on_hand is not None for row in rows),
            "packs": any(row.packs is not None for row in rows),
            _OF_PACKS: any(row.cost is not None for row in rows),
            _OF_BEADS: any(row.cost is not None for row in rows),
        }
        columns = (*_WORDS, "beads", "grams", "on hand", "to buy", "packs", _OF_PACKS, _OF_BEADS)
        self._columns = [name for name in columns if known.get(name, True)]
        self.head_mm = line_mm(style.SMALL) + 1.4
        self._x = self._places()
        self.total_mm = _ROW_MM + len(self._notes()) * line_mm(style.SMALL) + 2.5

    def _places(self) -> dict[str, tuple[float, float]]:
        """Return the left end and the width of each column."""
        body = style.BODY.size_pt
        told = [self._cells(row) for row in self._rows] + [self._total()]
        widths = {
            name: max(
                text_width_mm(name, style.SMALL.size_pt),
                *(text_width_mm(cells[name], body) for cells in told),
            )
            for name in self._columns
        }
        for name in _WORDS:
            widths[name] = min(widths[name], _WORDS_MOST_MM)
        start = self._frame.left_mm + _BEAD_MM + 2.4
        spare = self._frame.right_mm - start - sum(widths.values()) - _GAP_MM * (len(widths) - 1)
        # Where all this is too wide, names give way; where it is narrow, the columns stand further apart.
        widths["name"] = max(_LEAST_NAME_MM, widths["name"] + min(spare, 0.0))
        gap = _GAP_MM + min(max(spare, 0.0) / (len(widths) - 1), _GAP_MORE_MM)
        places, x = {}, start
        for name, width in widths.items():
            places[name] = x, width
            x += width + gap
        self._end = x - gap
        return places

    def _cells(self, row: Material) -> dict[str, str]:
        def told(value: float | None, form: str) -> str:
            return "" if value is None else format(value, form)

        def bought(value: float | None, form: str) -> str:
            # What is on hand stands out less than what has to be bought.
            return told(value, form) if row.to_buy else _NOTHING

        return {
            "code": row.colour.code,
            "name": row.colour.name,
            "size": row.size.name,
            "beads": f"{row.beads:,}",
            "grams": grams_told(row.grams),
            "on hand": told(row.on_hand, ","),
            "to buy": bought(row.to_buy, ","),
            "packs": bought(row.packs, ","),
            _OF_PACKS: bought(row.cost, ",.2f"),
            _OF_BEADS: told(row.cost_used, ",.2f"),
        }

    def _total(self) -> dict[str, str]:
        packs = [row.packs for row in self._rows if row.packs is not None]
        return {
            "code": "All",
            "name": "",
            "size": "",
            "beads": f"{sum(row.beads for row in self._rows):,}",
            "grams": grams_told(sum(row.grams for row in self._rows)),
            "on hand": "",
            "to buy": f"{sum(row.to_buy for row in self._rows):,}",
            "packs": f"{sum(packs):,}",
            _OF_PACKS: f"{total_cost(row.cost for row in self._rows) or 0:,.2f}",
            _OF_BEADS: f"{total_cost(row.cost_used for row in self._rows) or 0:,.2f}",
        }

    @property
    def costs_in(self) -> str:
        """What the heading says about the currency."""
        currency = self._pattern.costs_in
        return f", costs in {currency}" if currency and _OF_PACKS in self._x else ""

    def draw_head(self, y: float) -> None:
        """Draw the names of the columns."""
        base = y + 0.75 * line_mm(style.SMALL)
        for name in self._columns:
            self._cell(name, name, base, style.SMALL)
        self._rule(y + self.head_mm - 0.4)

    def draw_row(self, row: Material, y: float) -> None:
        """Draw a colour in a size."""
        middle = y + _ROW_MM / 2
        outline = Outline(row.size, 90.0, row.size.length_mm)
        scale = _BEAD_MM / row.size.longer_mm
        bead = KeyBead(outline, self._number[row.entry], self._frame.left_mm + _BEAD_MM / 2, middle, scale)
        self._beads.draw_single(bead)
        self._rule(y + _ROW_MM)
        base = label_centred("", 0.0, middle, style.BODY).y_mm
        for name, words in self._cells(row).items():
            if name in self._x:
                self._cell(name, words, base, style.BODY_SOFT if name in ("name", "size") else style.BODY)

    def draw_total(self, y: float) -> None:
        """Draw the sums, and what the figures count in."""
        base = label_centred("", 0.0, y + _ROW_MM / 2, style.BODY).y_mm
        for name, words in self._total().items():
            if name in self._x:
                self._cell(name, words, base, style.BODY, strong=True)
        for number, note in enumerate(self._notes(), 1):
            at = base + number * line_mm(style.SMALL) + 0.6
            self._canvas.text(note, self._frame.left_mm, at, style.SMALL)

    def _notes(self) -> list[str]:
        """Return what the figures count in."""
        notes = [f"Grams and what is to buy have {spare_told(self._pattern.spare)}."]
        if _OF_PACKS in self._x:
            notes.append(COSTS_EXPLAINED)
        if _OF_PACKS in self._x and any(row.cost is None for row in self._rows):
            notes.append("Colours without a price are not in the cost.")
        return notes

    def _cell(self, name: str, words: str, base: float, kind: style.Type, *, strong: bool = False) -> None:
        x, width = self._x[name]
        words = shortened(words, kind.size_pt, width + 0.05)
        if name in _WORDS:
            self._canvas.text(words, x, base, kind, strong=strong)
        else:
            self._canvas.text(words, x + width, base, kind, anchor="end", strong=strong)

    def _rule(self, y: float) -> None:
        ends = (self._frame.left_mm, y), (self._end, y)
        self._canvas.strokes([line(*ends, style.FINE_MM, style.HAIR, "legend")])
