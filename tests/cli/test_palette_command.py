import csv
import io
import json
import re
import sys

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


def greys(count, step=1):
    """Return a palette of greys, so many pairs of them too near to be told apart."""
    return "code,name,hex\n" + "".join(
        f"G{number},grey {number},#{level:02X}{level:02X}{level:02X}\n"
        for number in range(count)
        for level in [60 + number * step]
    )


@pytest.mark.parametrize(
    ("count", "step", "said", "pairs"),
    [
        (2, 60, "For everybody: every two colours can be told apart.", 0),
        (2, 3, "For everybody: 1 pair hard to tell apart (difference below 2).", 1),
        (9, 4, "For everybody: 8 pairs hard to tell apart (difference below 2).", 8),
    ],
)
def test_pairs_that_are_hard_to_tell_apart(combweave, tmp_path, count, step, said, pairs):
    (tmp_path / "greys.csv").write_text(greys(count, step))
    lines = combweave("palette", "greys.csv").out.splitlines()
    place = lines.index(said)
    told = [line for line in lines[place + 1 : place + 10] if line.startswith("  G")]
    assert len(told) == pairs
    assert lines[place + 1 + pairs].startswith("With ")
    if pairs == 1:
        assert told[0].startswith("  G0 grey 0 and G1 grey 1: 1.")


def test_of_many_pairs_eight_are_told(combweave, tmp_path):
    (tmp_path / "greys.csv").write_text(greys(10, 4))
    lines = combweave("palette", "greys.csv").out.splitlines()
    place = lines.index("For everybody: 9 pairs hard to tell apart (difference below 2).")
    assert lines[place + 8].startswith("  G")
    assert lines[place + 9] == "  and 1 more"


def test_who_sees_colours_otherwise_is_told_what_more_looks_alike(combweave, tmp_path):
    (tmp_path / "p.csv").write_text("code,name,hex\nA,reed,#8A7A30\nB,rust,#A86F3A\nC,lake,#2060A0\n")
    told = json.loads(combweave("palette", "p.csv", "--json").out)
    lines = combweave("palette", "p.csv").out.splitlines()
    assert list(told["alike_with"]) == [
        line.removeprefix("With ").split(", besides")[0] for line in lines if line.startswith("With ")
    ]


def test_gaps_are_told_with_the_nearest_bead(combweave, tmp_path):
    (tmp_path / "p.csv").write_text("code,name,hex\nA,reed,#8A7A30\nB,,#2060A0\n")
    told = json.loads(combweave("palette", "p.csv", "--json").out)["gaps"]
    lines = combweave("palette", "p.csv").out.splitlines()
    place = lines.index("Largest gaps in the range of colours a screen can show:")
    names = {"A": "A reed", "B": "B"}
    for line, gap in zip(lines[place + 1 :], told, strict=True):
        known, off = line.rsplit(", ", 1)
        assert known == f"  {gap['hex']}: the nearest is {names[gap['nearest']]}"
        assert re.fullmatch(r"[0-9]+\.[0-9] off", off)
        assert float(off.split()[0]) == pytest.approx(gap["difference"], abs=0.06)
        assert gap["difference"] == round(gap["difference"], 2)
    assert any(gap["difference"] != round(gap["difference"], 1) for gap in told)


def test_differences_are_told_to_a_thousandth(combweave, tmp_path):
    (tmp_path / "greys.csv").write_text(greys(9, 3))
    told = [
        pair["difference"] for pair in json.loads(combweave("palette", "greys.csv", "--json").out)["alike"]
    ]
    assert told == [round(difference, 3) for difference in told]
    assert any(difference != round(difference, 2) for difference in told)


def test_columns_of_the_table_stand_as_they_should(combweave, tmp_path):
    (tmp_path / "shelf.csv").write_text(SHELF + "D1,reed,#6A7A30,,70,,\n")
    lines = combweave("palette", "shelf.csv").out.splitlines()
    head = next(line for line in lines if "Beads on hand" in line)
    row = next(line for line in lines if "11/0" in line)
    assert row.index("11/0") == head.index("Size")
    end = head.index("Beads on hand") + len("Beads on hand")
    assert row[:end].endswith(" 466")
    assert any("every size  " in line for line in lines)


def test_what_changed_on_the_shelf_is_told_in_words_and_figures(combweave, tmp_path):
    (tmp_path / "s.csv").write_text(
        "code,name,hex,size,on_hand,on_hand_g,price,pack_g\n"
        "R1,robin red,#C03020,11/0,,25,2,10\nK1,kingfisher,#1F6FA5,11/0,5,,2,10\n"
        "W1,swan,#F7F6F4,11/0,,,2,10\n"
    )
    piece(combweave, "s.csv", "one", "--colour", "R1", "--second-colour", "R1")
    piece(combweave, "s.csv", "two", "--colour", "K1", "--second-colour", "K1")
    piece(combweave, "s.csv", "three", "--colour", "W1", "--second-colour", "W1")
    used = sum(taken_by(tmp_path / "one").values())
    pieces = ("--use", "one", "--use", "two", "--use", "three", "--buy", "two")
    told = json.loads(combweave("palette", "s.csv", *pieces, "--json").out)["changes"]
    red, blue, white = sorted(told, key=lambda change: "RKW".index(change["code"][0]))
    assert red == {
        "code": "R1",
        "name": "robin red",
        "size": "11/0",
        "used": used,
        "bought_g": 0,
        "left": pytest.approx(25 - used / 108, abs=0.01),
        "unit": "g",
    }
    assert (blue["used"], blue["bought_g"], blue["unit"]) == (used, 10, "beads")
    assert blue["left"] == 5 - used + 1080
    assert (white["left"], white["used"]) == (None, used)
    run = combweave("palette", "s.csv", *pieces, "--force")
    rows = [" ".join(line.split()) for line in run.out.splitlines() if line.strip()]
    assert rows[0] == "Bead Size Bought Used Left"
    assert f"R1 robin red 11/0 {used:,} beads {red['left']:.2f} g" in rows
    assert f"K1 kingfisher 11/0 10 g {used:,} beads {blue['left']:,} beads" in rows
    assert f"W1 swan 11/0 {used:,} beads not said" in rows
    assert rows[-1] == "The shelf after it: s-after.csv"
    head, first = (
        next(line for line in run.out.splitlines() if word in line) for word in ("Bought", "robin")
    )
    assert first.index("R1 robin") == head.index("Bead")
    assert first.rstrip().endswith(" g")
    assert len(first.rstrip()) == len(head.rstrip())
    bought = json.loads(combweave("palette", "s.csv", "--buy", "two", "--json", "--force").out)["changes"]
    assert [(change["code"], change["used"], change["bought_g"]) for change in bought] == [("K1", 0, 10)]
    rows = [
        " ".join(row.split())
        for row in combweave("palette", "s.csv", "--buy", "two", "--force").out.splitlines()
    ]
    assert f"K1 kingfisher 11/0 10 g {5 + 1080:,} beads" in rows


def test_a_shelf_from_standard_input_is_written_under_its_own_name(combweave, tmp_path, monkeypatch):
    (tmp_path / "mess.csv").write_text(MESS, encoding="utf-8")
    piece(combweave, "mess.csv", "flower", "--colour", "R1")
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(MESS.encode())))
    assert combweave("palette", "-", "--use", "flower").code == 0
    assert (tmp_path / "shelf-after.csv").is_file()


def test_numbers_are_plain_on_a_colour_terminal(combweave, tmp_path, monkeypatch):
    (tmp_path / "s.csv").write_text(SHELF)
    (tmp_path / "mess.csv").write_text(MESS, encoding="utf-8")
    piece(combweave, "mess.csv", "flower", "--colour", "R1")
    monkeypatch.delenv("NO_COLOR")
    for name, value in {"FORCE_COLOR": "1", "TERM": "xterm-256color"}.items():
        monkeypatch.setenv(name, value)
    for arguments in (("s.csv",), ("mess.csv", "--use", "flower")):
        # Of the colours that numbers would get, by their codes: cyan, yellow, magenta, green.
        assert not re.search(r"\x1b\[[0-9;]*3[2-6]m", combweave("palette", *arguments).out)


def test_grams_that_were_bought_are_told_to_a_hundredth(combweave, tmp_path):
    (tmp_path / "s.csv").write_text(
        "code,hex,size,on_hand,price,pack_g\nR1,#C03020,11/0,5,2,3.4567\nK1,#1F6FA5,11/0,5,2,3.4567\n"
    )
    piece(combweave, "s.csv", "one", "--colour", "R1", "--second-colour", "R1")
    told = json.loads(combweave("palette", "s.csv", "--buy", "one", "--json").out)["changes"]
    assert [change["bought_g"] for change in told] == [3.46]
    assert " 3.457 g " in combweave("palette", "s.csv", "--buy", "one", "--force").out
