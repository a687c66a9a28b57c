"""The table of what a piece or a set takes."""

from collections.abc import Callable, Mapping, Sequence

from convert.drawing.pdf_blocks import Block
from convert.drawing.pdf_canvas import PdfCanvas
from convert.drawing.pdf_frame import Frame
from convert.drawing.pdf_table import BEAD_MM as BEAD_MM
from convert.drawing.pdf_table import WORDS, BeadTable, Cells
from convert.piece.materials import COSTS_EXPLAINED, Material, grams_told, spare_told, total_cost

_NOTHING = "\N{EN DASH}"
_OF_PACKS, _OF_BEADS = "cost of packs", "cost of beads"
_BUYING = ("on hand", "to buy", "packs", _OF_PACKS)


class MaterialsTable:
    """The table of beads: a row for each colour in each size.

    Parameters
    ----------
    canvas : PdfCanvas
        The file.
    frame : Frame
        Margins.
    rows : sequence of Material
        The beads.
    costs_in : str
        Currency, or empty.
    spare : float
        Share of beads that are counted in besides.
    draw_bead : callable
        Draws the bead of a row at a place.
    by_piece : mapping of str to sequence of int
        Beads of each row that go into each of several pieces.
    buying : bool
        Whether it says what is on hand and what to buy.
    boxes : bool
        Whether each row begins with a box to tick.
    """

    def __init__(
        self,
        canvas: PdfCanvas,
        frame: Frame,
        rows: Sequence[Material],
        costs_in: str,
        spare: float,
        draw_bead: Callable[[Material, float, float], None],
        *,
        by_piece: Mapping[str, Sequence[int]] | None = None,
        buying: bool = True,
        boxes: bool = False,
    ) -> None:
        pieces = by_piece or {}
        known = {
            **dict.fromkeys(_BUYING, buying),
            "on hand": buying and any(row.on_hand is not None for row in rows),
            "packs": buying and any(row.packs is not None for row in rows),
            _OF_PACKS: buying and any(row.cost is not None for row in rows),
            _OF_BEADS: any(row.cost_used is not None for row in rows),
        }
        columns = (*WORDS, *pieces, "beads", "grams", *_BUYING, _OF_BEADS)
        shown = [name for name in columns if known.get(name, True)]
        told = [
            {**_cells(row), **{piece: _counted(beads[number]) for piece, beads in pieces.items()}}
            for number, row in enumerate(rows)
        ]
        total = {**_total(rows), **{piece: _counted(sum(beads)) for piece, beads in pieces.items()}}
        self._shows_costs = bool({_OF_PACKS, _OF_BEADS}.intersection(shown))
        self._costs_in = costs_in
        self._table = BeadTable(
            canvas,
            frame,
            shown,
            told,
            total,
            _notes(rows, spare, shown),
            lambda number, x, y: draw_bead(rows[number], x, y),
            boxes=boxes,
        )

    @property
    def costs_in(self) -> str:
        """What the heading says about the currency."""
        return f", costs in {self._costs_in}" if self._costs_in and self._shows_costs else ""

    def blocks(self) -> list[Block]:
        """Return the head, the rows and the sums."""
        return self._table.blocks()


def _counted(beads: int) -> str:
    return f"{beads:,}" if beads else _NOTHING


def _cells(row: Material) -> Cells:
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


def _total(rows: Sequence[Material]) -> Cells:
    packs = [row.packs for row in rows if row.packs is not None]
    return {
        "code": "All",
        "name": "",
        "size": "",
        "beads": f"{sum(row.beads for row in rows):,}",
        "grams": grams_told(sum(row.grams for row in rows)),
        "on hand": "",
        "to buy": f"{sum(row.to_buy for row in rows):,}",
        "packs": f"{sum(packs):,}",
        _OF_PACKS: f"{total_cost(row.cost for row in rows) or 0:,.2f}",
        _OF_BEADS: f"{total_cost(row.cost_used for row in rows) or 0:,.2f}",
    }


def _notes(rows: Sequence[Material], spare: float, shown: Sequence[str]) -> list[str]:
    """Return what the figures count in."""
    buying = "to buy" in shown
    notes = [f"Grams{' and what is to buy' * buying} have {spare_told(spare)}."]
    if _OF_PACKS in shown:
        notes.append(COSTS_EXPLAINED)
    elif _OF_BEADS in shown:
        notes.append("Cost of beads is that of the beads woven in, by weight.")
    if {_OF_PACKS, _OF_BEADS}.intersection(shown) and any(row.cost_used is None for row in rows):
        notes.append("Colours without a price are not in the cost.")
    return notes
