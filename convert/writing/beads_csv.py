"""The list of beads for a spreadsheet: what a piece takes, what is there and what to buy."""

from collections.abc import Sequence

from convert.piece.materials import Material, grams_told, materials
from convert.piece.pattern import Pattern
from convert.writing.csv_cells import csv_text

HEADER = (
    "code",
    "name",
    "size",
    "hex",
    "beads",
    "grams_with_spare",
    "on_hand",
    "left",
    "to_buy",
    "packs",
    "cost",
    "cost_of_beads_used",
    "currency",
)


_OF_THE_SHOP = {"on_hand", "left", "to_buy", "packs", "cost"}
_OF_PRICES = {"cost_of_beads_used", "currency"}


def beads_csv(pattern: Pattern, *, buying: bool = True) -> str:
    """Return the beads of a piece as CSV, most beads first.

    ``grams_with_spare`` and ``to_buy`` (beads) have the spare beads in them; ``left`` is what stays on the
    shelf once the piece is woven; ``cost`` is that of the packs to buy, ``cost_of_beads_used`` that of the
    beads woven in, see `convert.piece.materials.Material`. Cells that the palette says nothing about are
    empty.

    Parameters
    ----------
    pattern : Pattern
        The piece; its copies are counted in.
    buying : bool
        Whether the list says what is on hand and what to buy; without it prices that nobody knows are left
        out, too.
    """
    rows = materials(pattern)
    header = columns_shown(rows, buying=buying)
    return csv_text(header, ([cells(row, pattern.costs_in)[name] for name in header] for row in rows))


def columns_shown(rows: Sequence[Material], *, buying: bool) -> list[str]:
    """Return those of `HEADER` that a list has; parameters as of `beads_csv`."""
    left_out = set() if buying else _OF_THE_SHOP
    if not buying and all(row.cost_used is None for row in rows):
        left_out = left_out | _OF_PRICES
    return [name for name in HEADER if name not in left_out]


def cells(row: Material, costs_in: str) -> dict[str, object]:
    """Return what a list says of beads of one colour and size, under the names of `HEADER`."""
    values = (
        row.colour.code,
        row.colour.name,
        row.size.name,
        row.colour.hex,
        row.beads,
        grams_told(row.grams),
        row.on_hand,
        row.left,
        row.to_buy,
        row.packs,
        None if row.cost is None else f"{row.cost:.2f}",
        # Finer than cents, so that the column adds up to the cent.
        None if row.cost_used is None else f"{row.cost_used:.4f}",
        None if row.cost is None else costs_in,
    )
    return dict(zip(HEADER, values, strict=True))
