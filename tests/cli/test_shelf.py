"""``shelf``, from the photograph to a palette that colours the heron."""

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from convert.cli.inputs import load_palette
from convert.colour.ciede2000 import ciede2000
from convert.palette.palette_file import read_palette
from tests.shelf.sample_tray import COLUMNS, ROWS, SAMPLE, SIZE, colours

HERON = Path(__file__).parents[2] / "sample_images" / "heron.png"
GRID = f"{ROWS}x{COLUMNS}"


@pytest.fixture
def tray(tmp_path):
    """The upper part of the sample, with the card and the first two rows of heaps, of few pixels."""
    with Image.open(SAMPLE) as image:
        part = image.crop((0, 0, image.width, round(image.height * 0.62)))
        path = tmp_path / "tray.png"
        part.save(path)
    return path


def one_line(run, *words):
    """Check that a fault is told in one line and a hint."""
    assert run.code == 1
    assert not run.out
    lines = run.err.strip().splitlines()
    assert len(lines) == 2, run.err
    assert lines[0].startswith("Error: ")
    assert lines[1].startswith("Hint: ")
    for word in words:
        assert word in run.err


def test_photograph_to_shelf_to_heron(combweave, tmp_path):
    """The sample becomes a shelf of the workshop's colours, and the shelf colours the heron."""
    run = combweave("shelf", SAMPLE, "--size", SIZE, "--grid", GRID, "--out", "workshop")
    assert run.code == 0
    assert "40 in rows of 8, 8, 8, 8, 8" in run.err
    assert "cannot know" in run.err
    palette, notes = read_palette(tmp_path / "workshop.csv")
    assert notes == ()
    true = np.array([entry.lab for entry in colours()])
    differences = ciede2000(palette.labs(), true)
    assert np.median(differences) < 3
    assert differences.max() < 7
    assert {entry.size for entry in palette.entries} == {SIZE}
    with Image.open(tmp_path / "workshop.png") as sheet:
        assert sheet.width > 1500
    woven = combweave("panel", HERON, "--palette", "workshop.csv", "--beads", SIZE, "--width", 60, "--quiet")
    assert woven.code == 0
    listed = (tmp_path / "heron-panel" / "beads.csv").read_text(encoding="utf-8")
    assert "A1,white 1,11/0" in listed


def test_card_is_printed_with_its_table(combweave, tmp_path):
    assert combweave("shelf", "--card").code == 0
    assert (tmp_path / "shelf-card-a4.pdf").read_bytes().startswith(b"%PDF")
    assert len(read_palette(tmp_path / "shelf-card-a4.csv")[0].entries) == 36
    one_line(combweave("shelf", "--card"), "there already", "--force")
    assert combweave("shelf", "--card", "--paper", "letter", "--out", "my.pdf", "--quiet").code == 0
    assert (tmp_path / "my.pdf").is_file()
    one_line(combweave("shelf", "x.jpg", "--card"), "reads no photograph")


def test_shelf_is_extended(combweave, tmp_path, tray):
    (tmp_path / "old.csv").write_text(
        "code,name,size,hex,on_hand,spread\nA1,light grey 1,11/0,#C9C7C0,40,2.5\n", encoding="utf-8"
    )
    run = combweave("shelf", tray, "--size", SIZE, "--add", "old.csv", "--json")
    assert run.code == 0
    value = json.loads(run.out)
    codes = [heap["code"] for heap in value["heaps"]]
    assert codes[:2] == ["B1", "B2"]
    assert any("Hard to tell apart" in note and "A1 light grey 1" in note for note in value["notes"])
    lines = (tmp_path / "tray-shelf.csv").read_text(encoding="utf-8").splitlines()
    assert lines[0] == "code,name,size,hex,lab,on_hand,spread"
    assert lines[1].startswith("A1,light grey 1,11/0,#C9C7C0,")
    assert lines[1].endswith(",40,2.5")
    palette, _ = load_palette(str(tmp_path / "tray-shelf.csv"))
    assert len({entry.code for entry in palette.entries}) == len(value["heaps"]) + 1
    assert "light grey 2" in [entry.name for entry in palette.entries]


def test_names_are_given_in_reading_order(combweave, tmp_path, tray):
    names = [entry.name for entry in colours()[:16]]
    (tmp_path / "names.txt").write_text(
        "\n".join([", ".join(names[:8]), ", ".join(names[8:])]), encoding="utf-8"
    )
    assert combweave("shelf", tray, "--names", "names.txt", "--quiet").code == 0
    palette, _ = load_palette(str(tmp_path / "tray-shelf.csv"))
    assert [entry.name for entry in palette.entries] == names
    (tmp_path / "names.txt").write_text("\n".join(names[:-1]), encoding="utf-8")
    one_line(
        combweave("shelf", tray, "--names", "names.txt", "--out", "b"),
        "names.txt has 15 names",
        "shows 16 heaps",
    )


def test_nothing_is_replaced_without_being_told_to(combweave, tmp_path, tray):
    (tmp_path / "tray-shelf.csv").write_text("mine", encoding="utf-8")
    one_line(combweave("shelf", tray), "tray-shelf.csv is there already", "--force")
    assert (tmp_path / "tray-shelf.csv").read_text(encoding="utf-8") == "mine"
    assert not (tmp_path / "tray-shelf.png").exists()
    assert combweave("shelf", tray, "--force", "--quiet").code == 0
    assert len(read_palette(tmp_path / "tray-shelf.csv")[0].entries) == 16


def test_a_grid_that_does_not_fit_leaves_nothing(combweave, tmp_path, tray):
    one_line(combweave("shelf", tray, "--grid", "3x8"), "found 16 heaps, not 3x8 = 24", "--grid")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["tray.png"]


def test_what_is_no_photograph_of_beads_is_told(combweave, tmp_path):
    from skimage import data

    Image.fromarray(data.chelsea()).save(tmp_path / "cat.png")
    one_line(combweave("shelf", "cat.png"), "cat.png: no plain paper found", "white paper")
    one_line(combweave("shelf", "cat.png", "--out", "no/where"), "is not there")
    one_line(combweave("shelf", tmp_path), "is a folder")
    one_line(combweave("shelf", "nobody.jpg"), "there is no picture")
    (tmp_path / "text.jpg").write_text("no picture", encoding="utf-8")
    one_line(combweave("shelf", "text.jpg"), "no picture that can be read")
    one_line(combweave("shelf"), "no photograph is given", "--card")


def test_faults_of_options_are_told(combweave, tmp_path, tray):
    one_line(combweave("shelf", tray, "--grid", "5by8"), "--grid '5by8'", "5x8")
    one_line(combweave("shelf", tray, "--names", tmp_path), "is a folder")
    assert combweave("shelf", tray, "--size", "huge").code == 1
    assert combweave("shelf", tray, "--card-values", "nowhere.csv").code == 1
    assert combweave("shelf", tray, "--add", "nowhere.csv").code == 1
    assert sorted(path.name for path in tmp_path.iterdir()) == ["tray.png"]
