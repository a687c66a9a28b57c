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
from dataclasses import dataclass
from xml.etree import ElementTree
from xml.parsers import expat

from convert.errors import PaletteError
from convert.palette.workbook_cells import ODS, XLSX, Extent, SheetCheck, check_part

MOST_UNPACKED = 64_000_000
MOST_OF_WAYS = 1_000_000
MOST_PARTS = 2_000

# The parts that hold cells, and those without which a reader does not find them.
_XLSX_PARTS = re.compile(
    r"\[Content_Types\]\.xml|_rels/\.rels|xl/_rels/workbook\.xml\.rels|xl/(workbook|styles|sharedStrings)\.xml"
    r"|xl/worksheets/[^/]+\.xml",
    re.IGNORECASE,
)
# Those that say which part is which sheet.
_WAYS = ("xl/workbook.xml", "xl/_rels/workbook.xml.rels")
_ODS_PARTS = re.compile(r"mimetype|META-INF/manifest\.xml|content\.xml")
# All that ECMA-376 (part 2) and OpenDocument (part 2) allow; others may take any memory to unpack.
_PACKINGS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


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
    if any(info.compress_type not in _PACKINGS for info in infos.values()):
        raise zipfile.BadZipFile
    wanted = _XLSX_PARTS if kind == XLSX else _ODS_PARTS
    parts = [info for name, info in infos.items() if wanted.fullmatch(name)]
    # No more of a part is unpacked than the archive says, so that a lie there only damages it.
    ways_sizes = [info.file_size for info in parts if info.filename in _WAYS]
    total = sum(info.file_size for info in parts)
    if len(infos) > MOST_PARTS or total > MOST_UNPACKED or max(ways_sizes, default=0) > MOST_OF_WAYS:
        raise _too_large(source)
    sheets: dict[str, SheetCheck] = {}
    packed = io.BytesIO()
    extent = Extent(source)
    ways: dict[str, bytes] = {}
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_STORED) as copy:
        for info in parts:
            content = archive.read(info)
            if info.filename == "META-INF/manifest.xml" and b"encryption-data" in content:
                raise _locked(source)
            if info.filename.endswith((".xml", ".rels")):
                check_part(info.filename, content, kind, extent, sheets)
            if info.filename in _WAYS:
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
