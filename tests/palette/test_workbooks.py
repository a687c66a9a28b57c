"""Palettes in spreadsheet files, written by openpyxl and odfpy, which share no code with the reader."""

import datetime
import io
import string
import subprocess
import sys
import zipfile

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from odf.element import Element
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import CoveredTableCell, Table, TableCell, TableRow
from odf.text import P

from convert.errors import PaletteError
from convert.palette import workbook_check
from convert.palette.palette_file import parse_palette

SHELF = [
    ["Lakeside workshop"],
    [],
    ["Name", "Colour", "Size", "Qty", "Price (€)"],
    ["heron grey", "#8899AA", "11/0", 1250, 2.5],
    ["kingfisher", "1F6FA5", "11/0, 8/0", None, 2.75],
    [None, None, None, None, None],
    ["swan", "white", "8/0", "ca. 300", "3,-"],
    ["Total", None, None, 1550, None],
]
EXPECTED = [
    ("heron grey", "#8899AA", "11/0", 1250, None, 2.5),
    ("kingfisher", "#1F6FA5", "11/0", None, None, 2.75),
    ("kingfisher", "#1F6FA5", "8/0", None, None, 2.75),
    ("swan", "#FFFFFF", "8/0", 300, None, 3),
]
SHEET_PART = "xl/worksheets/sheet1.xml"
SHEET = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'


def xlsx(*sheets, change=lambda book: None):
    book = openpyxl.Workbook()
    book.remove(book.active)
    for number, rows in enumerate(sheets, 1):
        sheet = book.create_sheet(f"Sheet {number}")
        for row in rows:
            sheet.append(row)
    change(book)
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def ods_cell(value):
    if value is None:
        return TableCell()
    if isinstance(value, datetime.date):
        cell = TableCell(valuetype="date", datevalue=value.isoformat())
    elif isinstance(value, int | float):
        cell = TableCell(valuetype="float", value=value)
    else:
        cell = TableCell(valuetype="string")
    cell.addElement(P(text=str(value)))
    return cell


def ods(*sheets):
    book = OpenDocumentSpreadsheet()
    for number, rows in enumerate(sheets, 1):
        table = Table(name=f"Sheet {number}")
        for row in rows:
            line = TableRow()
            for value in row:
                line.addElement(value if isinstance(value, Element) else ods_cell(value))
            table.addElement(line)
        book.spreadsheet.addElement(table)
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def repacked(data, parts, packing=zipfile.ZIP_DEFLATED):
    """Return a zip archive with some of its parts replaced or added, None leaving one out."""
    replaced = dict(parts)
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(out, "w", packing) as copy:
        for name in source.namelist():
            content = replaced.pop(name, source.read(name))
            if content is not None:
                copy.writestr(name, content)
        for name, content in replaced.items():
            copy.writestr(name, content)
    return out.getvalue()


def with_sheet(body):
    return repacked(xlsx(SHELF), {SHEET_PART: SHEET + body + b"</worksheet>"})


def read(data, name="shelf.xlsx", sheet=None):
    palette, notes = parse_palette(data, name, sheet)
    found = [
        (entry.code, entry.hex, entry.size, entry.on_hand, entry.on_hand_g, entry.price)
        for entry in palette.entries
    ]
    return found, notes


def refusal(data, sheet=None):
    with pytest.raises(PaletteError) as fault:
        parse_palette(data, "shelf.xlsx", sheet)
    assert str(fault.value).isprintable()
    assert fault.value.hint
    return f"{fault.value} | {fault.value.hint}"


@pytest.mark.parametrize("write", [xlsx, ods])
def test_a_shelf_as_it_is_kept(write):
    found, notes = read(write(SHELF))
    assert found == EXPECTED
    assert any(
        "read 3 colours from columns Name, Colour, Size, Qty (as beads on hand)" in note for note in notes
    )
    assert any("row 8 was taken for totals" in note for note in notes)


@pytest.mark.parametrize("write", [xlsx, ods])
def test_faults_name_sheet_row_and_column(write):
    rows = [*SHELF[:4], ["coot", "blackish", "11/0", -2, 1]]
    told = refusal(write(rows, [["nothing here"]]))
    assert "shelf.xlsx, sheet 'Sheet 1', row 5, column Colour: 'blackish' is not" in told
    assert "row 5, column Qty: '-2' is not" in told


@pytest.mark.parametrize("write", [xlsx, ods])
def test_sheets(write):
    other = [["Name", "Hex"], ["coot", "#101010"]]
    both = write(SHELF, [["notes"]], other)
    assert "2 sheets that can be the palette: 'Sheet 1', 'Sheet 3' | name one with --sheet" in refusal(both)
    for sheet in ("Sheet 3", " sheet 3", "3"):
        assert read(both, sheet=sheet)[0] == [("coot", "#101010", None, None, None, None)]
    assert read(write([["notes"]], SHELF))[0] == EXPECTED
    assert "has no sheet 'Sheet 9' | it has 'Sheet 1', 'Sheet 2', 'Sheet 3'" in refusal(both, "Sheet 9")
    assert "has no sheet '0'" in refusal(both, "0")
    assert "is a text file, which has no sheets" in refusal(b"code,hex\nA,#000000\n", "1")


def test_hidden_sheets_are_read_only_where_they_are_named():
    def hide(book):
        book["Sheet 2"].sheet_state = "hidden"

    data = xlsx(SHELF, [["Name", "Hex"], ["coot", "#101010"]], change=hide)
    assert read(data)[0] == EXPECTED
    assert read(data, sheet="Sheet 2")[0][0][0] == "coot"


def test_numbers_of_a_spreadsheet_need_no_guess():
    """1.234 held as a number is that number, however a person might mean it."""
    rows = [["Name", "Hex", "Weight"], ["A", "#000000", 1.234], ["B", "#000001", 1000]]
    assert [entry[4] for entry in read(xlsx(rows))[0]] == [1.234, 1000]
    assert "may be 1234 or 1.234" in refusal(xlsx([*rows[:1], ["A", "#000000", "1.234"]]))


def test_hexadecimal_digits_taken_for_a_number():
    rows = [["Code", "Hex"], [7, 112233], [8, 1234], ["9", 0]]
    assert [entry[:2] for entry in read(xlsx(rows))[0]] == [
        ("7", "#112233"),
        ("8", "#001234"),
        ("9", "#000000"),
    ]
    assert "column hex: '123' may be #112233 or #000123" in refusal(xlsx([["Code", "Hex"], ["A", 123]]))
    assert "column hex: '1e+300' is a number" in refusal(xlsx([["Code", "Hex"], ["A", 1e300]]))


@pytest.mark.parametrize("write", [xlsx, ods])
def test_dates_in_the_code_column_are_told(write):
    told = refusal(write([["Code", "Hex"], [datetime.date(2024, 5, 12), "#112233"]]))
    assert "row 2, column code: is a date (2024-05-12" in told


def test_formulas_give_what_was_saved():
    rows = [["Name", "Hex", "Qty"], ["A", "#112233", 5]]

    def text(place, words):
        return b'<c r="%s" t="inlineStr"><is><t>%s</t></is></c>' % (place, words)

    cached = (
        b'<sheetData><row r="1">'
        + text(b"A1", b"Name")
        + text(b"B1", b"Hex")
        + text(b"C1", b"Qty")
        + b'</row><row r="2"><c r="A2" t="str"><f>"a"&amp;"b"</f><v>ab</v></c>'
        + text(b"B2", b"#112233")
        + b'<c r="C2"><f>2*6</f><v>12</v></c></row></sheetData>'
    )
    assert read(with_sheet(cached))[0] == [("ab", "#112233", None, 12, None, None)]
    # openpyxl writes formulas without their values.
    told = refusal(xlsx([*rows, ["B", "#112234", "=C2*2"]]))
    assert "row 3, column Qty: is a formula whose value was not saved" in told
    failed = cached.replace(
        b'<c r="C2"><f>2*6</f><v>12</v></c>', b'<c r="C2" t="e"><f>1/0</f><v>#DIV/0!</v></c>'
    )
    assert "row 2, column Qty: is a formula that failed" in refusal(with_sheet(failed))


def test_formulas_of_ods():
    def shelf(cell):
        return ods([["Name", "Hex", "Qty"], ["A", "#112233", cell]])

    assert read(shelf(TableCell(valuetype="float", value=12, formula="of:=2*6")))[0][0][3] == 12
    assert "is a formula whose value was not saved" in refusal(shelf(TableCell(formula="of:=2*6")))


@pytest.mark.parametrize("write", ["xlsx", "ods"])
def test_merged_cells_stand_in_every_row_they_cover(write):
    rows = [
        ["Name", "Hex", "Size"],
        ["A", "#112233", "11/0"],
        ["B", "#112234", None],
        ["C", "#112235", "8/0"],
    ]
    if write == "xlsx":
        data = xlsx(rows, change=lambda book: book["Sheet 1"].merge_cells("C2:C3"))
    else:
        merged = TableCell(valuetype="string", numberrowsspanned=2, numbercolumnsspanned=1)
        merged.addElement(P(text="11/0"))
        data = ods([rows[0], [*rows[1][:2], merged], [*rows[2][:2], CoveredTableCell()], rows[3]])
    assert [entry[2] for entry in read(data)[0]] == ["11/0", "11/0", "8/0"]


def test_merged_title_is_passed_over():
    data = xlsx(SHELF, change=lambda book: book["Sheet 1"].merge_cells("A1:E2"))
    assert read(data)[0] == EXPECTED


def test_remarks_beside_the_table_do_not_matter():
    rows = [
        [*row, *[None] * (8 - len(row)), "to do"] if number == 4 else row for number, row in enumerate(SHELF)
    ]
    assert read(xlsx(rows))[0] == EXPECTED


def test_macros_are_not_run():
    found, notes = read(repacked(xlsx(SHELF), {"xl/vbaProject.bin": b"Sub Auto_Open()"}), "shelf.xlsm")
    assert found == EXPECTED
    assert any("its macros were not run" in note for note in notes)


def test_links_to_other_files_are_not_followed():
    data = repacked(
        xlsx(SHELF), {"xl/externalLinks/externalLink1.xml": b'<!DOCTYPE x SYSTEM "file:///etc/passwd"><x/>'}
    )
    assert read(data)[0] == EXPECTED


OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (OLE + bytes(600), "is a workbook of the older kind .xls | save it as .xlsx"),
        (OLE + bytes(600) + "EncryptedPackage".encode("utf-16-le"), "has a password | save it without"),
        (
            repacked(xlsx(SHELF), {"xl/workbook.xml": None, "xl/workbook.bin": b""}),
            "is a workbook of the kind .xlsb",
        ),
        (repacked(xlsx(SHELF), {"xl/workbook.xml": None}), "is a zip archive, but no spreadsheet"),
        (b"PK\x05\x06" + bytes(18), "is a zip archive, but no spreadsheet"),
        (b"PK\x03\x04" + bytes(30), "is damaged"),
        (xlsx(SHELF)[:-500], "is damaged"),
        (with_sheet(b"<sheetData><row>"), "is damaged"),
        (with_sheet(b'<sheetData><row r="x"/></sheetData>'), "is damaged"),
        (with_sheet(b'<sheetData><row><c r="1A"/></row></sheetData>'), "is damaged"),
        (
            repacked(ods(SHELF), {"META-INF/manifest.xml": b"<manifest><encryption-data/></manifest>"}),
            "has a password",
        ),
        (
            repacked(xlsx(SHELF), {"xl/sharedStrings.xml": b'<!DOCTYPE x [<!ENTITY a "b">]><sst>&a;</sst>'}),
            "entities",
        ),
        (repacked(xlsx(SHELF), {}, zipfile.ZIP_BZIP2), "is damaged"),
        (xlsx([[]]), "is empty"),
        (ods(), "is empty"),
    ],
)
def test_what_is_no_table_is_told_in_one_line(data, words):
    assert words in refusal(data)


def test_encrypted_parts_are_told():
    data = bytearray(xlsx(SHELF))
    # The first bit of the flags, in the local header and in the directory (APPNOTE.TXT 4.4.4).
    data[data.index(b"PK\x03\x04") + 6] |= 1
    data[data.index(b"PK\x01\x02") + 8] |= 1
    assert "has a password" in refusal(bytes(data))


def cells(*addresses):
    rows = [(int(address.lstrip(string.ascii_letters.encode())), address) for address in addresses]
    body = b"".join(b'<row r="%d"><c r="%s"><v>1</v></c></row>' % row for row in rows)
    return b"<sheetData>%s</sheetData>" % body


def ods_body(row):
    plain = ods(SHELF)
    with zipfile.ZipFile(io.BytesIO(plain)) as archive:
        content = archive.read("content.xml")
    return repacked(plain, {"content.xml": content.replace(b"</table:table>", row + b"</table:table>")})


BOMBS = {
    "a cell in the last place": lambda: with_sheet(cells(b"A1", b"XFD1048576")),
    "a cell beyond all places": lambda: with_sheet(cells(b"A1", b"xfd4000000000")),
    "all rows filled": lambda: with_sheet(cells(*(b"A%d" % row for row in range(1, 200_000)))),
    "one row of a million": lambda: with_sheet(
        b"<sheetData><row>" + b"<c><v>1</v></c>" * 1_000_000 + b"</row></sheetData>"
    ),
    "many sheets of far cells": lambda: repacked(
        xlsx(*[[["x"]]] * 8),
        {
            f"xl/worksheets/sheet{number}.xml": SHEET + cells(b"A1", b"BXX400") + b"</worksheet>"
            for number in range(1, 9)
        },
    ),
    "a part of blanks": lambda: with_sheet(b" " * (workbook_check.MOST_UNPACKED + 1)),
    "merged cells without end": lambda: with_sheet(
        b"<sheetData/><mergeCells>" + b'<mergeCell ref="A1:XFD1048576"/>' * 20_000 + b"</mergeCells>"
    ),
    "a row repeated": lambda: ods_body(
        b'<table:table-row table:number-rows-repeated="1048576"><table:table-cell'
        b' table:number-columns-repeated="16384" office:value-type="float" office:value="1"/>'
        b"</table:table-row>"
    ),
    "text repeated without a type": lambda: ods_body(
        b'<table:table-row table:number-rows-repeated="90000"><table:table-cell'
        b' table:number-columns-repeated="16384"><text:p>x</text:p></table:table-cell></table:table-row>'
    ),
    "a list of sheets without end": lambda: repacked(
        xlsx(SHELF), {"xl/workbook.xml": b"<workbook>" + b"<sheet/>" * 200_000 + b"</workbook>"}
    ),
    "more parts than a workbook has": lambda: repacked(xlsx(SHELF), {f"part{n}": b"" for n in range(3000)}),
}  # fmt: skip


@pytest.mark.parametrize("name", BOMBS)
def test_what_would_unpack_to_too_much_is_refused(name):
    told = refusal(BOMBS[name]())
    assert any(
        words in told
        for words in ("unpacks to more", "has a sheet of", "has more than 100,000 rows", "too many merged")
    ), told


def test_a_size_in_the_directory_that_lies_is_not_believed():
    data = bytearray(with_sheet(b" " * (workbook_check.MOST_UNPACKED + 1)))
    place = data.index(b"xl/worksheets/sheet1.xml", data.index(b"PK\x01\x02"))
    # The unpacked size stands 22 bytes before the name in the directory (APPNOTE.TXT 4.3.12).
    data[place - 22 : place - 18] = (1000).to_bytes(4, "little")
    assert "is damaged" in refusal(bytes(data))


def test_blank_cells_far_away_do_not_matter():
    """Spreadsheets keep the style of cells that somebody has once touched."""
    styled = b'<row r="1048576"><c r="XFD1048576" s="0"/></row>'
    data = xlsx(SHELF)
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        sheet = archive.read(SHEET_PART)
    data = repacked(data, {SHEET_PART: sheet.replace(b"</sheetData>", styled + b"</sheetData>")})
    assert read(data)[0] == EXPECTED


def test_memory_stays_within_half_a_gigabyte(tmp_path):
    """The largest sheets that are let through: as many cells, and as much text, as there may be."""
    rows = b"".join(b'<row r="%d"><c r="A%d" s="0"/></row>' % (row, row) for row in range(1, 500_000))
    (tmp_path / "blank.xlsx").write_bytes(with_sheet(b"<sheetData>" + rows + b"</sheetData>"))
    (tmp_path / "wide.xlsx").write_bytes(with_sheet(cells(b"A1", b"AAX5000")))
    (tmp_path / "text.csv").write_bytes(b"code,hex\n" + b"ab,cd,\n" * 2_800_000)
    script = (
        "import sys\n"
        "from pathlib import Path\n"
        "from convert.errors import PaletteError\n"
        "from convert.palette.palette_file import read_palette\n"
        "for name in sys.argv[1:]:\n"
        "    try:\n"
        "        read_palette(Path(name))\n"
        "    except PaletteError as error:\n"
        "        print(error)\n"
        # What the kernel counts for this program alone; getrusage begins with what its parent had.
        "status = Path('/proc/self/status').read_text()\n"
        "print(int(status.split('VmHWM:')[1].split()[0]) // 1024)\n"
    )
    names = [str(path) for path in sorted(tmp_path.iterdir())]
    run = subprocess.run([sys.executable, "-c", script, *names], capture_output=True, text=True, check=True)
    assert int(run.stdout.split()[-1]) < 512
    assert len(run.stdout.splitlines()) == 4


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.data())
def test_damaged_workbooks_give_a_palette_or_a_clear_error(data):
    book = bytearray(data.draw(st.sampled_from(WHOLE)))
    for _ in range(data.draw(st.integers(1, 6))):
        book[data.draw(st.integers(4, len(book) - 1))] = data.draw(st.integers(0, 255))
    try:
        parse_palette(bytes(book), "shelf.xlsx")
    except PaletteError as fault:
        assert str(fault).isprintable()


WHOLE = [xlsx(SHELF), ods(SHELF)]
# Stored rather than packed, so that changes reach the XML and its numbers.
for whole in list(WHOLE):
    with zipfile.ZipFile(io.BytesIO(whole)) as packed:
        plain = io.BytesIO()
        with zipfile.ZipFile(plain, "w", zipfile.ZIP_STORED) as stored:
            for part in packed.namelist():
                stored.writestr(part, packed.read(part))
    WHOLE.append(plain.getvalue())


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (112233.0, "112233"),
        (2.5, "2.5"),
        (999_999_999_999_999.0, "999999999999999"),
        (1.05e15, "1050000000000000.0"),
    ],
)
def test_whole_numbers_are_written_without_a_point(value, text):
    """Up to fifteen digits, which a spreadsheet keeps exactly."""
    rows = [["Code", "Hex"], [value, "#8899AA"]]
    assert read(xlsx(rows))[0][0][0] == text
