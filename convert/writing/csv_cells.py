"""Rows for a spreadsheet, safe to open."""

import csv
import io
from collections.abc import Iterable

# A cell that starts so is taken for a formula by spreadsheets (CWE-1236); quoting alone does not help.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def csv_text(header: Iterable[object], rows: Iterable[Iterable[object]]) -> str:
    """Return a table as CSV (RFC 4180, but with bare line feeds).

    Texts that a spreadsheet would run as a formula get a leading apostrophe; None is an empty cell.

    Parameters
    ----------
    header : iterable of str
        Names of the columns.
    rows : iterable of iterable
        Cells: text, numbers or None.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerows([_cell(value) for value in row] for row in (header, *rows))
    return out.getvalue()


def _cell(value: object) -> object:
    if isinstance(value, str) and value.startswith(_FORMULA_STARTS):
        return "'" + value
    return value
