"""A comparison of numbers of colours in words and figures, of candidates made up."""

from types import SimpleNamespace

import pytest

from convert.units import A4, PAPERS
from convert.writing import colour_report
from convert.writing.colour_report import (
    HEADINGS,
    colour_sheet,
    colours_csv,
    colours_json,
    explained,
    table_rows,
    write_colour_comparison,
)

LETTER = PAPERS["letter"]


def candidate(colours, *, packs=7, cost=12.346, seen=1.234567, lone=1234, is_all=False, marked=False):
    return SimpleNamespace(
        rung=SimpleNamespace(colours=colours, packs=packs, cost=cost, seen=seen),
        pattern=SimpleNamespace(costs_in="EUR"),
        lone=lone,
        is_all=is_all,
        marked=marked,
    )


FEW = candidate(6)
BEST = candidate(1, packs=1, lone=1, marked=True)
ALL = candidate(1440, packs=None, cost=None, is_all=True)


def comparison(*candidates, reason="6 colours: from 1 m it looks as with all"):
    return SimpleNamespace(
        picture=SimpleNamespace(name="heron"), candidates=candidates, reason=reason, distance_m=1.5
    )


def test_a_row_has_a_cell_for_each_heading():
    rows = table_rows(comparison(FEW, BEST, ALL))
    assert [len(row) for row in rows] == [len(HEADINGS)] * 3
    assert rows == [
        ("6", "7", "12.35 EUR", "1.23", "1,234"),
        ("1 *", "1", "12.35 EUR", "1.23", "1"),
        ("all 1440", "", "", "1.23", "1,234"),
    ]


def test_csv_has_plain_numbers():
    assert colours_csv(comparison(FEW, BEST, ALL)).splitlines() == [
        "colours,is_all,recommended,packs,cost,currency,look,lone_beads",
        "6,0,0,7,12.35,EUR,1.2346,1234",
        "1,0,1,1,12.35,EUR,1.2346,1",
        "1440,1,0,,,,1.2346,1234",
    ]


def test_values_for_machines_are_those_of_the_csv():
    told = colours_json(comparison(FEW, ALL))
    assert (told["advice"], told["view_distance_m"]) == ("6 colours: from 1 m it looks as with all", 1.5)
    assert told["candidates"] == [
        {
            "colours": 6,
            "is_all": False,
            "recommended": False,
            "packs": 7,
            "cost": 12.35,
            "currency": "EUR",
            "look": 1.2346,
            "lone_beads": 1234,
        },
        {
            "colours": 1440,
            "is_all": True,
            "recommended": False,
            "packs": None,
            "cost": None,
            "currency": "EUR",
            "look": 1.2346,
            "lone_beads": 1234,
        },
    ]


def test_what_to_choose_is_told_first():
    chosen, meaning = explained(comparison(FEW))
    assert chosen == "Choose 6 colours: from 1 m it looks as with all."
    assert meaning.startswith("Look: how it looks from 1.5 m;")
    assert explained(comparison(FEW, reason=None))[0] == "So few colours are all worth having."


@pytest.fixture
def handed(monkeypatch):
    given = []

    def lay_out(*arguments):
        given.append(arguments)
        return "sheet"

    monkeypatch.setattr(colour_report, "lay_out_colours", lay_out)
    monkeypatch.setattr(colour_report, "sheet_png", lambda sheet: f"{sheet} in pixels".encode())
    monkeypatch.setattr(colour_report, "sheet_pdf", lambda sheet, title: f"{sheet}: {title}".encode())
    return given


def test_a_sheet_shows_every_number_of_colours(handed):
    assert colour_sheet(comparison(FEW, BEST, ALL)) == "sheet"
    ((title, words, cells, axes, paper),) = handed
    assert title == "heron: how many colours"
    assert words == explained(comparison(FEW, BEST, ALL))
    assert axes == ("number of colours", "Look from 1.5 m: the lower, the closer to the picture")
    assert paper == A4
    assert [cell.heading for cell in cells] == ["6 colours", "1 colour, to choose", "all 1440 colours"]
    assert [cell.lines for cell in cells] == [
        ("7 packs to buy", "cost 12.35 EUR", "look 1.23", "1,234 lone beads"),
        ("1 pack to buy", "cost 12.35 EUR", "look 1.23", "1 lone bead"),
        ("look 1.23", "1,234 lone beads"),
    ]
    assert [cell.point for cell in cells] == [(6, 1.234567), (1, 1.234567), (1440, 1.234567)]
    assert [cell.marked for cell in cells] == [False, True, False]


def test_three_files_are_written(handed, tmp_path):
    told = []
    write_colour_comparison(comparison(FEW), tmp_path, LETTER, told.append)
    assert told == ["Drawing the sheet", "Writing the sheet for print"]
    assert handed[0][-1] == LETTER
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {
        "colours.png": "sheet in pixels",
        "colours.pdf": "sheet: Numbers of colours side by side",
        "colours.csv": colours_csv(comparison(FEW)),
    }
