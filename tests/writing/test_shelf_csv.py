from pathlib import Path
from types import SimpleNamespace

from convert.palette.model import BeadColour
from convert.palette.palette_file import parse_palette
from convert.shelf.card import PATCHES
from convert.writing.shelf_csv import card_csv, former_spreads, shelf_csv, shelf_json

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


def test_values_for_machines_tell_where_each_heap_lies():
    shelf = SimpleNamespace(
        rows=(2, 1),
        correction=SimpleNamespace(basis="card", off=1.2345),
        entries=(REED, LAKE, REED),
        spreads=(3.21, 0.06, 12.0),
    )
    told = shelf_json(shelf)
    assert (told["light"], told["card_missed_by"], told["rows"]) == ("card", 1.23, [2, 1])
    assert told["heaps"][0] == {
        "code": "A1",
        "name": 'reed, "dry"',
        "size": "11/0",
        "hex": "#AA8D55",
        "lab": [60.1, 4.25, 33.0],
        "spread": 3.2,
        "row": 1,
        "place": 1,
    }
    assert [(heap["row"], heap["place"], heap["spread"]) for heap in told["heaps"]] == [
        (1, 1, 3.2),
        (1, 2, 0.1),
        (2, 1, 12.0),
    ]
    shelf.correction.off = None
    assert shelf_json(shelf)["card_missed_by"] is None


def test_colours_are_written_to_a_hundredth_and_what_is_known_besides():
    lines = shelf_csv([REED, LAKE], [3.26, None]).splitlines()
    assert lines == [
        "code,name,size,hex,lab,on_hand,price,spread",
        'A1,"reed, ""dry""",11/0,#AA8D55,60.1 4.25 33,,,3.3',
        "A2,lake,,#4198CD,59.8 -8 -36.4,120,2.5,",
    ]
