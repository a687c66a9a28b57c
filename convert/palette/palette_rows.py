"""The rows of a palette table: each is read into a bead colour, or its faults are gathered."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from convert.colour.lab import lab_to_linear, srgb_to_lab
from convert.colour.srgb import encode_to_bytes, parse_hex, to_hex
from convert.colour.written import css_colour
from convert.errors import PaletteError
from convert.palette.amounts import Marks
from convert.palette.columns import Columns
from convert.palette.headings import CHANNELS, Heading
from convert.palette.model import BeadColour, shown
from convert.palette.number_column import NUMBERS, STOCK, NumberColumn, amounts
from convert.palette.palette_cells import (
    COLOUR_COLUMNS,
    COLUMNS,
    LAB_COLUMNS,
    WORD_COLUMNS,
    CellError,
    Lab,
    can_be_woven,
    hex_of_number,
    sizes,
    usable,
)
from convert.palette.table import Cells, Plain, Table
from convert.weave.beads import named_sizes

FAULTS_TOLD = 10
# Beads and grams of one bead colour are the same stock if they agree so well.
_STOCK_AGREES = 1.25


class Faults:
    """Faults gathered while a file is read."""

    def __init__(self, table: Table) -> None:
        self.source, self.row_word = table.source, table.row_word
        self.found: list[tuple[int, str]] = []

    def add(self, line: int, column: str, what: str) -> None:
        """Note a fault; `column` is empty where it is one of the whole row."""
        where = f"{self.row_word} {line}, column {column}" if column else f"{self.row_word} {line}"
        self.found.append((line, f"{where}: {what}"))

    def raise_any(self) -> None:
        """Raise what has been found, in the order of the rows.

        Raises
        ------
        PaletteError
            There is a fault.
        """
        if not self.found:
            return
        told = [fault for _, fault in sorted(self.found, key=lambda fault: fault[0])[:FAULTS_TOLD]]
        more = f"; and {len(self.found) - len(told)} more" if len(self.found) > len(told) else ""
        raise PaletteError(f"{self.source}, {'; '.join(told)}{more}", "mend the named cells and try again")


def _lab_of_hex(text: str) -> Lab:
    lightness, a, b = srgb_to_lab(np.array(parse_hex(text), np.uint8)).tolist()
    return lightness, a, b


def _hex_of_lab(lab: Lab) -> str:
    """Return the colour a screen can show that is nearest by clipping in linear light."""
    return to_hex(encode_to_bytes(lab_to_linear(np.array(lab))))


class RowReader:
    """Reads the rows of a table whose columns are understood.

    Parameters
    ----------
    columns : Columns
        What they hold.
    rows : sequence of Cells
        All rows.
    table : Table
        Where they stand.
    in_plain_table : bool
        Whether the heading names code and colour by their plain names.

    Attributes
    ----------
    faults : Faults
        What is wrong with the rows read so far.
    uncoloured : list of (int, str)
        Rows left out as their name is no colour of CSS, where colours are had from names.
    weighed_too : int
        Rows that give the stock in beads and in grams, of which the grams are left out.
    """

    def __init__(
        self, columns: Columns, rows: Sequence[Cells], table: Table, *, in_plain_table: bool
    ) -> None:
        self.columns = columns
        self.faults = Faults(table)
        self.uncoloured: list[tuple[int, str]] = []
        self.numbers = {
            heading.place: NumberColumn(
                heading,
                [row.of[heading.place] for row in rows if heading.place in row.of],
                table.separator != ",",
                self._all_marks,
                in_plain_table,
            )
            for heading in columns.headings
            if heading.field in NUMBERS
        }
        self.weighed_too = 0
        self._decimal_comma = table.separator != ","
        self._marks: Marks | None = None
        self._colour_column = next(
            (name for name in COLOUR_COLUMNS if columns.of(name)), "name" if columns.named_colours else "red"
        )
        self._count = 0

    def _all_marks(self) -> Marks:
        if self._marks is None:
            cells = (cell for column in self.numbers.values() for cell in column.cells)
            self._marks = Marks.shown_by(amounts(cells))
        return self._marks

    def unreadable(self, heading: Heading, rows: Sequence[Cells]) -> str:
        """Return what is wrong with the first cell of a column that cannot be read; empty where all can."""
        for row in rows:
            cell = row.of.get(heading.place)
            try:
                for size in self._value(heading, cell).get("size", ()) if cell else ():
                    if not can_be_woven(size):
                        return f"{shown(size)} is no known bead size"
            except CellError as fault:
                return str(fault)
        return ""

    def read(self, row: Cells) -> list[BeadColour]:
        """Return the bead colour of a row, in each of its sizes; none after noting its faults."""
        before = len(self.faults.found)
        self._count += 1
        values = self._values(row)
        if row.beyond:
            width = f"where the header has {row.width}"
            self.faults.add(row.line, "", f"{row.beyond} cells {width}; quote a text with a comma")
        if len(self.faults.found) == before:
            self._complete(row, values)
        if len(self.faults.found) > before or not values:
            return []
        in_sizes = values.pop("size", (None,))
        if len(in_sizes) > 1:
            per_size = next((name for name in (*STOCK, "per_gram") if values.get(name)), None)
            if per_size:
                self._fault(
                    row, per_size, f"may be of each of the sizes {', '.join(in_sizes)} or of all: a row each"
                )
                return []
        return [BeadColour(size=size, **values) for size in in_sizes]

    def currency(self) -> str:
        """Return the currency that signs beside the prices tell; empty where none does.

        Raises
        ------
        PaletteError
            They are in several, and cannot be added up.
        """
        told = ""
        for column in self.numbers.values():
            if len(column.currencies) > 1:
                raise PaletteError(
                    f"{self.faults.source}, column {column.heading.told}: prices are in"
                    f" {' and '.join(column.currencies)}",
                    "give all prices in one currency",
                )
            told = next(iter(column.currencies), told)
        return told

    def _fault(self, row: Cells, name: str, what: str) -> None:
        heading = self.columns.of(name)
        self.faults.add(row.line, heading.told if heading else name, what)

    def _values(self, row: Cells) -> dict[str, Any]:
        values: dict[str, Any] = {}
        for heading in self.columns.headings:
            cell = row.of.get(heading.place)
            if not cell:
                continue
            try:
                for name, value in self._value(heading, cell).items():
                    if name in values:
                        raise CellError("stock is given in beads and in grams, give one")
                    values[name] = value
            except CellError as fault:
                self.faults.add(row.line, heading.told, str(fault))
        return values

    def _value(self, heading: Heading, cell: str) -> dict[str, Any]:
        """Return the values a cell gives by column."""
        usable(cell)
        name = heading.field
        if heading.place in self.numbers and name in NUMBERS:
            return self.numbers[heading.place].read(cell)
        if name == "size":
            return {name: sizes(cell)}
        if name in CHANNELS:
            if not (cell.isascii() and cell.isdigit() and len(cell) < 4 and int(cell) < 256):
                raise CellError(f"{shown(cell)} is not a whole number from 0 to 255")
            return {name: int(cell)}
        if name == "hex" and isinstance(cell, Plain):
            return {name: hex_of_number(cell)}
        if self._decimal_comma and name not in WORD_COLUMNS:
            cell = cell.replace(",", ".")
        return {name: COLUMNS[name](cell)}

    def _complete(self, row: Cells, values: dict[str, Any]) -> None:
        """Give a row the code and the colour that its cells mean; note what is missing or given twice."""
        if not self._give_code(row, values) or not self._give_hex(row, values):
            return
        given = [name for name in LAB_COLUMNS if name in values]
        if len(given) > 1:
            self._fault(row, given[1], f"the colour is given in {given[0]} already, give one")
            return
        if "on_hand" in values and "on_hand_g" in values and not self._stock_agrees(values):
            beads, grams = values["on_hand"], values["on_hand_g"]
            both = f"stock is {beads} beads and {grams:g} g, which may be packs of so much"
            self._fault(row, "on_hand_g", f"{both}: give one, in all")
            return
        values["lab"] = values.pop(given[0]) if given else _lab_of_hex(values["hex"])
        values["hex"] = values.get("hex") or _hex_of_lab(values["lab"])
        values.setdefault("name", "")

    def _stock_agrees(self, values: dict[str, Any]) -> bool:
        """Tell whether beads and grams are the same stock, and leave the beads if so."""
        size = named_sizes().get(values.get("size", ("",))[0])
        per_gram = values.get("per_gram") or (size.beads_per_gram if size else 0)
        weighed = values["on_hand_g"] * per_gram
        beads = values["on_hand"]
        if not (beads <= weighed * _STOCK_AGREES and weighed <= beads * _STOCK_AGREES):
            return False
        del values["on_hand_g"]
        self.weighed_too += 1
        return True

    def _give_code(self, row: Cells, values: dict[str, Any]) -> bool:
        if not self.columns.of("code"):
            # What she calls a bead by is its code, and told once.
            name = values.get("name") if self.columns.of("name") else str(self._count)
            if name:
                values.update(code=name, name="")
        if values.get("code"):
            return True
        self._fault(row, "code" if self.columns.of("code") else "name", "is empty")
        return False

    def _give_hex(self, row: Cells, values: dict[str, Any]) -> bool:
        if self.columns.named_colours:
            name = values.get("name") or values["code"]
            rgb = css_colour(name)
            if rgb is None:
                self.uncoloured.append((row.line, name))
                values.clear()
                return False
            values["hex"] = to_hex(rgb)
        channels = [values.pop(name) for name in CHANNELS if name in values]
        if len(channels) == len(CHANNELS):
            values.setdefault("hex", to_hex(channels))
        elif channels:
            self._fault(row, "red", "red, green and blue are not all given")
            return False
        if not any(name in values for name in COLOUR_COLUMNS):
            self._fault(row, self._colour_column, "is empty")
            return False
        return True
