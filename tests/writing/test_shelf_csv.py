from pathlib import Path

from convert.palette.model import BeadColour
from convert.palette.palette_file import parse_palette
from convert.shelf.card import PATCHES
from convert.writing.shelf_csv import card_csv, former_spreads, shelf_csv

REED = BeadColour("A1", 'reed, "dry"', "11/0", "#AA8D55", (60.1, 4.25, 33.0))
LAKE = BeadColour("A2", "lake", None, "#4198CD", (59.8, -8.0, -36.4), on_hand=120, price=2.5)


def test_a_shelf_is_a_palette_without_remarks():
    palette, notes = parse_palette(shelf_csv([REED, LAKE], [3.2, None]).encode(), "shelf.csv")
    assert palette.entries == (REED, LAKE)
    assert notes == ()


def test_columns_that_nobody_fills_are_left_out():
    assert shelf_csv([REED], [3.21]).splitlines()[0] == "code,name,size,hex,lab,spread"
    assert shelf_csv([REED], [3.21]).splitlines()[1].endswith(",3.2")


def test_spreads_are_read_again(tmp_path):
    path = tmp_path / "shelf.csv"
    path.write_text(shelf_csv([REED, LAKE], [3.2, None]), encoding="utf-8")
    assert former_spreads(path) == {("A1", "11/0"): 3.2}


def test_other_tables_have_no_spreads(tmp_path):
    path = tmp_path / "shelf.csv"
    path.write_bytes("code;hex\nA\xe9;#808080\n".encode("cp1252"))
    assert former_spreads(path) == {}
    path.write_text("code,spread\nA,wide\n", encoding="utf-8")
    assert former_spreads(path) == {}
    assert former_spreads(Path("nowhere.csv")) == {}


def test_table_of_the_card_is_a_palette():
    palette, notes = parse_palette(card_csv().encode(), "card.csv")
    assert notes == ()
    assert [entry.code for entry in palette.entries] == [patch.code for patch in PATCHES]
    assert [entry.lab for entry in palette.entries] == [patch.lab for patch in PATCHES]
