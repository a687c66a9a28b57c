"""The shopping list of a set: what each piece takes, what is there and what to buy for all."""

from convert.piece.collection import Collection
from convert.writing.beads_csv import HEADER, cells, columns_shown
from convert.writing.csv_cells import csv_text

_BEADS = "beads"
RESERVED = frozenset(HEADER)
"""Names of columns, which a piece cannot have."""


def set_csv(collection: Collection, *, buying: bool = True) -> str:
    """Return the beads of a set as CSV, most beads first, with a column for each piece before ``beads``.

    The column of a piece has the beads woven into all its copies; they add up to ``beads``. The rest is as in
    the list of a single piece, see `convert.writing.beads_csv.beads_csv`.

    Parameters
    ----------
    collection : Collection
        The set.
    buying : bool
        Whether the list says what is on hand and what to buy.
    """
    shown = columns_shown(collection.rows, buying=buying)
    at = shown.index(_BEADS)
    header = [*shown[:at], *collection.names, *shown[at:]]
    table = []
    for number, row in enumerate(collection.rows):
        own = {name: beads[number] for name, beads in collection.by_piece.items()}
        told = {**cells(row, collection.costs_in), **own}
        table.append([told[name] for name in header])
    return csv_text(header, table)
