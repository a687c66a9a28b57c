"""A table with some of its cells changed and all else as it was: rows, order, quotes, line ends, encoding."""

import re
from collections.abc import Callable, Mapping

from convert.palette.table import Plain, Row, Unusable, raw_rows
from convert.palette.text_file import rewritten

NewText = Callable[[str], str]
"""Returns the new content of a cell for the old one."""
Changes = Mapping[int, Mapping[int, NewText]]
"""What is to be changed, by line and by place in it."""


def rewritten_text(data: bytes, separator: str, changes: Changes, source: str) -> bytes:
    """Return a text file with cells changed.

    Parameters
    ----------
    data : bytes
        The file, as it has been read before.
    separator : str
        What parts its cells.
    changes : mapping of int to mapping of int to callable
        By line, from 1, and by place, from 0, what makes the new cell of the old one.
    source : str
        Name of the file, for messages.
    """

    def change(text: str) -> str:
        return "".join(
            _with_cells(raw, separator, changes[line]) if line in changes else raw
            for line, _, raw in raw_rows(text, separator, source)
        )

    return rewritten(data, change)


def _with_cells(raw: str, separator: str, cells: Mapping[int, NewText]) -> str:
    """Return a row as it is written with cells changed; it is lengthened where it ends before one."""
    body = raw.rstrip("\r\n")
    end = raw[len(body) :]
    parts = _split(body, separator)
    parts += [""] * (max(cells) + 1 - len(parts))
    for place, new in cells.items():
        parts[place] = _quoted_like(parts[place], new, separator)
    return separator.join(parts) + end


def _split(body: str, separator: str) -> list[str]:
    """Return the cells of a row as they are written, with their quotes (RFC 4180, section 2)."""
    cell = re.compile(rf'"(?:[^"]|"")*"|[^{separator}]*')
    parts, at = [], 0
    while True:
        found = cell.match(body, at)
        parts.append(found[0] if found else "")
        at += len(parts[-1]) + 1
        if at > len(body):
            return parts


def _quoted_like(old: str, new: NewText, separator: str) -> str:
    quoted = old.startswith('"')
    text = new(old[1:-1].replace('""', '"') if quoted else old)
    if quoted or separator in text or '"' in text:
        return '"' + text.replace('"', '""') + '"'
    return text


def rows_with_cells(rows: list[Row], changes: Changes) -> list[list[object]]:
    """Return the rows of a sheet with cells changed, blank ones included, numbers as numbers.

    Parameters
    ----------
    rows : list of Row
        Rows that are not blank.
    changes : mapping of int to mapping of int to callable
        As for `rewritten_text`, by row.
    """
    result: list[list[object]] = []
    for row in rows:
        result += [[] for _ in range(row.line - 1 - len(result))]
        cells = [cell.text if isinstance(cell, Unusable) else cell for cell in row.cells]
        for place, new in changes.get(row.line, {}).items():
            cells += [""] * (place + 1 - len(cells))
            cells[place] = Plain(new(str(cells[place])))
        result.append([_as_number(cell) if isinstance(cell, Plain) else cell for cell in cells])
    return result


def _as_number(cell: str) -> object:
    """Return a number as such, since only text can be a formula."""
    try:
        return int(cell) if cell.lstrip("-").isdigit() else float(cell)
    except ValueError:
        return cell
