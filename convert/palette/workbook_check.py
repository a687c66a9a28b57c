"""What a spreadsheet file is checked for before any library opens it.

A few kilobytes of .xlsx or .ods can unpack to gigabytes, or claim a cell in the last of 17 thousand million
places. So the parts that hold cells are unpacked here up to a limit, gone through once for the extent of
their cells and for what no reader tells (formulas without a value), and packed again: what the reader gets is
what has been checked. Macros, pictures and links to other files are not among those parts.
"""

import io
import re
import zipfile
import zlib
from dataclasses import dataclass, field
from xml.etree import ElementTree
from xml.parsers import expat

from convert.errors import PaletteError
from convert.palette.table import MOST_ROWS, too_many_rows

MOST_UNPACKED = 64_000_000
MOST_PARTS = 2_000
# Blank ones between others count, as the reader keeps them.
MOST_CELLS = 4_000_000
MOST_COLUMNS = 16_384
MOST_MERGED = 10_000
MOST_FAULTS = 200_000
XLSX, ODS = "xlsx", "ods"

# The parts that hold cells, and those without which a reader does not find them.
_XLSX_PARTS = re.compile(
    r"\[Content_Types\]\.xml|_rels/\.rels|xl/_rels/workbook\.xml\.rels|xl/(workbook|styles|sharedStrings)\.xml"
    r"|xl/worksheets/[^/]+\.xml",
    re.IGNORECASE,
)
_ODS_PARTS = re.compile(r"mimetype|META-INF/manifest\.xml|content\.xml")
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
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


@dataclass(frozen=True, slots=True)
class Checked:
    """A workbook that may be opened.

    Parameters
    ----------
    kind : str
        `XLSX` or `ODS`.
    data : bytes
        The parts with cells, packed again.
    sheets : dict of str to SheetCheck
        By its name.
    has_macros : bool
        Whether there are macros, which are not among the parts.
    """

    kind: str
    data: bytes
    sheets: dict[str, SheetCheck]
    has_macros: bool


def is_workbook(data: bytes) -> bool:
    """Tell whether a file is a zip archive or an older workbook, rather than text."""
    return data.startswith((b"PK\x03\x04", b"PK\x05\x06", _OLE))


def checked_workbook(data: bytes, source: str) -> Checked:
    """Return a workbook with nothing in it but its cells.

    Parameters
    ----------
    data : bytes
        The file.
    source : str
        Its name, for messages.

    Raises
    ------
    PaletteError
        It is of another kind, has a password, is too large unpacked, or is damaged.
    """
    if data.startswith(_OLE):
        if "EncryptedPackage".encode("utf-16-le") in data:
            raise _locked(source)
        raise PaletteError(f"{source} is a workbook of the older kind .xls", "save it as .xlsx, .ods or CSV")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return _checked(archive, source)
    except (
        zipfile.BadZipFile,
        zlib.error,
        EOFError,
        NotImplementedError,
        expat.ExpatError,
        ValueError,
    ) as error:
        if isinstance(error, PaletteError):
            raise
        raise PaletteError(f"{source} is damaged", "open it in a spreadsheet and save it again") from error


def _locked(source: str) -> PaletteError:
    return PaletteError(f"{source} has a password", "save it without one, or as CSV")


def _checked(archive: zipfile.ZipFile, source: str) -> Checked:
    infos = {info.filename: info for info in archive.infolist()}
    kind = ODS if "content.xml" in infos else XLSX if "xl/workbook.xml" in infos else None
    if kind is None:
        what = (
            "a workbook of the kind .xlsb"
            if "xl/workbook.bin" in infos
            else "a zip archive, but no spreadsheet"
        )
        raise PaletteError(f"{source} is {what}", "save the table as .xlsx, .ods or CSV")
    if any(info.flag_bits & 1 for info in infos.values()):
        raise _locked(source)
    wanted = _XLSX_PARTS if kind == XLSX else _ODS_PARTS
    parts = [info for name, info in infos.items() if wanted.fullmatch(name)]
    if len(infos) > MOST_PARTS or sum(info.file_size for info in parts) > MOST_UNPACKED:
        raise _too_large(source)
    sheets: dict[str, SheetCheck] = {}
    packed = io.BytesIO()
    left, extent = MOST_UNPACKED, _Extent(source)
    ways: dict[str, bytes] = {}
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_STORED) as copy:
        for info in parts:
            content = _unpacked(archive, info, left, source)
            left -= len(content)
            if info.filename == "META-INF/manifest.xml" and b"encryption-data" in content:
                raise _locked(source)
            if info.filename.endswith((".xml", ".rels")):
                _check_part(info.filename, content, kind, extent, sheets)
            if info.filename in ("xl/workbook.xml", "xl/_rels/workbook.xml.rels"):
                ways[info.filename] = content
            copy.writestr(info.filename, content)
    if kind == XLSX:
        named = _sheet_parts(ways["xl/workbook.xml"], ways.get("xl/_rels/workbook.xml.rels", b"<none/>"))
        sheets = {name: sheets.get(part, SheetCheck()) for name, part in named.items()}
    has_macros = any(name.endswith("vbaProject.bin") or name.startswith("Basic/") for name in infos)
    return Checked(kind, packed.getvalue(), sheets, has_macros)


def _sheet_parts(workbook: bytes, relations: bytes) -> dict[str, str]:
    """Return the part of each sheet of .xlsx; both texts are known to have no document type."""
    targets = {
        relation.get("Id", ""): relation.get("Target", "") for relation in ElementTree.fromstring(relations)
    }
    parts = {}
    for sheet in ElementTree.fromstring(workbook).iter():
        if sheet.tag.rpartition("}")[2] == "sheet":
            identity = next((value for key, value in sheet.items() if key.endswith("}id")), "")
            target = targets.get(identity, "")
            parts[sheet.get("name", "")] = target[1:] if target.startswith("/") else f"xl/{target}"
    return parts


def _too_large(source: str) -> PaletteError:
    return PaletteError(
        f"{source} unpacks to more than {MOST_UNPACKED // 1_000_000} MB",
        "copy the table to a new file, or save it as CSV",
    )


def _unpacked(archive: zipfile.ZipFile, info: zipfile.ZipInfo, most: int, source: str) -> bytes:
    """Return the content of a part; what the archive says of its size is not believed."""
    with archive.open(info) as part:
        content = part.read(most + 1)
    if len(content) > most:
        raise _too_large(source)
    return content


def _check_part(
    name: str, content: bytes, kind: str, extent: "_Extent", sheets: dict[str, SheetCheck]
) -> None:
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


class _Extent:
    """The rectangles from the first cell of each sheet to its last, which the reader keeps whole."""

    def __init__(self, source: str) -> None:
        self.source = source
        self.rows = self.columns = self.filled = self.before = 0

    def begin_sheet(self) -> None:
        self.before += self.rows * self.columns
        self.rows = self.columns = self.filled = 0

    def reaches(self, row: int, column: int, repeated: int = 1) -> None:
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

    def __init__(self, parser: "expat.XMLParserType", extent: _Extent, found: SheetCheck) -> None:
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

    def __init__(self, parser: "expat.XMLParserType", extent: _Extent, sheets: dict[str, SheetCheck]) -> None:
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
