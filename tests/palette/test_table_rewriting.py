"""A table is written anew with cells changed: one changes, and nothing else."""

import csv
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from convert.errors import PaletteError
from convert.palette.palette_file import parse_shelf
from convert.palette.table import Plain, Row, Unusable, raw_rows
from convert.palette.table_rewriting import rewritten_text, rows_with_cells

CELLS = st.text(st.sampled_from("ab,;\"\n\r\t 'éß\u2028="), max_size=6)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(
    st.lists(st.lists(CELLS, min_size=1, max_size=5), min_size=1, max_size=5),
    st.sampled_from([",", ";", "\t"]),
    st.sampled_from(["\n", "\r\n"]),
    st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]),
    st.data(),
)
def test_rewriting_changes_one_cell_and_nothing_else(rows, separator, ending, quoting, data):
    """Python's csv writes and reads the table; what it says of the other cells stays the same."""
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator, lineterminator=ending, quoting=quoting).writerows(rows)
    text = out.getvalue()
    parsed = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True))
    row = data.draw(st.integers(0, len(parsed) - 1))
    place = data.draw(st.integers(0, 6))
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    line = 1
    for _ in range(row):
        next(lines)
        line = lines.line_num + 1
    new = data.draw(st.sampled_from(["12", f"1{separator}5", 'a"b']))
    changed = rewritten_text(text.encode(), separator, {line: {place: lambda old: new}}, "t.csv").decode()
    expected = [list(cells) for cells in parsed]
    expected[row] += [""] * (place + 1 - len(expected[row]))
    expected[row][place] = new
    assert list(csv.reader(io.StringIO(changed, newline=""), delimiter=separator, strict=True)) == expected
    assert rewritten_text(text.encode(), separator, {}, "t.csv").decode() == text


def test_rows_as_they_are_written_add_up_to_the_table():
    text = 'a;"b\n c";d\r\n\r\n"e ""f""";;\ng'
    rows = list(raw_rows(text, ";", "t.csv"))
    assert [(line, cells) for line, cells, _ in rows] == [
        (1, ["a", "b\n c", "d"]),
        (3, []),
        (4, ['e "f"', "", ""]),
        (5, ["g"]),
    ]
    assert [raw for *_, raw in rows] == ['a;"b\n c";d\r\n', "\r\n", '"e ""f""";;\n', "g"]
    with pytest.raises(PaletteError, match=r"t\.csv, line 2: not a table"):
        list(raw_rows('a\n"b', ";", "t.csv"))


@pytest.mark.parametrize(
    ("old", "new", "row"),
    [
        ("a,b,c", "x", "a,x,c"),
        ("a,b,c\r\n", "x", "a,x,c\r\n"),
        ('a,"b",c', "x", 'a,"x",c'),
        ('a,"b, ""d""",c', 'x "y"', 'a,"x ""y""",c'),
        ("a,b,c", "x,y", 'a,"x,y",c'),
        ("a,b,c", 'x"', 'a,"x""",c'),
        ("a", "x", "a,x"),
        ("a,", "x", "a,x"),
    ],
)
def test_a_cell_is_quoted_as_it_was_or_must_be(old, new, row):
    assert rewritten_text(old.encode(), ",", {1: {1: lambda _: new}}, "t.csv").decode() == row


def test_the_old_content_of_a_cell_is_told_without_its_quotes():
    told = []

    def keep(old):
        told.append(old)
        return old

    text = 'a,"b ""c""",d\n'
    assert rewritten_text(text.encode(), ",", {1: {0: keep, 1: keep, 4: keep}}, "t.csv").decode() == (
        'a,"b ""c""",d,,\n'
    )
    assert told == ["a", 'b "c"', ""]


def test_rows_of_a_sheet_keep_their_places_and_their_numbers():
    rows = [
        Row(1, ["Shelf"]),
        Row(4, ["Hex", "Qty"]),
        Row(5, [Plain("112233"), Plain("-2.5"), "=1+1", Unusable("a date", "2024-05-12"), "7"]),
        Row(6, ["A"]),
    ]
    changes = {5: {1: lambda old: f"{float(old) + 1:g}"}, 6: {2: lambda old: old + "12"}}
    assert rows_with_cells(rows, changes) == [
        ["Shelf"],
        [],
        [],
        ["Hex", "Qty"],
        [112233, -1.5, "=1+1", "2024-05-12", "7"],
        ["A", "", 12],
    ]
    (row,) = rows_with_cells([Row(1, ["A"])], {1: {0: lambda old: "many"}})
    assert row == ["many"]


def test_a_shelf_knows_where_its_stock_stands():
    for text, stock in (
        ("code,hex,on_hand\nA,#8899AA,5\n", ((2, "beads"),)),
        ("code,on_hand_g,hex\nA,5,#8899AA\n", ((1, "g"),)),
        ("code,hex,price\nA,#8899AA,5\n", ()),
        ("on_hand,hex,code\n108,#8899AA,A\n", ((0, "beads"),)),
    ):
        shelf = parse_shelf(text.encode(), "t.csv")
        assert shelf.stock == stock
        assert shelf.lines == (2,)
