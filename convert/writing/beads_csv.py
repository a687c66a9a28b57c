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
)


def beads_csv(pattern: Pattern) -> str:
    """Return the beads of a piece as CSV, most beads first.

    ``grams_with_spare`` and ``to_buy`` (beads) have 10% spare in them; ``left`` is what stays on the shelf
    once the piece is woven, see `convert.piece.materials.Material`. Cells that the palette says nothing about
    are empty.

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
        )
        for row in materials(pattern)
    ]
    return csv_text(HEADER, rows)
