"""The palette file: a table of bead colours as spreadsheets write it.

One bead colour a row below a heading, columns in any order; `convert.palette.headings` says what the words
in the heading mean. All faults are gathered and told with file, line and column, so that a table is mended in
one go; what can be read in two ways is a fault, too.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path

from convert.colour.written import css_colour, numeric_colour
from convert.errors import PaletteError, printable
from convert.palette.columns import Columns, understood
from convert.palette.headings import (
    CHANNELS,
    COLOUR,
    COLOUR_CODE,
    MOST_ROWS_ABOVE,
    Header,
    find_header,
)
from convert.palette.model import LONGEST_TEXT, BeadColour, Palette, clashes, currency_clash, shown
from convert.palette.number_column import NUMBERS, STOCK
from convert.palette.palette_cells import COLOUR_COLUMNS, column_meant
from convert.palette.palette_rows import RowReader
from convert.palette.reading_notes import code_notes, column_notes, reading_notes, row_notes, size_notes
from convert.palette.table import MOST_ROWS, Cells, Row, Table, text_tables, too_many_rows
from convert.palette.text_file import check_bytes, read_bytes
from convert.palette.workbook import sheets_told, workbook_tables
from convert.palette.workbook_check import is_workbook
from convert.settings.money import is_currency

STANDARD_INPUT = "standard input"
_TOTAL = re.compile(r"(?:(?:grand|sub|in)[ -]?)?totals?\b.*|sum\b.*|altogether\b.*|∑.*|Σ.*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Shelf:
    """A palette with the table it was read from.

    Parameters
    ----------
    palette : Palette
        The bead colours.
    notes : tuple of str
        What was understood, guessed and left out.
    table : Table
        The table, whose rows have been read.
    lines : tuple of int
        Line or row each entry of the palette stands in.
    stock : tuple of (int, str)
        Places of the columns that hold stock, each with its unit: ``beads``, ``g`` or ``kg``.
    """

    palette: Palette
    notes: tuple[str, ...]
    table: Table
    lines: tuple[int, ...]
    stock: tuple[tuple[int, str], ...]


def read_palette(source: Path | bytes, sheet: str | None = None) -> tuple[Palette, tuple[str, ...]]:
    """Return the palette of a file, and notes on what was understood and what was ignored.

    Parameters
    ----------
    source : Path or bytes
        The file, or what came on standard input.
    sheet : str, optional
        Sheet of a workbook, by its name or its number from 1; without it the one that has a palette.

    Raises
    ------
    PaletteError
        It cannot be read, or has faults; the message names file, line and column.
    """
    if isinstance(source, bytes):
        return parse_palette(source, STANDARD_INPUT, sheet)
    name = printable(source)
    return parse_palette(read_bytes(source, name), name, sheet)


def parse_palette(data: bytes, source: str, sheet: str | None = None) -> tuple[Palette, tuple[str, ...]]:
    """Return the palette that a file's bytes hold, and notes; see `parse_shelf`."""
    shelf = parse_shelf(data, source, sheet)
    return shelf.palette, shelf.notes


def parse_shelf(data: bytes, source: str, sheet: str | None = None) -> Shelf:
    """Return the palette that a file's bytes hold, with the places of its stock.

    Parameters
    ----------
    data : bytes
        CSV in UTF-8, UTF-16 with a byte order mark, or Windows-1252, with comma, semicolon or tab; or .xlsx
        or .ods.
    source : str
        Name of the file, for messages.
    sheet : str, optional
        Sheet of a workbook, by its name or its number from 1.

    Raises
    ------
    PaletteError
        The bytes are no such table, or have faults.
    """
    check_bytes(len(data), source)
    table, header, rows = _chosen(data, source, sheet)
    cells, passed = _cut(rows, header, table)
    cells, total = _without_totals(cells, header, table)
    table = replace(table, notes=(*table.notes, *passed, *total))
    try:
        return _shelf(header, cells, table, source)
    except PaletteError as error:
        if not header.plain or header == header.in_plain_names():
            raise
        # The table loaded before other words were understood, and is complete without.
        table = replace(table, notes=(*table.notes, f"columns of other names were left out: {error}"))
        with suppress(PaletteError):
            return _shelf(header.in_plain_names(), cells, table, source)
        raise


def _shelf(header: Header, cells: Sequence[Cells], table: Table, source: str) -> Shelf:
    """Return the palette of the rows below a heading."""
    columns = understood(header, cells, table)
    columns, kept_out = _only_readable(columns, cells, table, header)
    reader = RowReader(columns, cells, table, in_plain_table=header.plain)
    entries: list[BeadColour] = []
    lines: list[int] = []
    for row in cells:
        found = reader.read(row)
        entries += found
        lines += [row.line] * len(found)
    for later, earlier in clashes((entry.code, entry.size) for entry in entries):
        column = columns.of("code") or columns.of("name")
        what = (
            f"{shown(entries[later].code)} occurs in this size in {table.row_word} {lines[earlier]} already"
        )
        reader.faults.add(lines[later], column.told if column else "code", what)
    if clash := currency_clash(entry.currency for entry in entries):
        first, other = (shown(entries[index].currency) for index in clash)
        what = f"{other} where {table.row_word} {lines[clash[0]]} has {first}, give one"
        reader.faults.add(lines[clash[1]], "currency", what)
    reader.faults.raise_any()
    entries = _priced(entries, reader.currency())
    if not entries:
        raise PaletteError(f"{table.source} has a header but no colour", "add a bead colour a row")
    notes = (
        *reading_notes(columns, header, table, len({entry.code for entry in entries})),
        *table.notes,
        *column_notes(columns, kept_out, table),
        *row_notes(reader, table),
        *size_notes(entries, lines, table),
        *code_notes(entries, lines, table),
    )
    name = source if source == STANDARD_INPUT else Path(source).stem
    stock = tuple(
        (heading.place, heading.unit or {"on_hand": "beads"}.get(heading.field, "g"))
        for heading in columns.headings
        if heading.field in STOCK
    )
    return Shelf(Palette(name[:LONGEST_TEXT], tuple(entries)), notes, table, tuple(lines), stock)


def _priced(entries: list[BeadColour], sign: str) -> list[BeadColour]:
    """Return the bead colours with the currency that signs beside their prices tell, if no column does."""
    if not is_currency(sign) or any(entry.currency for entry in entries):
        return entries
    return [replace(entry, currency=sign) if entry.price is not None else entry for entry in entries]


def _chosen(data: bytes, source: str, sheet: str | None) -> tuple[Table, Header, Iterator[Row]]:
    """Return the table of a file that can be a palette, its heading and the rows below."""
    book = is_workbook(data)
    if sheet is not None and not book:
        raise PaletteError(f"{source} is a text file, which has no sheets", "leave --sheet out")
    tables = workbook_tables(data, source, sheet) if book else text_tables(data, source)
    found: list[tuple[Table, Header, list[Row], PaletteError | None]] = []
    fault: PaletteError | None = None
    first: Row | None = None
    for table in tables:
        rows, broken = _first_rows(table)
        first = first or next(iter(rows), None)
        header = None
        try:
            header = find_header(rows, table)
        except PaletteError as error:
            fault = fault or error
        fault = fault or broken
        if header is not None:
            found.append((table, header, rows, broken))
    if not found:
        raise fault or _no_header(first, source, "row" if book else "line")
    if book and len(found) > 1:
        names = sheets_told([table.sheet or "" for table, *_ in found])
        raise PaletteError(
            f"{source} has {len(found)} sheets that can be the palette: {names}", "name one with --sheet"
        )
    table, header, rows, broken = max(found, key=lambda one: (one[1].plain, _plain_names(one[1])))
    if broken is not None:
        raise broken
    return table, header, chain(rows[header.rows :], table.rows)


def _plain_names(header: Header) -> tuple[int, int]:
    return len({one.field for one in header.headings if one.plain}), len(header.fields)


def _first_rows(table: Table) -> tuple[list[Row], PaletteError | None]:
    """Return the first rows, so many as a heading may stand among, and what is wrong with a later one."""
    rows: list[Row] = []
    try:
        for row in table.rows:
            rows.append(row)
            if len(rows) > MOST_ROWS_ABOVE:
                break
    except PaletteError as error:
        return rows, error
    return rows, None


def _no_header(first: Row | None, source: str, row_word: str) -> PaletteError:
    if first is None:
        return PaletteError(f"{source} is empty", "give a table with a header row and a bead colour a row")
    if first.cells[0].startswith("<"):
        return PaletteError(
            f"{source} is a web page or XML, not a table",
            "open it in a spreadsheet and save it as .xlsx or CSV",
        )
    return PaletteError(
        f"{source}, {row_word} {first.line}: no header here or below has a column for the colour",
        column_meant(first.cells, COLOUR_COLUMNS)
        or "name the columns in one row, such as code, name, hex, size, on_hand, price",
    )


def _cut(rows: Iterable[Row], header: Header, table: Table) -> tuple[list[Cells], tuple[str, ...]]:
    """Return the rows cut down to the columns of the heading, without those that say the heading again."""
    places = [heading.place for heading in header.headings]
    width = len(header.cells)
    cut: list[Cells] = []
    repeated = 0
    for row in rows:
        if header.repeated_by(row):
            repeated += 1
            continue
        if len(cut) == MOST_ROWS:
            raise too_many_rows(table.source)
        of = {place: row.cells[place] for place in places if place < len(row.cells) and row.cells[place]}
        # In a sheet remarks stand beside a table; in a text file a comma has slipped in.
        beyond = len(row.cells) if table.separator and any(row.cells[width:]) else 0
        cut.append(Cells(row.line, of, next(cell for cell in row.cells if cell), beyond, width))
    where = f"{table.source}: the heading stands there {repeated + 1} times"
    return cut, ((where,) if repeated else ())


def _without_totals(rows: list[Cells], header: Header, table: Table) -> tuple[list[Cells], tuple[str, ...]]:
    """Return the rows without those at the end that sum the others up."""
    fields = {heading.place: heading.field for heading in header.headings}
    end = len(rows)
    while end > 1 and _is_total(rows[end - 1], fields):
        end -= 1
    left = rows[end:]
    return rows[:end], tuple(
        f"{table.source}: {table.row_word} {row.line} was taken for totals and left out" for row in left
    )


def _is_total(row: Cells, fields: dict[int, str]) -> bool:
    held = {fields[place] for place in row.of}
    has_colour = any(
        fields[place] in (COLOUR, COLOUR_CODE) and numeric_colour(cell) for place, cell in row.of.items()
    )
    if has_colour or not held.isdisjoint((*COLOUR_COLUMNS, *CHANNELS)):
        return False
    if _TOTAL.fullmatch(row.first):
        return css_colour(row.first) is None
    return bool(held) and held.issubset(NUMBERS)


def _only_readable(
    columns: Columns, rows: Sequence[Cells], table: Table, header: Header
) -> tuple[Columns, list[str]]:
    """Leave out columns of common speech that cannot be read beside plain names for code and colour.

    Such a table is complete without, and loaded before those words were understood.
    """
    if not header.plain:
        return columns, []
    reader = RowReader(columns, rows, table, in_plain_table=True)
    faults = {
        heading.place: reader.unreadable(heading, rows) for heading in columns.headings if not heading.plain
    }
    kept = tuple(heading for heading in columns.headings if not faults.get(heading.place))
    told = [
        f"{shown(heading.text)} ({faults[heading.place]})"
        for heading in columns.headings
        if faults.get(heading.place)
    ]
    return replace(columns, headings=kept), told
