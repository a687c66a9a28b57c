import csv
import io
import json

import openpyxl
import pypdfium2
import pytest
from PIL import Image

SHELF = (
    "code,name,hex,size,on_hand,on_hand_g,bin\n"
    "A1,[bold]heron[/x] grey,#8899AA,11/0,250,,3\n"
    "B2,kingfisher blue,#1F6FA5,11/0,0,,4\n"
    "B3,nearly kingfisher,#1F70A5,11/0,,2,4\n"
    "C1,swan white,#F7F6F4,8/0,,,5\n"
)


def test_description_of_a_file(combweave, tmp_path):
    (tmp_path / "shelf.csv").write_text(SHELF)
    run = combweave("palette", "shelf.csv")
    assert run.code == 0
    words = " ".join(run.out.split())
    assert "Palette shelf: 4 colours" in words
    # 250 beads, none, and 2 g at the 108 a gram of 11/0.
    assert "11/0 3 466 1" in words
    assert "8/0 1 not said 0" in words
    assert "B2 kingfisher blue and B3 nearly kingfisher: 0." in words
    assert "ignored column 'bin'" in run.err
    assert "ignored" not in run.out


def test_names_are_not_markup(combweave, tmp_path):
    (tmp_path / "shelf.csv").write_text(SHELF.replace("#1F6FA5", "#8899AB"))
    assert "A1 [bold]heron[/x] grey and B2 kingfisher blue" in combweave("palette", "shelf.csv").out


def test_one_json_object(combweave, tmp_path):
    (tmp_path / "shelf.csv").write_text(SHELF)
    run = combweave("palette", "shelf.csv", "--json")
    told = json.loads(run.out)
    assert run.err == ""
    assert told["sizes"] == [
        {"size": "11/0", "colours": 3, "on_hand": 466, "out_of_stock": 1},
        {"size": "8/0", "colours": 1, "on_hand": None, "out_of_stock": 0},
    ]
    assert told["alike"][0]["codes"] == ["B2", "B3"]
    assert 0 < told["alike"][0]["difference"] < 1
    assert len(told["gaps"]) == 5
    assert told["notes"] == ["shelf.csv: ignored column 'bin'"]


def test_assortment_that_ships(combweave):
    assert "Palette lakeside-range: 240 colours" in combweave("palette").out


def test_faults_are_one_line_and_a_hint(combweave, tmp_path):
    (tmp_path / "shelf.csv").write_text(SHELF.replace("#F7F6F4", "whitish").replace("250", "2.5"))
    run = combweave("palette", "shelf.csv")
    assert (run.code, run.out) == (1, "")
    fault, hint = run.err.splitlines()
    assert fault.startswith("Error: shelf.csv, line 2, column on_hand: '2.5' is not")
    assert "line 5, column hex: 'whitish' is not" in fault
    assert hint.startswith("Hint: ")


MESS = (
    "My beads at the lake;;;;;;\n\n"
    "No.;Colour;Hex;Size;Qty;Pack (g);Price\n"
    "R1;robin red;C03020;11/0;1 250;10 g;2,75 €\n"
    "K1;kingfisher blue;#1F6FA5;11/0;ca. 400;10 g;2,75 €\n"
    "\n"
    "Total;;;;1650;;\n"
)


def piece(combweave, shelf, name, *options):
    run = combweave("motif", "--rounds", 1, "--palette", shelf, "--out", name, *options)
    assert run.code == 0, run.err
    return run


def rows_of(path):
    return list(csv.reader(io.StringIO(path.read_text(encoding="utf-8")), delimiter=";"))


def taken_by(folder):
    """Return the beads of each code in a piece's list."""
    text = (folder / "beads.csv").read_text(encoding="utf-8")
    return {row["code"]: int(row["beads"]) for row in csv.DictReader(io.StringIO(text))}


def test_a_mess_is_read_and_what_was_understood_is_told(combweave, tmp_path):
    (tmp_path / "mess.csv").write_text(MESS, encoding="utf-8")
    run = combweave("palette", "mess.csv")
    assert run.code == 0
    assert "11/0 2 1,650 0" in " ".join(run.out.split())
    told = " ".join(run.err.split())
    assert "read 2 colours from columns No. (as code), Colour (as name), Hex, Size, Qty" in told
    assert "line 7 was taken for totals" in told


def test_sheet_of_a_workbook(combweave, tmp_path):
    book = openpyxl.Workbook()
    for name, colour in (("June", "#112233"), ("July", "#445566")):
        sheet = book.create_sheet(name)
        sheet.append(["Name", "Colour"])
        sheet.append([f"heron of {name}", colour])
    book.save(tmp_path / "shelf.xlsx")
    run = combweave("palette", "shelf.xlsx")
    assert (run.code, run.out) == (1, "")
    assert run.err.splitlines() == [
        "Error: shelf.xlsx has 2 sheets that can be the palette: 'June', 'July'",
        "Hint: name one with --sheet",
    ]
    for sheet in ("july", 3):
        told = json.loads(combweave("palette", "shelf.xlsx", "--sheet", sheet, "--json").out)
        assert told["gaps"][0]["nearest"] == "heron of July"


@pytest.mark.parametrize("ending", ["pdf", "png"])
def test_a_sheet_for_the_shelf(combweave, tmp_path, ending):
    (tmp_path / "mess.csv").write_text(MESS, encoding="utf-8")
    sheet = tmp_path / f"sheet.{ending}"
    assert combweave("palette", "mess.csv", "--out", sheet.name, "--paper", "letter").code == 0
    if ending == "pdf":
        words = pypdfium2.PdfDocument(sheet)[0].get_textpage().get_text_range()
        assert "11/0: 1,250 beads" in words
    else:
        Image.open(sheet).verify()
    before = sheet.read_bytes()
    run = combweave("palette", "mess.csv", "--out", sheet.name)
    assert run.code == 1
    assert "is there already" in run.err
    assert combweave("palette", "mess.csv", "--out", sheet.name, "--paper", "letter", "--force").code == 0
    assert sheet.read_bytes() == before
    run = combweave("palette", "mess.csv", "--out", "sheet.txt")
    assert "the sheet is a .pdf or a .png, not sheet.txt" in run.err


def test_the_shelf_after_a_piece(combweave, tmp_path):
    shelf = tmp_path / "mess.csv"
    shelf.write_text(MESS, encoding="utf-8")
    piece(combweave, "mess.csv", "flower", "--core-colour", "robin", "--connector-colour", "kingfisher")
    used = taken_by(tmp_path / "flower")
    run = combweave("palette", "mess.csv", "--use", "flower", "--json")
    assert run.code == 0, run.err
    told = json.loads(run.out)
    assert told["shelf"] == "mess-after.csv"
    assert {change["code"]: change["used"] for change in told["changes"]} == used
    assert shelf.read_text(encoding="utf-8") == MESS
    expected = MESS.replace("1 250", str(1250 - used["R1"]))
    if "K1" in used:
        expected = expected.replace("ca. 400", f"ca. {400 - used['K1']}")
    assert (tmp_path / "mess-after.csv").read_text(encoding="utf-8") == expected
    # Once more on what is left, by the pattern file itself.
    run = combweave("palette", "mess-after.csv", "--use", "flower/pattern.json", "--use", "flower")
    assert run.code == 0, run.err
    assert rows_of(tmp_path / "mess-after-after.csv")[3][4] == str(1250 - 3 * used["R1"])
    assert f"{2 * used['R1']:,} beads" in run.out


def test_the_shelf_is_replaced_only_by_force(combweave, tmp_path):
    shelf = tmp_path / "mess.csv"
    shelf.write_text(MESS, encoding="utf-8")
    piece(combweave, "mess.csv", "flower", "--core-colour", "R1")
    run = combweave("palette", "mess.csv", "--use", "flower", "--out", "mess.csv")
    assert run.code == 1
    assert "mess.csv is there already" in run.err
    assert shelf.read_text(encoding="utf-8") == MESS
    assert combweave("palette", "mess.csv", "--use", "flower", "--out", "mess.csv", "--force").code == 0
    assert shelf.read_text(encoding="utf-8") != MESS


def test_what_does_not_suffice_is_told_and_nothing_written(combweave, tmp_path):
    few = MESS.replace("1 250", "5")
    (tmp_path / "few.csv").write_text(few, encoding="utf-8")
    piece(combweave, "few.csv", "flower", "--core-colour", "R1", "--connector-colour", "R1")
    run = combweave("palette", "few.csv", "--use", "flower")
    assert (run.code, run.out) == (1, "")
    fault, hint = run.err.splitlines()
    assert fault.startswith("Error: the shelf would fall below zero: R1 robin red in 11/0 (")
    assert fault.endswith(" beads short)")
    assert "--buy" in hint
    assert [path.name for path in tmp_path.glob("*after*")] == []
    # The list of the piece says one pack of 10 g, 1,080 beads of 11/0.
    assert combweave("palette", "few.csv", "--buy", "flower", "--use", "flower").code == 0
    after = rows_of(tmp_path / "few-after.csv")
    taken = sum(taken_by(tmp_path / "flower").values())
    assert after[3][4] == str(5 + 1080 - taken)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--use", "flower"], "need your own shelf"),
        (["mess.csv", "--use", "nothing"], "the pattern file nothing is not there"),
        (["mess.csv", "--use", "."], "pattern.json is not there"),
        (["mess.csv", "--buy", "mess.csv"], "mess.csv, line 1, column 1: not valid JSON"),
        (["mess.csv", "--use", "x", "--out", "shelf.xlsx"], "the shelf is written as .csv, not shelf.xlsx"),
        (["mess.csv", "--sheet", "1"], "is a text file, which has no sheets"),
        (["."], "is a folder, not a palette file"),
        (["empty.csv"], "empty.csv is empty"),
    ],
)
def test_one_line_for_what_cannot_be(combweave, tmp_path, arguments, said):
    (tmp_path / "mess.csv").write_text(MESS, encoding="utf-8")
    (tmp_path / "empty.csv").write_text("")
    run = combweave("palette", *arguments)
    assert (run.code, run.out) == (1, "")
    assert said in run.err
    assert len([line for line in run.err.splitlines() if line.startswith("Error")]) == 1
    assert sorted(path.name for path in tmp_path.iterdir()) == ["empty.csv", "mess.csv"]
