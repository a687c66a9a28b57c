import csv
import io
from dataclasses import replace

import pytest

from convert.palette.model import BeadColour
from convert.writing.beads_csv import HEADER, beads_csv
from tests.piece.test_materials import LAB, make


def test_beads_csv_is_safe_to_open():
    entries = [
        BeadColour("=1+1", "@name", None, "#777777", LAB, on_hand=1000),
        BeadColour("-2", 'a "b", c', None, "#777777", LAB),
    ]
    text = beads_csv(make(entries, [0, 1]))
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [row["code"] for row in rows] == ["'=1+1", "'-2"]
    assert rows[0]["name"] == "'@name"
    assert rows[1]["name"] == 'a "b", c'
    assert int(rows[0]["left"]) == 1000 - int(rows[0]["beads"])
    assert rows[1]["left"] == ""


def test_every_column_of_a_piece_of_77_beads():
    """70 and 7 beads of 100 to the gram; a tenth to spare makes 77 and 8."""
    known = {"per_gram": 100.0, "pack_g": 0.25, "price": 1.5}
    entries = [
        BeadColour("A", "heron", None, "#777777", LAB, on_hand=20, **known),
        BeadColour("B", "", None, "#0A80F0", LAB, per_gram=100.0),
    ]
    header, first, second = csv.reader(io.StringIO(beads_csv(make(entries, [0] * 70 + [1] * 7))))
    assert tuple(header) == HEADER
    # 57 to buy are 0.57 g, in packs of 0.25 g three.
    assert first == [
        "A",
        "heron",
        "11/0",
        "#777777",
        "70",
        "0.77",
        "20",
        "0",
        "57",
        "3",
        "4.50",
        "4.2000",
        "",
    ]
    assert second == ["B", "", "11/0", "#0A80F0", "7", "0.08", "", "", "8", "", "", "", ""]


def test_beads_csv_prices_what_is_on_hand_as_well():
    priced = {"per_gram": 100.0, "pack_g": 10.0, "price": 2.5}
    entries = [
        BeadColour("HAD", "", None, "#777777", LAB, on_hand=1000, **priced),
        BeadColour("NEW", "", None, "#777777", LAB, **priced),
        BeadColour("UNKNOWN", "", None, "#777777", LAB),
    ]
    piece = replace(make(entries, [0, 1, 2]), currency="=EUR")
    had, new, unknown = csv.DictReader(io.StringIO(beads_csv(piece)))
    assert (had["to_buy"], had["packs"], had["cost"]) == ("0", "0", "0.00")
    assert (new["packs"], new["cost"]) == ("1", "2.50")
    for row in (had, new):
        assert float(row["cost_of_beads_used"]) == pytest.approx(int(row["beads"]) * 2.5 / 1000, abs=1e-4)
        assert row["currency"] == "'=EUR"
    assert (unknown["cost"], unknown["cost_of_beads_used"], unknown["currency"]) == ("", "", "")
