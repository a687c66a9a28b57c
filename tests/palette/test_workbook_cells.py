"""What is seen in the parts of a spreadsheet, each written by hand for one question."""

from xml.parsers import expat

import pytest

from convert.errors import PaletteError
from convert.palette import workbook_cells
from convert.palette.workbook_cells import (
    A_FAULT,
    NO_VALUE,
    ODS,
    XLSX,
    Extent,
    check_part,
    column_number,
)

SHEET = "xl/worksheets/sheet1.xml"


def checked(body, kind=XLSX, name=SHEET, extent=None):
    """Return the extent and what is found in each sheet."""
    extent, sheets = extent or Extent("shelf"), {}
    check_part(name, body.encode(), kind, extent, sheets)
    return (extent.rows, extent.columns), {
        called: (sheet.faults, sheet.merged) for called, sheet in sheets.items()
    }


def xlsx(rows, after=""):
    size, found = checked(f'<x:worksheet xmlns:x="m"><x:sheetData>{rows}</x:sheetData>{after}</x:worksheet>')
    (one,) = found.values()
    return size, *one


VALUE, TEXT = "<x:v>1</x:v>", "<x:is><x:t>reed</x:t></x:is>"


@pytest.mark.parametrize(
    ("rows", "size"),
    [
        ("", (0, 0)),
        (f'<x:row r="3"><x:c r="B3">{VALUE}</x:c></x:row>', (3, 2)),
        (f'<x:row r="3"><x:c r="$B$3">{TEXT}</x:c></x:row>', (3, 2)),
        # Without addresses cells follow each other, and so do rows.
        (f"<x:row><x:c>{VALUE}</x:c><x:c>{VALUE}</x:c></x:row><x:row><x:c>{VALUE}</x:c></x:row>", (2, 2)),
        (f'<x:row r="5"><x:c>{VALUE}</x:c></x:row><x:row><x:c>{VALUE}</x:c></x:row>', (6, 1)),
        (f'<x:row r="2"><x:c r="D2"/><x:c>{VALUE}</x:c></x:row>', (2, 5)),
        # What is blank does not count, unless something stands behind it.
        ('<x:row r="9"><x:c r="Z9"/><x:c r="AA9"><x:v></x:v></x:c></x:row>', (0, 0)),
        (f'<x:row r="9"><x:c r="Z9"/></x:row><x:row r="1"><x:c r="A1">{VALUE}</x:c></x:row>', (1, 1)),
        (f"<x:c>{VALUE}</x:c>", (1, 1)),
        # Text beside a value is none.
        ('<x:row r="4"><x:c r="C4">odd<x:f></x:f></x:c></x:row>', (4, 3)),
        ('<x:row r="4"><x:c r="C4">odd</x:c></x:row>', (0, 0)),
    ],
)
def test_how_far_cells_reach(rows, size):
    assert xlsx(rows)[0] == size


@pytest.mark.parametrize(
    ("cell", "fault"),
    [
        ("<x:f>A1*2</x:f>", NO_VALUE),
        (f"<x:f>A1*2</x:f>{VALUE}", None),
        ("<x:f>A1*2</x:f><x:v></x:v>", NO_VALUE),
        (VALUE, None),
    ],
)
def test_a_formula_has_a_value_or_a_fault(cell, fault):
    _, faults, _ = xlsx(f'<x:row r="2"><x:c r="C2">{cell}</x:c></x:row>')
    assert faults == ({} if fault is None else {(1, 2): fault})


def test_a_formula_that_gives_no_text_or_failed():
    rows = '<x:row r="1"><x:c r="A1" t="str"><x:f>B1</x:f></x:c><x:c r="B1" t="e"/></x:row>'
    size, faults, _ = xlsx(rows)
    assert (size, faults) == ((1, 2), {(0, 1): A_FAULT})
    # A kind, a formula and a value are those of one cell and not of the next.
    rows = f'<x:row r="1"><x:c t="e">{VALUE}</x:c><x:c><x:f>A1</x:f></x:c><x:c>{VALUE}</x:c><x:c/></x:row>'
    size, faults, _ = xlsx(rows)
    assert (size, faults) == ((1, 3), {(0, 0): A_FAULT, (0, 1): NO_VALUE})


def test_merged_cells_are_told_by_their_ends():
    merged = '<x:mergeCells><x:mergeCell ref="B2:D5"/><x:mergeCell ref="A1"/><x:mergeCell/></x:mergeCells>'
    assert xlsx("", merged)[2] == [(1, 4, 1, 3)]


def test_an_address_that_is_none_is_damage():
    with pytest.raises(ValueError, match="3B"):
        xlsx('<x:row><x:c r="3B"/></x:row>')
    with pytest.raises(expat.ExpatError):
        checked("<worksheet>")


def test_only_sheets_are_gone_through():
    cell = '<worksheet><c r="C7"><v>1</v></c></worksheet>'
    assert checked(cell, name="xl/styles.xml") == ((0, 0), {})
    assert checked(cell, name="XL/Worksheets/Sheet2.xml")[0] == (7, 3)
    assert checked(cell, ODS, "styles.xml") == ((0, 0), {})


def test_large_parts_are_taken_in_pieces():
    rows = "".join(
        f'<row r="{number}"><c r="A{number}"><v>{number}</v></c></row>' for number in range(1, 5001)
    )
    assert checked(f"<worksheet>{rows}</worksheet>")[0] == (5000, 1)


def test_entities_are_refused():
    with pytest.raises(PaletteError, match="shelf defines entities of its own"):
        checked('<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>')


@pytest.mark.parametrize(
    ("letters", "number"), [("A", 0), ("z", 25), ("AA", 26), ("AZ", 51), ("BA", 52), ("XFD", 16_383)]
)
def test_columns_are_numbered_as_in_a_sheet(letters, number):
    assert column_number(letters) == number


def ods(*tables):
    body = "".join(f'<t:table t:name="{name}">{rows}</t:table>' for name, rows in tables)
    return checked(f'<o:d xmlns:o="o" xmlns:t="t" xmlns:p="p">{body}</o:d>', ODS, "content.xml")


def cell(inside="", **given):
    told = "".join(f' t:{name.replace("_", "-")}="{value}"' for name, value in given.items())
    return f"<t:table-cell{told}>{inside}</t:table-cell>"


PARAGRAPH = "<p:p>reed</p:p>"


def row(*cells, repeated=None):
    told = "" if repeated is None else f' t:number-rows-repeated="{repeated}"'
    return f"<t:table-row{told}>{''.join(cells)}</t:table-row>"


@pytest.mark.parametrize(
    ("rows", "size"),
    [
        (row(cell()), (0, 0)),
        (row(cell(), cell(PARAGRAPH)), (1, 2)),
        (row(cell(value_type="float", value=1)), (1, 1)),
        (row(cell(formula="of:=1", value=1)), (1, 1)),
        (row(cell(number_columns_repeated=3), cell(PARAGRAPH)), (1, 4)),
        (row(cell(PARAGRAPH, number_columns_repeated=3)), (1, 3)),
        (row(cell(PARAGRAPH), repeated=4), (4, 1)),
        (row(cell(), repeated=4) + row(cell(PARAGRAPH)), (5, 1)),
        (row("<t:covered-table-cell/>", cell(PARAGRAPH)), (1, 2)),
    ],
)
def test_how_far_cells_of_ods_reach(rows, size):
    assert ods(("Beads", rows))[0] == size


@pytest.mark.parametrize(
    ("given", "fault"),
    [
        ({"formula": "of:=1"}, NO_VALUE),
        ({"formula": "of:=1", "value_type": "float"}, NO_VALUE),
        ({"formula": "of:=1", "value_type": "float", "value": "1"}, None),
        ({"formula": "of:=1", "value_type": "string"}, None),
        ({"formula": "of:=1", "value_type": "error"}, A_FAULT),
        ({"value_type": "float"}, None),
    ],
)
def test_a_formula_of_ods_has_a_value_or_a_fault(given, fault):
    rows = row(cell(), repeated=2) + row(cell(number_columns_repeated=3), cell(**given))
    faults, merged = ods(("Beads", rows))[1]["Beads"]
    assert faults == ({} if fault is None else {(2, 3): fault})
    assert merged == []


def test_cells_of_ods_that_cover_several():
    spans = {"number_rows_spanned": 2, "number_columns_spanned": 3}
    rows = row(cell()) + row(
        cell(), cell(**spans), cell(number_rows_spanned=1), cell(number_columns_spanned=2)
    )
    assert ods(("Beads", rows))[1]["Beads"][1] == [(1, 2, 1, 3), (1, 1, 3, 4)]


def test_each_sheet_of_ods_begins_anew():
    fault = cell(formula="of:=1")
    size, found = ods(("One", row(cell(), fault) + row(fault)), ("Two", row(fault)))
    assert size == (1, 1)
    assert {name: list(faults) for name, (faults, _) in found.items()} == {
        "One": [(0, 1), (1, 0)],
        "Two": [(0, 0)],
    }


def reaching(*places):
    extent = Extent("shelf")
    for place in places:
        extent.reaches(*place)
    return extent


def test_more_than_any_palette_is_refused():
    """Rows that are filled count; a thousand may come on top of what a palette may have."""
    extent = reaching((100_999, 0, 101_000))
    assert extent.filled == 101_000
    with pytest.raises(PaletteError, match="more than 100,000 rows"):
        extent.reaches(101_000, 0)
    # One far below counts as one.
    assert reaching((3_999_999, 0)).filled == 1
    assert reaching((0, 16_383)).columns == 16_384
    for place in ((0, 16_384), (4_000_000, 0), (1_999_999, 2)):
        with pytest.raises(PaletteError, match=r"has a sheet of [0-9,]+ rows and [0-9,]+ columns"):
            reaching(place)
    assert reaching((1_999_999, 1)).rows == 2_000_000


def test_sheets_count_together():
    extent = reaching((1_999_999, 0))
    extent.begin_sheet()
    assert (extent.rows, extent.columns, extent.filled, extent.before) == (0, 0, 0, 2_000_000)
    extent.reaches(1_999_999, 0)
    extent.begin_sheet()
    assert extent.before == 4_000_000
    with pytest.raises(PaletteError, match="has a sheet of 1 rows"):
        extent.reaches(0, 0)


def test_too_many_faults_or_merged_cells_are_refused(monkeypatch):
    monkeypatch.setattr(workbook_cells, "MOST_FAULTS", 2)
    monkeypatch.setattr(workbook_cells, "MOST_MERGED", 2)
    failed = '<x:c t="e"/>'
    assert len(xlsx(f"<x:row>{failed * 2}</x:row>")[1]) == 2
    with pytest.raises(PaletteError, match="too many formulas without a value"):
        xlsx(f"<x:row>{failed * 3}</x:row>")
    merged = '<x:mergeCell ref="A1:B2"/>'
    assert len(xlsx("", merged * 2)[2]) == 2
    with pytest.raises(PaletteError, match="too many merged cells"):
        xlsx("", merged * 3)
    with pytest.raises(PaletteError, match="too many merged cells"):
        ods(("Beads", row(*[cell(number_rows_spanned=2)] * 3)))
