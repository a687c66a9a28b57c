"""The palette file: a table of bead colours as spreadsheets write it.

One header row and one bead colour a row; columns in any order and case. All faults are gathered and told with
file, line and column, so that a spreadsheet is mended in one go.
"""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from convert.colour.lab import lab_to_linear, srgb_to_lab
from convert.colour.srgb import encode_to_bytes, parse_hex, to_hex
from convert.errors import PaletteError, printable
from convert.palette.model import LONGEST_TEXT, BeadColour, Palette, clashes
from convert.palette.palette_cells import (
    COLOUR_COLUMNS,
    COLUMNS,
    LAB_COLUMNS,
    WORD_COLUMNS,
    CellError,
    Lab,
    shown,
)
from convert.palette.text_file import check_bytes, decoded, read_bytes
from convert.weave.beads import named_sizes

MOST_ROWS = 100_000
FAULTS_TOLD = 10
SEPARATORS = ",;\t"
# Of a shelf from a photograph: to be read by people, and no fault of the file.
PASSED_OVER = {"spread"}


def _lab_of_hex(text: str) -> Lab:
    lightness, a, b = srgb_to_lab(np.array(parse_hex(text), np.uint8)).tolist()
    return lightness, a, b


def _hex_of_lab(lab: Lab) -> str:
    """Return the colour a screen can show that is nearest by clipping in linear light."""
    return to_hex(encode_to_bytes(lab_to_linear(np.array(lab))))


@dataclass(frozen=True, slots=True)
class _Row:
    line: int
    cells: list[str]


class _Faults:
    """Faults gathered while a file is read."""

    def __init__(self, source: str) -> None:
        self.source = source
        self.found: list[tuple[int, str]] = []

    def add(self, line: int, column: str, what: str) -> None:
        where = f"line {line}, column {column}" if column else f"line {line}"
        self.found.append((line, f"{where}: {what}"))

    def raise_any(self) -> None:
        if not self.found:
            return
        told = [fault for _, fault in sorted(self.found, key=lambda fault: fault[0])[:FAULTS_TOLD]]
        more = f"; and {len(self.found) - len(told)} more" if len(self.found) > len(told) else ""
        raise PaletteError(f"{self.source}, {'; '.join(told)}{more}", "mend the named cells and try again")


def read_palette(source: Path | bytes) -> tuple[Palette, tuple[str, ...]]:
    """Return the palette of a file, and notes on what was ignored.

    Parameters
    ----------
    source : Path or bytes
        The file, or what came on standard input.

    Raises
    ------
    PaletteError
        It cannot be read, or has faults; the message names file, line and column.
    """
    if isinstance(source, bytes):
        return parse_palette(source, "standard input")
    name = printable(source)
    return parse_palette(read_bytes(source, name), name)


def parse_palette(data: bytes, source: str) -> tuple[Palette, tuple[str, ...]]:
    """Return the palette that a file's bytes hold, and notes on what was ignored.

    Parameters
    ----------
    data : bytes
        CSV in UTF-8, UTF-16 with a byte order mark, or Windows-1252; comma, semicolon or tab.
    source : str
        Name of the file, for messages.

    Raises
    ------
    PaletteError
        The bytes are no such table, or have faults.
    """
    check_bytes(len(data), source)
    text, decoding_notes = decoded(data, source)
    separator = _separator(text)
    rows = _rows(text, separator, source)
    header = next(rows, None)
    if header is None:
        raise PaletteError(f"{source} is empty", "give a CSV file with a header row and a bead colour a row")
    columns, column_notes = _columns(header, source)
    faults = _Faults(source)
    entries: list[BeadColour] = []
    lines: list[int] = []
    for row in rows:
        if len(entries) >= MOST_ROWS:
            raise PaletteError(f"{source} has more than {MOST_ROWS:,} rows", "give a smaller palette")
        entry = _entry(row, columns, len(header.cells), separator, faults)
        if entry is not None:
            entries.append(entry)
            lines.append(row.line)
    for later, earlier in clashes((entry.code, entry.size) for entry in entries):
        code = shown(entries[later].code)
        faults.add(lines[later], "code", f"{code} occurs in this size in line {lines[earlier]} already")
    faults.raise_any()
    if not entries:
        raise PaletteError(f"{source} has a header but no colour", "add a bead colour a row")
    name = source if source == "standard input" else Path(source).stem
    notes = decoding_notes + column_notes + _size_notes(entries, lines, source)
    return Palette(name[:LONGEST_TEXT], tuple(entries)), notes


def _size_notes(entries: list[BeadColour], lines: list[int], source: str) -> tuple[str, ...]:
    """Return a note on sizes that have no known measures: most often they are misspelt."""
    first: dict[str, int] = {}
    for entry, line in zip(entries, lines, strict=True):
        if entry.size is not None:
            first.setdefault(entry.size, line)
    unknown = [f"{shown(size)} (line {line})" for size, line in first.items() if size not in named_sizes()]
    if not unknown:
        return ()
    more = f" and {len(unknown) - FAULTS_TOLD} more" if len(unknown) > FAULTS_TOLD else ""
    return (
        f"{source}: no known bead size: {', '.join(unknown[:FAULTS_TOLD])}{more};"
        " such colours are used only where --beads or --connectors names and measures that size",
    )


def _separator(text: str) -> str:
    """Return the separator that makes the most column names of the first row that is not blank."""

    def names(separator: str) -> int:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
        try:
            header = next((cells for cells in reader if any(cell.strip() for cell in cells)), [])
        except csv.Error:
            return 0
        return len({_column_name(cell) for cell in header} & COLUMNS.keys())

    return max(SEPARATORS, key=names)


def _column_name(cell: str) -> str:
    return "_".join(cell.lower().split())


def _rows(text: str, separator: str, source: str) -> Iterator[_Row]:
    """Yield the rows that are not blank, with the line each begins on."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    line = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield _Row(line, [cell.strip() for cell in cells])
            line = reader.line_num + 1
    except csv.Error as error:
        raise PaletteError(
            f"{source}, line {line}: not a table ({error})",
            "close every quotation mark, double those within a text, or save it as CSV again",
        ) from error


def _columns(header: _Row, source: str) -> tuple[dict[int, str], tuple[str, ...]]:
    """Return the name of each known column by its place, and a note on the others."""
    columns: dict[int, str] = {}
    unknown = []
    for place, cell in enumerate(header.cells):
        name = _column_name(cell)
        if name not in COLUMNS:
            if name and name not in PASSED_OVER:
                unknown.append(shown(cell))
        elif name in columns.values():
            raise PaletteError(
                f"{source}, line {header.line}, column {name}: occurs twice", "keep one of them"
            )
        else:
            columns[place] = name
    if "code" not in columns.values():
        raise PaletteError(
            f"{source}, line {header.line}: the header has no column 'code'",
            f"the first row names the columns: {', '.join(COLUMNS)}",
        )
    if not any(name in columns.values() for name in COLOUR_COLUMNS):
        raise PaletteError(
            f"{source}, line {header.line}: the header has no column for the colour",
            f"name one column {' or '.join(COLOUR_COLUMNS)}",
        )
    notes = (
        (f"{source}: ignored column{'s' * (len(unknown) > 1)} {', '.join(unknown[:5])}",) if unknown else ()
    )
    return columns, notes


def _entry(
    row: _Row, columns: dict[int, str], width: int, separator: str, faults: _Faults
) -> BeadColour | None:
    """Return the bead colour of a row, or None after adding its faults."""
    before = len(faults.found)
    values: dict[str, Any] = {}
    for place, name in columns.items():
        cell = row.cells[place] if place < len(row.cells) else ""
        if cell:
            if separator != "," and name not in WORD_COLUMNS:
                cell = cell.replace(",", ".")
            try:
                values[name] = COLUMNS[name](cell)
            except CellError as fault:
                faults.add(row.line, name, str(fault))
    if any(row.cells[width:]):
        faults.add(
            row.line, "", f"{len(row.cells)} cells where the header has {width}; quote a text with a comma"
        )
    if len(faults.found) > before:
        return None
    if not values.get("code"):
        faults.add(row.line, "code", "is empty")
        return None
    if not any(name in values for name in COLOUR_COLUMNS):
        faults.add(row.line, next(name for name in COLOUR_COLUMNS if name in columns.values()), "is empty")
        return None
    given = [name for name in LAB_COLUMNS if name in values]
    if len(given) > 1:
        faults.add(row.line, given[1], f"the colour is given in {given[0]} already, give one")
        return None
    if "on_hand" in values and "on_hand_g" in values:
        faults.add(row.line, "on_hand_g", "stock is given in beads and in grams, give one")
        return None
    lab = values.pop(given[0]) if given else _lab_of_hex(values["hex"])
    return BeadColour(
        code=values.pop("code"),
        name=values.pop("name", ""),
        size=values.pop("size", None),
        hex=values.pop("hex", None) or _hex_of_lab(lab),
        lab=lab,
        **values,
    )
