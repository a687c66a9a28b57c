"""The palette file: a table of bead colours as spreadsheets write it.

One header row and one bead colour a row; columns in any order and case. All faults are gathered and told with
file, line and column, so that a spreadsheet is mended in one go.
"""

import csv
import io
import math
import os
import stat
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from convert.colour.lab import lab_to_linear, srgb_to_lab
from convert.colour.measured import MEASURED
from convert.colour.palette import LONGEST_TEXT, BeadColour, Palette
from convert.colour.srgb import encode_to_bytes, parse_hex, to_hex
from convert.errors import PaletteError

MOST_BYTES = 20_000_000
MOST_ROWS = 100_000
FAULTS_TOLD = 10
SEPARATORS = ",;\t"
# Beads and grams beyond any shelf: a slip of the keyboard or a formula gone wrong.
MOST_ON_HAND = 1_000_000_000


Lab = tuple[float, float, float]


class _CellError(ValueError):
    """What is wrong with one cell."""


def _text(value: str) -> str:
    if len(value) > LONGEST_TEXT:
        raise _CellError(f"longer than {LONGEST_TEXT} characters")
    # Control characters would break terminals and XML; line breaks in a quoted name become spaces.
    value = " ".join(value.split())
    if not value.isprintable() or "\ufffe" in value or "\uffff" in value:
        raise _CellError("has a character that cannot be printed")
    return value


def _hex(value: str) -> str:
    try:
        parse_hex(value)
    except PaletteError as error:
        raise _CellError(f"{_shown(value)} is not a colour of the form #RRGGBB") from error
    return value.upper()


def _number(value: str, least: float = 0.0, *, over: bool = False) -> float:
    plain = value.replace(",", ".") if value.count(",") == 1 and "." not in value else value
    if not plain.isascii() or "_" in plain or len(plain) > 30:
        raise _CellError(f"{_shown(value)} is not a number")
    try:
        number = float(plain)
    except ValueError as error:
        raise _CellError(f"{_shown(value)} is not a number") from error
    if not math.isfinite(number) or number < least or (over and number == least) or number > MOST_ON_HAND:
        raise _CellError(f"{_shown(value)} must be {'over' if over else 'at least'} {least:g}")
    return number


def _count(value: str) -> int:
    number = _number(value)
    if number != int(number):
        raise _CellError(f"{_shown(value)} is not a whole number of beads")
    return int(number)


def _over_zero(value: str) -> float:
    return _number(value, over=True)


def _lab(value: str) -> Lab:
    parts = value.replace(";", " ").split()
    if len(parts) != 3:
        raise _CellError(f"{_shown(value)} is not three numbers L a b")
    lightness, a, b = (_number(part, -200.0) for part in parts)
    if not 0 <= lightness <= 100 or max(abs(a), abs(b)) > 200:
        raise _CellError(f"{_shown(value)} is no colour: L is 0 to 100, a and b -200 to 200")
    return lightness, a, b


def _measured(convert: Callable[[list[float]], Lab]) -> Callable[[str], Lab]:
    """Return the reader of a colour that an instrument gives as several numbers in one cell."""

    def read(value: str) -> Lab:
        numbers = []
        for part in value.replace(";", " ").split():
            try:
                numbers.append(float(part.replace(",", ".")))
            except ValueError as error:
                raise _CellError(f"{_shown(part)} is not a number") from error
        try:
            return convert(numbers)
        except PaletteError as error:
            raise _CellError(str(error)) from error

    return read


def _shown(value: str) -> str:
    short = value if len(value) <= 24 else value[:21] + "..."
    return "'" + "".join(letter if letter.isprintable() else "?" for letter in short) + "'"


COLUMNS: dict[str, Callable[[str], Any]] = {
    "code": _text,
    "name": _text,
    "hex": _hex,
    "lab": _lab,
    **{name: _measured(convert) for name, convert in MEASURED.items()},
    "size": _text,
    "finish": _text,
    "on_hand": _count,
    "on_hand_g": _number,
    "per_gram": _over_zero,
    "pack_g": _over_zero,
    "price": _number,
}
LAB_COLUMNS = ("lab", *MEASURED)
COLOUR_COLUMNS = ("hex", *LAB_COLUMNS)


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
        self.told: list[str] = []
        self.count = 0

    def add(self, line: int, column: str, what: str) -> None:
        self.count += 1
        if len(self.told) < FAULTS_TOLD:
            where = f"line {line}, column {column}" if column else f"line {line}"
            self.told.append(f"{where}: {what}")

    def raise_any(self) -> None:
        if self.count:
            more = f"; and {self.count - len(self.told)} more" if self.count > len(self.told) else ""
            raise PaletteError(
                f"{self.source}, {'; '.join(self.told)}{more}", "mend the named cells and try again"
            )


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
    name = "".join(
        letter if letter.isprintable() else "?" for letter in os.fsencode(source).decode("utf-8", "replace")
    )
    return parse_palette(_read(source, name), name)


def _read(path: Path, name: str) -> bytes:
    try:
        kind = path.stat().st_mode
        if stat.S_ISDIR(kind):
            raise PaletteError(f"{name} is a folder, not a palette file", "give a CSV file")
        if not stat.S_ISREG(kind):
            raise PaletteError(f"{name} is not a regular file", "give a CSV file")
        if path.stat().st_size > MOST_BYTES:
            raise PaletteError(
                f"{name} is larger than {MOST_BYTES // 1_000_000} MB", "give a CSV file of bead colours"
            )
        return path.read_bytes()
    except FileNotFoundError as error:
        raise PaletteError(f"there is no palette file {name}", "check the name") from error
    except (OSError, ValueError) as error:
        raise PaletteError(
            f"cannot read the palette file {name}: {getattr(error, 'strerror', error)}"
        ) from error


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
    rows = _rows(_decoded(data, source), source)
    header = next(rows, None)
    if header is None:
        raise PaletteError(f"{source} is empty", "give a CSV file with a header row and a bead colour a row")
    columns, notes = _columns(header, source)
    faults = _Faults(source)
    entries: list[BeadColour] = []
    seen: dict[tuple[str, str | None], int] = {}
    for row in rows:
        if len(entries) >= MOST_ROWS:
            raise PaletteError(f"{source} has more than {MOST_ROWS:,} rows", "give a smaller palette")
        entry = _entry(row, columns, len(header.cells), faults)
        if entry is not None:
            _note_clash(entry, row.line, seen, faults)
            entries.append(entry)
    faults.raise_any()
    if not entries:
        raise PaletteError(f"{source} has a header but no colour", "add a bead colour a row")
    name = source if source == "standard input" else Path(source).stem
    return Palette(name, tuple(entries)), notes


def _decoded(data: bytes, source: str) -> str:
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        # Nearly every byte means something in Windows-1252, so a picture would pass: NUL gives it away.
        text = "\0" if encoding == "utf-16" else data.decode("cp1252", "replace")
    if "\0" in text:
        raise PaletteError(f"{source} is not a text file", "save the palette as CSV, best in UTF-8")
    return text


def _rows(text: str, source: str) -> Iterator[_Row]:
    """Yield the rows that are not blank, with the line each begins on."""
    head = text.lstrip("\r\n").splitlines()[:1]
    separator = max(SEPARATORS, key=head[0].count) if head else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    line = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield _Row(line, [cell.strip() for cell in cells])
            line = reader.line_num + 1
    except csv.Error as error:
        raise PaletteError(
            f"{source}, line {line}: not a table ({error})", "check the quotes, or save it as CSV again"
        ) from error


def _columns(header: _Row, source: str) -> tuple[dict[int, str], tuple[str, ...]]:
    """Return the name of each known column by its place, and a note on the others."""
    columns: dict[int, str] = {}
    unknown = []
    for place, cell in enumerate(header.cells):
        name = "_".join(cell.lower().split())
        if name not in COLUMNS:
            if name:
                unknown.append(_shown(cell))
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


def _entry(row: _Row, columns: dict[int, str], width: int, faults: _Faults) -> BeadColour | None:
    before = faults.count
    values: dict[str, Any] = {}
    for place, name in columns.items():
        cell = row.cells[place] if place < len(row.cells) else ""
        if cell:
            try:
                values[name] = COLUMNS[name](cell)
            except _CellError as fault:
                faults.add(row.line, name, str(fault))
    if any(row.cells[width:]):
        faults.add(
            row.line, "", f"{len(row.cells)} cells where the header has {width}; quote a text with a comma"
        )
    if faults.count > before:
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


def _note_clash(
    entry: BeadColour, line: int, seen: dict[tuple[str, str | None], int], faults: _Faults
) -> None:
    """Add a fault if the code occurs before in the same size; a colour for every size clashes with each."""
    clashes = [seen.get((entry.code, entry.size)), seen.get((entry.code, None))]
    if entry.size is None:
        clashes.append(seen.get((entry.code, "")))
    first = next((at for at in clashes if at is not None), None)
    if first is not None:
        faults.add(line, "code", f"{_shown(entry.code)} occurs in this size in line {first} already")
    seen.setdefault((entry.code, entry.size), line)
    seen.setdefault((entry.code, ""), line)  # in any size; sizes are never the empty text
