"""One pass over the XML of a spreadsheet file: how far its cells reach, and what no reader tells of them."""

import re
from dataclasses import dataclass, field
from xml.parsers import expat

from convert.errors import PaletteError
from convert.palette.table import MOST_ROWS, too_many_rows

# Blank cells between others count, as the reader keeps them.
MOST_CELLS = 4_000_000
MOST_COLUMNS = 16_384
MOST_MERGED = 10_000
MOST_FAULTS = 200_000
XLSX, ODS = "xlsx", "ods"

_ADDRESS = re.compile(r"\$?([A-Za-z]{1,9})\$?([0-9]{1,12})")
_CHUNK = 1 << 16
NO_VALUE = "is a formula whose value was not saved: open the file in a spreadsheet and save it again"
A_FAULT = "is a formula that failed: mend it, or type the value"

Cell = tuple[int, int]


@dataclass(slots=True)
class SheetCheck:
    """What has been found in a sheet.

    Parameters
    ----------
    faults : dict of (int, int) to str
        Cells without a value a reader could give, by row and column from 0.
    merged : list of (int, int, int, int)
        First and last row, first and last column of each cell that covers several.
    """

    faults: dict[Cell, str] = field(default_factory=dict)
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)

    def check_count(self, source: str) -> None:
        """Check that there is no more of either than a table can have."""
        if len(self.faults) > MOST_FAULTS or len(self.merged) > MOST_MERGED:
            what = "formulas without a value" if len(self.faults) > MOST_FAULTS else "merged cells"
            raise PaletteError(f"{source} has too many {what}", "save the table as CSV")


def check_part(name: str, content: bytes, kind: str, extent: "Extent", sheets: dict[str, SheetCheck]) -> None:
    """Go through a part of a workbook once, and note what is in its sheets.

    Parameters
    ----------
    name : str
        Name of the part.
    content : bytes
        XML.
    kind : str
        `XLSX` or `ODS`.
    extent : Extent
        That of the workbook so far.
    sheets : dict of str to SheetCheck
        Takes what is found, by the part for .xlsx, by the name of the sheet for .ods.

    Raises
    ------
    PaletteError
        It is too large, or defines entities.
    expat.ExpatError, ValueError
        It is damaged.
    """
    parser = expat.ParserCreate()

    def refuse(*_: object) -> None:
        raise PaletteError(
            f"{extent.source} defines entities of its own, which no spreadsheet does",
            "open it in a spreadsheet and save it again",
        )

    # Without a document type there are no entities, neither in the file nor outside it.
    parser.StartDoctypeDeclHandler = refuse
    if kind == ODS and name == "content.xml":
        _OdsCells(parser, extent, sheets)
    elif kind == XLSX and name.lower().startswith("xl/worksheets/"):
        _XlsxCells(parser, extent, sheets.setdefault(name, SheetCheck()))
    for start in range(0, len(content), _CHUNK):
        parser.Parse(content[start : start + _CHUNK], False)
    parser.Parse(b"", True)


class Extent:
    """The rectangles from the first cell of each sheet to its last, which the reader keeps whole.

    Parameters
    ----------
    source : str
        Name of the workbook, for messages.
    """

    def __init__(self, source: str) -> None:
        self.source = source
        self.rows = self.columns = self.filled = self.before = 0

    def begin_sheet(self) -> None:
        """Begin another sheet of the same workbook."""
        self.before += self.rows * self.columns
        self.rows = self.columns = self.filled = 0

    def reaches(self, row: int, column: int, repeated: int = 1) -> None:
        """Take a cell in, the last of so many rows that are alike.

        Raises
        ------
        PaletteError
            The workbook is larger than any palette.
        """
        if row >= self.rows:
            self.rows = row + 1
            self.filled += repeated
            # Titles, totals and the like may come on top of what a palette may have.
            if self.filled > MOST_ROWS + 1_000:
                raise too_many_rows(self.source)
        self.columns = max(self.columns, column + 1)
        if self.columns > MOST_COLUMNS or self.before + self.rows * self.columns > MOST_CELLS:
            raise PaletteError(
                f"{self.source} has a sheet of {self.rows:,} rows and {self.columns:,} columns",
                "delete what lies far below and beside the table, or copy the table to a new file",
            )


class _XlsxCells:
    """Goes through a sheet of .xlsx (ECMA-376, part 1, section 18.3.1)."""

    def __init__(self, parser: "expat.XMLParserType", extent: Extent, found: SheetCheck) -> None:
        self.source, self.extent, self.found = extent.source, extent, found
        extent.begin_sheet()
        self.row = self.column = -1
        self.kind = ""
        self.formula = self.value = self.in_value = False
        self.tags = _Tags()
        parser.StartElementHandler = self.start
        parser.EndElementHandler = self.end
        parser.CharacterDataHandler = self.text

    def start(self, name: str, attributes: dict[str, str]) -> None:
        tag = self.tags[name]
        if tag == "c":
            self._begin_cell(attributes)
        elif tag == "row":
            number = attributes.get("r", "")
            self.row = int(number) - 1 if number else self.row + 1
            self.column = -1
        elif tag == "f":
            self.formula = True
        elif tag in ("v", "is"):
            self.in_value = True
        elif tag == "mergeCell":
            self._merge(attributes.get("ref", ""))

    def _begin_cell(self, attributes: dict[str, str]) -> None:
        if "r" in attributes:
            address = _ADDRESS.fullmatch(attributes["r"])
            if address is None:
                raise ValueError(attributes["r"])
            self.row, self.column = int(address[2]) - 1, column_number(address[1])
        else:
            self.column += 1
        self.kind = attributes.get("t", "n")
        self.formula = self.value = False

    def _merge(self, reference: str) -> None:
        ends = [_ADDRESS.fullmatch(end) for end in reference.split(":")]
        if len(ends) == 2 and ends[0] and ends[1]:
            (first, top), (last, bottom) = ((column_number(end[1]), int(end[2]) - 1) for end in ends if end)
            self.found.merged.append((top, bottom, first, last))
            self.found.check_count(self.source)

    def text(self, text: str) -> None:
        if self.in_value:
            self.value = True

    def end(self, name: str) -> None:
        tag = self.tags[name]
        if tag == "c":
            if self.value or self.formula or self.kind == "e":
                self._end_cell()
        elif tag in ("v", "is"):
            self.in_value = False

    def _end_cell(self) -> None:
        place = (max(self.row, 0), self.column)
        self.extent.reaches(*place)
        if self.kind == "e":
            self.found.faults[place] = A_FAULT
        elif self.formula and not self.value and self.kind != "str":
            self.found.faults[place] = NO_VALUE
        else:
            return
        self.found.check_count(self.source)


class _OdsCells:
    """Goes through the sheets of .ods (OpenDocument 1.3, part 3, section 9.1)."""

    def __init__(self, parser: "expat.XMLParserType", extent: Extent, sheets: dict[str, SheetCheck]) -> None:
        self.source, self.extent, self.sheets = extent.source, extent, sheets
        self.found = SheetCheck()
        self.row = self.column = 0
        self.last = (0, 0, 1)
        self.row_repeated = 1
        self.tags = _Tags()
        parser.StartElementHandler = self.start
        parser.EndElementHandler = self.end

    def start(self, name: str, attributes: dict[str, str]) -> None:
        tag = self.tags[name]
        if tag == "p":
            self.extent.reaches(*self.last)
        elif tag == "table":
            self.found = SheetCheck()
            self.extent.begin_sheet()
            self.sheets[_given(attributes, "name")] = self.found
            self.row = 0
        elif tag == "table-row":
            self.row_repeated = _count(_given(attributes, "number-rows-repeated"))
            self.column = 0
        elif tag in ("table-cell", "covered-table-cell"):
            self._cell(attributes)

    def _cell(self, attributes: dict[str, str]) -> None:
        repeated = _count(_given(attributes, "number-columns-repeated"))
        self.last = (self.row + self.row_repeated - 1, self.column + repeated - 1, self.row_repeated)
        # LibreOffice has a type of its own for a formula that failed, beside that of the standard.
        kinds = {value for key, value in attributes.items() if key.endswith(":value-type")}
        formula = _given(attributes, "formula")
        if kinds or formula:
            self.extent.reaches(*self.last)
        if formula and "error" in kinds:
            self.found.faults[self.row, self.column] = A_FAULT
        elif formula and "string" not in kinds and not any(key.endswith("value") for key in attributes):
            self.found.faults[self.row, self.column] = NO_VALUE
        rows, columns = (_count(_given(attributes, f"number-{way}-spanned")) for way in ("rows", "columns"))
        if rows * columns > 1:
            self.found.merged.append((self.row, self.row + rows - 1, self.column, self.column + columns - 1))
        self.found.check_count(self.source)
        self.column += repeated

    def end(self, name: str) -> None:
        if self.tags[name] == "table-row":
            self.row += self.row_repeated


class _Tags(dict[str, str]):
    """Names of elements without the prefix of their namespace, which each writer chooses."""

    def __missing__(self, name: str) -> str:
        self[name] = tag = name.rpartition(":")[2]
        return tag


def _given(attributes: dict[str, str], name: str) -> str:
    return next((value for key, value in attributes.items() if key.endswith(f":{name}")), "")


def _count(text: str) -> int:
    return int(text) if text else 1


def column_number(letters: str) -> int:
    """Return the number of a column from 0 for its letters: A is 0, AA is 26."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - ord("A") + 1
    return number - 1
