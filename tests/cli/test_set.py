"""``combweave set``: the README's set for a class, and what can be wrong in its file."""

import csv
import json
import re
from pathlib import Path

import pytest
from PIL import Image

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
EXAMPLE = re.search(r"```toml\n(title = .*?)```", README, re.DOTALL)[1]
FILES = ("sample_images/", "palettes/")

SMALL = """
[shared]
colours = 2

[piece.reed]
kind = "panel"
picture = "halves.png"
across = 4

[piece.pair]
kind = "motif"
rounds = 1
picture = "halves.png"
copies = 2
"""


@pytest.fixture
def beside(tmp_path):
    """What the README's file names beside it, as in a checkout."""
    for name in FILES:
        (tmp_path / name.rstrip("/")).symlink_to(ROOT / name)


def listed(path):
    return list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))


def test_the_set_of_the_readme_is_what_comes_out(combweave, beside, tmp_path):
    (tmp_path / "reeds.toml").write_text(EXAMPLE, encoding="utf-8")
    run = combweave("set", "reeds.toml")
    assert run.code == 0
    said = " ".join(run.err.split())
    section = README.split("## For a class: kits")[1]
    for line in re.search(r"```text\n(Set .*?)```", section, re.DOTALL)[1].splitlines():
        assert " ".join(line.split()) in said, line
    out = tmp_path / "reeds-set"
    rows = listed(out / "beads.csv")
    for name in ("bracelet", "earrings", "pendant"):
        check = combweave("check", out / name / "pattern.json")
        assert check.code == 0
        assert "every bead is strung" in check.err
        own = {(row["code"], row["size"]): row["beads"] for row in listed(out / name / "beads.csv")}
        assert {(row["code"], row["size"]): row[name] for row in rows if row[name] != "0"} == own
    assert len({row["code"] for row in rows}) == 8
    kit = {row["what"]: row for row in listed(out / "kit.csv")}
    assert round(float(kit["price of a kit"]["cost_in_one_bag"]), 2) == 10.59


def test_paths_are_relative_to_the_file(combweave, small_picture, tmp_path):
    folder = tmp_path / "sets"
    folder.mkdir()
    small_picture.rename(folder / small_picture.name)
    Image.new("L", (60, 40), 255).save(folder / "mask.png")
    masked = SMALL.replace("across = 4", 'across = 4\nmask = "mask.png"')
    (folder / "mine.toml").write_text(masked)
    assert combweave("set", "sets/mine.toml", "--quiet").code == 0
    assert (tmp_path / "mine-set" / "pair" / "pattern.json").is_file()


def test_the_command_line_beats_the_file(combweave, small_picture, tmp_path):
    (tmp_path / "mine.toml").write_text(
        SMALL.replace("colours = 2", "colours = 2\nstudents = 4\nspare = 0.5")
    )
    run = combweave("set", "mine.toml", "--students", "3", "--json", "--quiet", "--edition", "student")
    assert run.code == 0
    figures = json.loads(run.out)
    assert (figures["students"], figures["spare"], figures["title"]) == (3, 0.5, "mine")
    assert figures["pieces"]["pair"]["copies"] == 2
    assert not (tmp_path / "mine-set" / "kit.csv").exists()


def test_what_is_shared_is_a_default_and_a_piece_may_have_its_own(combweave, small_picture, tmp_path):
    text = SMALL.replace("colours = 2", 'colours = 2\nbeads = "15/0"\nsmooth = 0.5')
    (tmp_path / "mine.toml").write_text(text.replace("across = 4", 'across = 4\nbeads = "8/0"\nsmooth = 0'))
    assert combweave("set", "mine.toml", "--quiet").code == 0
    for name, size in (("reed", "8/0"), ("pair", "15/0")):
        pattern = json.loads((tmp_path / "mine-set" / name / "pattern.json").read_text())
        assert pattern["core"]["name"] == size


def test_a_file_on_standard_input(combweave, small_picture, tmp_path, monkeypatch):
    file = tmp_path / "in.toml"
    file.write_text(SMALL)
    with file.open() as stream:
        monkeypatch.setattr("sys.stdin", stream)
        assert combweave("set", "-", "--quiet", "--out", "out").code == 0


@pytest.mark.parametrize(
    ("old", "new", "message", "hint"),
    [
        ("across = 4", "acros = 4", "mine.toml, line 8, [piece.reed]: there is no option 'acros'", "across"),
        ("colours = 2", "colors = 2", "line 3, [shared]: there is no option 'colors'", "colours"),
        (
            "[piece.pair]",
            "[piece.reed]",
            "mine.toml, line 10, column 12: the piece reed is there twice",
            "own",
        ),
        ("[piece.pair]", "[piece.Reed]", "two pieces of the set are called 'reed' and 'Reed'", "own"),
        ("across = 4", "across = four", "mine.toml, line 8, column 10: invalid value", "quotes"),
        ("across = 4", 'across = "four"', "line 8, [piece.reed]: across is 'four': ", ""),
        (
            "across = 4",
            "across = 4\ncolours = 3",
            "line 9, [piece.reed]: colours is chosen for the whole set",
            "[shared]",
        ),
        ("across = 4", "across = 4\nstudents = 3", "students is chosen for the whole set", "[shared]"),
        ("across = 4", 'across = 4\nout = "x"', "out is chosen for the whole set", "[shared]"),
        ("across = 4", "across = 4\nrounds = 2", "[piece.reed]: there is no option 'rounds'", ""),
        ("across = 4", "across = 4\nwidth = {a = 1}", "width is a table, not a value", ""),
        (
            'kind = "panel"',
            'kind = "pannel"',
            "line 6, [piece.reed]: kind is panel or motif, not 'pannel'",
            "kind",
        ),
        ('kind = "panel"', "", "[piece.reed]: does not say what it is", "kind"),
        ("rounds = 1", "rounds = 1\nwrist = 3", "[piece.pair]: a flower has no wrist", ""),
        ("across = 4", "across = 4\ndither = 3", "[piece.reed]: --dither is from 0 to 1, not 3", ""),
        ("colours = 2", "colours = 0", "--colours is 1 or more, not 0", ""),
        ("colours = 2", "students = 0", "students are 1 to 1,000, not 0", ""),
        ("colours = 2", "students = 10000", "students are 1 to 1,000, not 10,000", ""),
        ("colours = 2", "labour = 3", "--labour and --margin make the price of a kit", "--students"),
        ("colours = 2", "colours = 2\nforce = true", "force is for the command line alone", ""),
        (
            "colours = 2",
            "colours = 2\n[pieces]\n",
            "there is no 'pieces' in the file of a set",
            "[piece.bracelet]",
        ),
        ("halves.png", "gone.png", "gone.png", ""),
        ('picture = "halves.png"\nacross', "across", "[piece.reed]: a panel needs a picture", "picture"),
        (
            'picture = "halves.png"\nacross',
            "picture = 3\nacross",
            "the picture is not the name of a file",
            "",
        ),
        ("[shared]", 'title = "a\\nb"\n[shared]', "the title is not one line", ""),
        ("copies = 2", "copies = 1001", "pair: copies are 1 to 1,000, not 1001", ""),
        ("[piece.pair]", '[piece."a/b"]', "a piece cannot be called 'a/b'", "letters"),
    ],
)
def test_what_can_be_wrong_is_told_in_one_line(combweave, small_picture, tmp_path, old, new, message, hint):
    assert old in SMALL
    (tmp_path / "mine.toml").write_text(SMALL.replace(old, new, 1))
    run = combweave("set", "mine.toml")
    assert run.code in (1, 2)
    told = " ".join(run.err.replace("│", " ").split())
    assert message in told
    assert hint in told
    assert run.code == 2 or run.err.startswith("Error: ")
    assert not (tmp_path / "mine-set").exists()


def test_a_file_that_is_none(combweave, tmp_path):
    assert "cannot read gone.toml" in combweave("set", "gone.toml").err
    (tmp_path / "empty.toml").write_text("")
    assert "there is no piece" in combweave("set", "empty.toml").err
    (tmp_path / "bytes.toml").write_bytes(b"\xff\xfe\x00x")
    assert "not text in UTF-8" in combweave("set", "bytes.toml").err
    (tmp_path / "large.toml").write_bytes(b"#" * 1_000_001)
    assert "larger than 1 MB" in combweave("set", "large.toml").err
    (tmp_path / "open.toml").write_text('title = "')
    assert "open.toml, at its end" in combweave("set", "open.toml").err


def test_more_than_the_stock_is_told_by_piece_bead_and_number(combweave, small_picture, tmp_path):
    shelf = "code,name,hex,on_hand\nB,blue,#2060A0,{}\nW,white,#F7F6F4,{}\n"
    (tmp_path / "few.csv").write_text(shelf.format(20, 20))
    text = SMALL.replace("colours = 2", 'colours = 2\nstock = true\npalette = "few.csv"')
    (tmp_path / "mine.toml").write_text(text)
    run = combweave("set", "mine.toml")
    assert run.code == 1
    missing = re.search(r"missing", run.err)
    assert missing
    assert re.search(r"cannot fill the set: [\d,]+ of 11/0 in \w+", run.err)
    assert re.search(r"g of (B blue|W white) in 11/0", run.err)
    plain = text.replace('rounds = 1\npicture = "halves.png"', 'rounds = 1\ncore_colour = "B"')
    (tmp_path / "mine.toml").write_text(plain)
    run = combweave("set", "mine.toml")
    assert "pair: 60 beads B blue are needed and 20 on hand" in run.err
    assert "buy 40 more" in run.err


@pytest.mark.parametrize("command", ["panel", "motif"])
def test_students_of_a_single_piece(combweave, small_picture, tmp_path, command):
    run = combweave(
        command, small_picture, "--students", "12", "--labour", "4", "--margin", "0.3", "--out", "out"
    )
    assert run.code == 0
    assert "by each of 12 students: 12 in all" in " ".join(run.err.split())
    assert {"kit.csv", "labels.pdf"} <= {path.name for path in (tmp_path / "out").iterdir()}
    for wrong in (
        ("--students", "0"),
        ("--students", "10000"),
        ("--labour", "4"),
        ("--students", "2", "--margin", "1"),
    ):
        run = combweave(command, small_picture, *wrong, "--out", "other")
        assert run.code == 1
        assert run.err.startswith("Error: ")
        assert not (tmp_path / "other").exists()


def test_redraw_makes_kits_and_editions_again(combweave, small_picture, tmp_path):
    assert (
        combweave("panel", small_picture, "--across", 4, "--students", 3, "--out", "out", "--quiet").code == 0
    )
    run = combweave("redraw", "out/pattern.json", "--labour", "2", "--out", "again", "--quiet")
    assert run.code == 0
    kit = {row["what"]: row for row in listed(tmp_path / "again" / "kit.csv")}
    assert kit["labour"]["cost_in_one_bag"] == "2.0000"
    assert (
        combweave("redraw", "out/pattern.json", "--edition", "student", "--out", "hers", "--quiet").code == 0
    )
    assert not (tmp_path / "hers" / "kit.csv").exists()
