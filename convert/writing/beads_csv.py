"""The list of beads for a spreadsheet: what a piece takes, what is there and what to buy."""

from convert.piece.materials import grams_told, materials
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


def beads_csv(pattern: Pattern) -> str:
    """Return the beads of a piece as CSV, most beads first.

    ``grams_with_spare`` and ``to_buy`` (beads) have the spare beads in them; ``left`` is what stays on the
    shelf once the piece is woven; ``cost`` is that of the packs to buy, ``cost_of_beads_used`` that of the
    beads woven in, see `convert.piece.materials.Material`. Cells that the palette says nothing about are
    empty.

    Parameters
    ----------
    pattern : Pattern
        The piece; its copies are counted in.
    """
    rows = [
        (
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
            None if row.cost is None else pattern.costs_in,
        )
        for row in materials(pattern)
    ]
    return csv_text(HEADER, rows)
