"""A shelf after a piece: her table stays hers, byte by byte, but for the cells of the stock."""

import csv
import datetime
import io

import numpy as np
import openpyxl
import pytest

from convert.errors import PaletteError, StockError
from convert.palette.palette_file import parse_shelf
from convert.piece.materials import materials
from convert.piece.pattern import Pattern
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.weave.beads import bead_size
from convert.weave.shapes import Sheet
from convert.weave.spacing import model_spacing
from convert.writing.shelf_after import shelf_after, stock_changes, unknown_note

BEADS = 77  # of a sheet of 4 x 5 loops in one size
SHELF = (
    "My shelf;;;;;\r\n"
    "\r\n"
    'Code;"Name";Hex;Size;Qty;Remarks\r\n'
    'A1;"heron ""grey""";#8899AA;11/0;ca. 1 250 pcs;  keep;\r\n'
    "B2;kingfisher;#1F6FA5;11/0;;=B4*2\r\n"
    "B3;coot;#101010;11/0;12,5 g;\r\n"
    "\r\n"
    "Total;;;;1250;\r\n"
)


def piece(palette, colours, sizes=("11/0", "11/0"), copies=1):
    """Return a small sheet that takes the entries in turn; without such, one for each of the sizes."""
    core, connector = map(bead_size, sizes)
    shape = Sheet(np.ones((4, 5), bool))
    weave = shape.build((core, connector), model_spacing(core, connector))
    colours = weave.bead_size if colours is None else colours
    bead_colour = np.resize(np.asarray(colours, np.int32), weave.beads)
    return Pattern("p", shape, weave, palette, bead_colour, plan_thread(weave), Supplies(), copies)


def after(text, used=(), bought=(), encoding="utf-8", name="shelf.csv", **options):
    """Return the shelf after pieces, each given by the entries it takes in turn; and the changes."""
    data = text if isinstance(text, bytes) else text.encode(encoding)
    shelf = parse_shelf(data, name)
    uses, buys = ([piece(shelf.palette, colours, **options) for colours in named] for named in (used, bought))
    changes = stock_changes(shelf, uses, buys)
    return shelf_after(shelf, data, changes), changes, shelf


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-be", "cp1252"])
def test_only_cells_of_the_stock_change(encoding):
    text = SHELF.replace("kingfisher", "Höcker")
    mark = "\ufeff" if encoding == "utf-16-be" else ""
    data, _, _ = after(mark + text, [[0]], encoding=encoding)
    assert data == (mark + text).replace("ca. 1 250 pcs", "ca. 1173 pcs").encode(encoding)


def test_a_mark_before_text_that_is_not_utf_8_stays():
    text = b"\xef\xbb\xbfbin,code,name,hex,on_hand\n3,A,\xe9,#8899AA,100\n"
    assert after(text, [[0]])[0] == text.replace(b"100", b"23")


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_line_ends_and_grams_with_a_decimal_comma(ending):
    text = SHELF.replace("\r\n", ending)
    data, (change,), _ = after(text, [[2]])
    # 12.5 g less 77 beads at 108 a gram is 11.787 g.
    assert data.decode() == text.replace("12,5 g", "11,78 g")
    assert change.left_g == 11.78


def test_what_is_written_reads_as_what_is_left():
    data, _, _ = after(SHELF, [[0], [2, 2, 0]])
    entries = parse_shelf(data, "shelf.csv").palette.entries
    assert entries[0].on_hand == 1250 - BEADS - BEADS // 3
    assert entries[2].on_hand_g == pytest.approx(12.5 - (BEADS - BEADS // 3) / 108, abs=0.01)


def test_as_many_stay_as_the_list_of_beads_says():
    text = "code,hex,size,on_hand,on_hand_g\nA,#8899AA,11/0,500,\nB,#1F6FA5,11/0,,4.2\n"
    data, changes, shelf = after(text, [[0, 1, 1]], copies=3)
    told = {row.colour.code: row.left for row in materials(piece(shelf.palette, [0, 1, 1], copies=3))}
    assert {change.colour.code: change.left_beads for change in changes} == told
    left = parse_shelf(data, "shelf.csv").palette.entries
    assert left[0].on_hand == told["A"]
    # Hundredths of a gram are about a bead.
    assert abs(left[1].beads_on_hand(108) - told["B"]) <= 1


def test_two_sizes_draw_on_the_same_row_where_it_comes_in_any():
    text = "code,hex,on_hand_g\nA,#8899AA,5\n"
    data, (change,), shelf = after(text, [[0]], sizes=("11/0", "8/0"))
    rows = materials(piece(shelf.palette, [0], sizes=("11/0", "8/0")))
    assert len(rows) == 2
    grams = 5 - sum(row.beads / row.size.beads_per_gram for row in rows)
    assert change.after == pytest.approx(grams)
    assert f"A,#8899AA,{int(grams * 100) / 100:g}\n".encode() in data


def test_packs_that_were_bought_are_added():
    text = (
        "code,hex,size,on_hand,on_hand_g,pack_g\n"
        "A,#8899AA,11/0,10,,0.5\nB,#1F6FA5,11/0,,0.1,0.25\nC,#101010,11/0,,,5\n"
    )
    data, changes, shelf = after(text, bought=[[0, 1, 2]])
    packs = {row.colour.code: row.packs for row in materials(piece(shelf.palette, [0, 1, 2]))}
    assert packs == {"A": 1, "B": 1, "C": 1}  # 19, 19 and 29 beads short, of 54, 27 and 540 in a pack
    rows = list(csv.DictReader(io.StringIO(data.decode())))
    assert [row["on_hand"] for row in rows] == ["64", "", ""]
    assert [row["on_hand_g"] for row in rows] == ["", "0.35", "5"]
    assert [change.bought_g for change in changes] == [0.5, 0.25, 5]


def test_what_is_bought_can_be_used_at_once():
    text = "code,hex,size,on_hand,pack_g\nA,#8899AA,11/0,10,0.5\n"
    with pytest.raises(StockError, match=r"A in 11/0 \(67 beads short\)"):
        after(text, [[0]])
    data, _, _ = after(text, [[0]], [[0]])
    packs = -(-(BEADS + 8 - 10) // 54)
    assert f",{10 + 54 * packs - BEADS},".encode() in data


def test_every_bead_that_would_fall_below_zero_is_told():
    text = (
        "code,name,hex,size,on_hand,on_hand_g\n"
        "A,heron,#8899AA,11/0,5,\nB,king,#1F6FA5,11/0,,0.1\nC,coot,#101010,11/0,900,\n"
    )
    with pytest.raises(StockError) as fault:
        after(text, [[0, 1, 2]])
    # Each third of 77 beads: 26, 26 and 25.
    assert "A heron in 11/0 (21 beads short), B king in 11/0 (16 beads short)" in str(fault.value)
    assert "--buy" in fault.value.hint


def test_the_last_bead_may_be_used():
    data, _, _ = after(f"code,hex,on_hand\nA,#8899AA,{BEADS}\n", [[0]])
    assert data == b"code,hex,on_hand\nA,#8899AA,0\n"


def test_stock_that_is_not_said_stays_so():
    text = "code,hex,on_hand\nA,#8899AA,100\nB,#1F6FA5,\n"
    data, changes, shelf = after(text, [[0, 1]])
    assert data == b"code,hex,on_hand\nA,#8899AA,61\nB,#1F6FA5,\n"
    assert "does not say what is on hand of B in 11/0" in unknown_note(shelf, changes)[0]
    with pytest.raises(StockError, match="of any bead of the piece"):
        after(text, [[1]])


@pytest.mark.parametrize(
    ("shelf", "words"),
    [
        ("code,hex,on_hand\nX,#8899AA,900\n", "has no row for A in 11/0"),
        ("code,hex,size,on_hand\nA,#8899AA,8/0,900\n", "has no row for A in 11/0"),
        # The same code for another bead, as numbered codes may come to be.
        ("code,name,hex,on_hand\nA,swan,#FFFFFF,900\n", "has no row for A heron in 11/0"),
    ],
)
def test_a_bead_that_the_shelf_does_not_have_is_told(shelf, words):
    name = ",heron" if "name" in shelf else ","
    of_piece = parse_shelf(f"code,name,hex\nA{name},#8899AA\n".encode(), "p.csv").palette
    with pytest.raises(PaletteError) as fault:
        stock_changes(parse_shelf(shelf.encode(), "shelf.csv"), [piece(of_piece, [0])], [])
    assert words in str(fault.value)


def test_a_renamed_bead_of_the_same_colour_is_the_same():
    of_piece = parse_shelf(b"code,name,hex\nA,heron,#8899AA\n", "p.csv").palette
    shelf = parse_shelf(b"code,name,hex,on_hand\nA,grey heron,#8899AA,100\n", "shelf.csv")
    assert stock_changes(shelf, [piece(of_piece, [0])], [])[0].left_beads == 100 - BEADS


def test_packs_of_unknown_weight_cannot_be_bought():
    with pytest.raises(PaletteError, match="does not say how much a pack holds of A in 11/0"):
        after("code,hex,on_hand\nA,#8899AA,1\n", bought=[[0]])


def test_a_shelf_without_a_column_for_the_stock():
    with pytest.raises(PaletteError, match="has no column for the stock"):
        after("code,hex,pack_g\nA,#8899AA,10\n", bought=[[0]])


def test_one_row_for_two_sizes_cannot_hold_two_stocks():
    text = 'code,hex,size,on_hand,pack_g\nA,#8899AA,"11/0, 8/0",,10\n'
    with pytest.raises(PaletteError, match="line 2 is one row for several sizes"):
        after(text, bought=[None], sizes=("11/0", "8/0"))


def test_beads_and_grams_that_agree_are_both_kept_up():
    text = "Name,Hex,Size,Qty,grams\nA,#8899AA,11/0,1080,10\n"
    data, _, _ = after(text, [[0]])
    assert data == f"Name,Hex,Size,Qty,grams\nA,#8899AA,11/0,{1080 - BEADS},9.28\n".encode()


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("100", "23"),
        (" 100 ", " 23 "),
        ('"100"', '"23"'),
        ("100.0", "23"),
        ("0100", "23"),
        ("100 beads", "23 beads"),
        ("~100", "~23"),
        ("1 g", "0.28 g"),
        ('"1,00 g"', '"0,28 g"'),
        ("0.001 kg", "0.00028 kg"),
    ],
)
def test_a_cell_keeps_its_look(old, new):
    data, _, _ = after(f"code,hex,size,Qty\nA,#8899AA,11/0,{old}\n", [[0]])
    assert data.decode() == f"code,hex,size,Qty\nA,#8899AA,11/0,{new}\n"


@pytest.mark.parametrize("old", ["none", "0"])
def test_a_row_that_ends_early_and_words_for_nothing(old):
    text = f"Code,Hex,Pack (g),Qty\nA,#8899AA,0.5,{old}\n"
    data, _, _ = after(text, bought=[[0]])
    assert data.decode() == text.replace(old + "\n", "108\n")
    short = "Code,Hex,Pack (g),Remark,Qty\nA,#8899AA,0.5\n"
    data, _, _ = after(short, bought=[[0]])
    assert data.decode() == short.replace("0.5\n", "0.5,,108\n")


def test_a_workbook_becomes_a_table_of_text():
    book = openpyxl.Workbook()
    book.active.title = "Old"
    sheet = book.create_sheet("Beads")
    for row in (
        ["Shelf of June"],
        [],
        ["Name", "Hex", "Qty", "Weight (g)", "Since", "Remark"],
        ["heron", "#8899AA", 100, None, None, "=1+1 is a formula"],
        ["king, blue", 112233, None, 2.5, None, -5],
    ):
        sheet.append(row)
    sheet["F4"].data_type = "s"
    sheet["E5"] = datetime.date(2024, 5, 12)
    data = io.BytesIO()
    book.save(data)
    written, _, _ = after(data.getvalue(), [[0, 1]], name="shelf.xlsx")
    assert written.decode() == (
        "Shelf of June,,,,,\n\nName,Hex,Qty,Weight (g),Since,Remark\n"
        # What a spreadsheet would run stays text (CWE-1236, as OWASP advises).
        "heron,#8899AA,61,,,'=1+1 is a formula\n"
        '"king, blue",112233,,2.14,2024-05-12,-5\n'
    )
    again = parse_shelf(written, "after.csv").palette.entries
    assert [(entry.on_hand, entry.on_hand_g) for entry in again] == [(61, None), (None, 2.14)]
