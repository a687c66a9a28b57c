import json
import re

import numpy as np
import pypdfium2
import pytest
from PIL import Image
from skimage import data

from convert.drawing.sheet import DOTS_PER_INCH
from convert.drawing.size_sheet import WIDTH_MM


@pytest.fixture
def drawn(tmp_path):
    """A dark ring with a dot on light ground."""
    y, x = np.mgrid[:240, :300]
    far = np.hypot(x - 150, y - 120)
    ink = ((far > 60) & (far < 90)) | (far < 15)
    path = tmp_path / "ring.png"
    Image.fromarray(np.where(ink[..., None], (40, 60, 90), (240, 236, 225)).astype(np.uint8)).save(path)
    return path


def test_sheet_table_and_json(combweave, drawn, tmp_path):
    chosen = ("--beads", "11/0", "--beads", "11/0+8/0", "--width", 60, "--detail", "0.4,0.4,0.2,0.2")
    run = combweave("sizes", drawn, *chosen, "--json")
    assert run.code == 0
    told = json.loads(run.out)
    assert [one["beads_size"] for one in told["candidates"]] == ["11/0", "11/0+8/0"] * 2
    assert "the detail" in told["advice"]
    folder = tmp_path / "ring-sizes"
    image = Image.open(folder / "sizes.png")
    assert image.width == round(WIDTH_MM * DOTS_PER_INCH / 25.4)
    # Ring and dot are there in every piece: dark blue beads lie in all four cells.
    blue = np.asarray(image.convert("RGB")).astype(int)
    assert (blue[..., 2] - blue[..., 0] > 25).sum() > 4000
    with pypdfium2.PdfDocument(folder / "sizes.pdf") as document:
        assert len(document) == 1
        words = document[0].get_textpage().get_text_range()
    assert told["advice"].split(":")[0][:20] in words
    assert "11/0+8/0" in words


def test_colours_stock_and_distance_are_those_of_panel(combweave, drawn, tmp_path):
    (tmp_path / "shelf.csv").write_text(
        "code,size,hex,on_hand\nA,8/0,#203040,900\nB,8/0,#F0F0E8,900\nC,8/0,#4060A0,900\n"
        "A,11/0,#203040,20\nB,11/0,#F0F0E8,20\n"
    )
    own = ("--palette", "shelf.csv", "--width", 60, "--stock", "--view-distance", 3)
    run = combweave("sizes", drawn, *own, "--json")
    assert run.code == 0
    told = json.loads(run.out)
    assert {one["beads_size"] for one in told["candidates"]} == {"8/0"}
    assert any("11/0 is left out at the same finished width: the beads" in note for note in told["notes"])
    with pypdfium2.PdfDocument(tmp_path / "ring-sizes" / "sizes.pdf") as document:
        words = " ".join(document[0].get_textpage().get_text_range().split())
    assert "seen from 3 m" in words
    assert "11/0 is left out" in words
    run = combweave("sizes", drawn, "--width", 40, "--beads", "8/0", "--colours", 2, "--json", "--force")
    assert {one["colours"] for one in json.loads(run.out)["candidates"]} == {2}


def test_same_input_same_bytes(combweave, drawn, tmp_path):
    for name in ("one", "two"):
        chosen = ("--beads", "8/0", "--width", 40, "--ground", "keep")
        run = combweave("sizes", drawn, *chosen, "--out", name, "--quiet")
        assert (run.code, run.out, run.err) == (0, "", "")
    for name in ("sizes.png", "sizes.pdf"):
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_table_on_the_terminal(combweave, drawn):
    run = combweave("sizes", drawn, "--beads", "8/0", "--width", 40)
    assert run.code == 0
    assert "Same finished width" in run.out
    assert "Same number of loops across" in run.out
    assert "common practice" in run.out


def test_many_sizes_fit_a_narrow_terminal(combweave, drawn, tmp_path, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    (tmp_path / "any.csv").write_text("code,name,hex\nA,ink,#203040\nB,paper,#F0F0E8\n")
    names = ["15/0", "13/0", "11/0", "11/0-cylinder", "11/0+15/0", "11/0-czech+8/0-czech", "8/0", "6/0"]
    chosen = [word for name in names for word in ("--beads", name)]
    run = combweave("sizes", drawn, "--palette", "any.csv", *chosen, "--width", 60)
    assert run.code == 0
    lines = run.out.splitlines()
    assert max(map(len, lines)) <= 80
    headings = [line.replace(" *", "").split() for line in lines if line.lstrip().startswith("Beads ")]
    assert [name for heading in headings for name in heading[1:]] == names * 2
    assert sum(line.split()[:2] == ["Finished", "mm"] for line in lines) == 4


def test_a_reading_in_which_nothing_can_be_woven_has_no_table(combweave, tmp_path):
    """Two squares and a bar between them that six loops across are too coarse for."""
    pixels = np.zeros((200, 600, 4), np.uint8)
    pixels[20:180, 20:180] = pixels[20:180, 420:580] = pixels[80:120, 180:420] = (40, 60, 90, 255)
    Image.fromarray(pixels).save(tmp_path / "pair.png")
    chosen = ("--beads", "11/0", "--beads", "8/0", "--beads", "15/0", "--width", 120, "--across", 6)
    run = combweave("sizes", "pair.png", *chosen)
    assert run.code == 0
    assert "Same number of loops across: none can be woven" in run.out
    said = " ".join(run.err.split())
    assert "11/0, 8/0, 15/0 are left out at the same number of loops across: the picture falls" in said


def test_a_height_alone_is_followed(combweave, drawn):
    run = combweave("sizes", drawn, "--beads", "11/0", "--height", 50, "--json")
    assert run.code == 0
    assert [one["height_mm"] for one in json.loads(run.out)["candidates"]] == pytest.approx([50, 50], abs=4)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("--beads", "12/0"), "there is no bead size '12/0'"),
        (("--beads", "11/0", "--beads", "8/0+6/0+11/0"), "names 3 bead sizes"),
        (("--detail", "0.9,0.9,0.2,0.2"), "lies outside the picture"),
        (("--detail", "0,0,0,1"), "has no area"),
        (("--detail", "eye"), "four numbers"),
        (("--beads-per-hour", "0"), "more than 0"),
        (("--width", "0"), "must be more than 0"),
        (("--width", "60", "--height", "60"), "a width or a height, not both"),
        (("--view-distance", "0"), "the view distance is 0.01 to 1,000 m, not 0"),
        (("--stock", "--dither", "1"), "do not heed what is on hand"),
    ],
)
def test_bad_input_gets_one_line(combweave, drawn, tmp_path, arguments, message):
    run = combweave("sizes", drawn, *arguments)
    assert run.code == 1
    assert run.err.startswith("Error: ")
    assert message in run.err.splitlines()[0]
    assert len(run.err.splitlines()) <= 2
    assert not (tmp_path / "ring-sizes").exists()


def test_a_palette_without_sizes_gets_one_line(combweave, drawn, tmp_path):
    (tmp_path / "plain.csv").write_text("code,name,hex\nA,ink,#203040\nB,paper,#F0F0E8\n")
    run = combweave("sizes", drawn, "--palette", "plain.csv")
    assert run.code == 1
    assert "names no bead sizes" in run.err.splitlines()[0]
    assert combweave("sizes", drawn, "--palette", "plain.csv", "--beads", "11/0", "--width", 30).code == 0


def test_panel_names_the_size_that_keeps_the_detail(combweave, tmp_path):
    Image.fromarray(data.astronaut()).save(tmp_path / "astronaut.png")
    run = combweave("panel", "astronaut.png", "--width", 100, "--out", "coarse", "--quiet")
    said = " ".join(run.err.split())
    assert "lost or out of place at this size; 15/0 at the same width would keep most of them" in said
    run = combweave("panel", "astronaut.png", "--width", 100, "--beads", "15/0", "--out", "fine", "--quiet")
    assert "lost or out of place" not in run.err


def test_crop_to_a_shape_and_turn(combweave, drawn, tmp_path):
    chosen = ("--beads", "8/0", "--width", 40, "--height", 40, "--crop", "auto", "--rotate", 90)
    run = combweave("sizes", drawn, *chosen, "--json")
    assert run.code == 0
    told = json.loads(run.out)
    assert any("rotated 90 degrees clockwise" in note for note in told["notes"])
    assert any("cropped to" in note for note in told["notes"])
    first = told["candidates"][0]
    assert first["width_mm"] == pytest.approx(first["height_mm"], rel=0.15)


@pytest.mark.parametrize("command", ["panel", "motif", "sizes"])
@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("--crop", "0,0,0,1"), "has no area"),
        (("--crop", "0.5,0,0.6,1"), "lies outside the picture"),
        (("--crop", "auto"), "needs a shape"),
        (("--contrast", "-1"), "the contrast must be 0 to 10"),
    ],
)
def test_impossible_adjustments_get_one_line(combweave, drawn, command, arguments, message):
    run = combweave(command, drawn, *arguments)
    assert run.code == 1
    assert message in run.err.splitlines()[0]


def test_what_is_said_stands_below_the_tables_and_numbers_are_plain(combweave, drawn, tmp_path, monkeypatch):
    chosen = (
        "sizes",
        drawn,
        "--beads",
        "11/0",
        "--beads",
        "8/0",
        "--width",
        40,
        "--detail",
        "0.4,0.4,0.2,0.2",
    )
    run = combweave(*chosen)
    advice = json.loads(combweave(*chosen, "--json", "--force").out)["advice"]
    words = " ".join(run.out.split())
    assert " ".join(advice.split()) in words
    assert words.index("Same finished width") < words.index("Same number of loops across")
    for table in run.out.split("Same number of loops across"):
        lines = table.splitlines()
        (place,) = [number for number, line in enumerate(lines) if line.lstrip().startswith("Beads ")]
        rows = [line.rstrip() for line in lines[place + 2 : place + 6]]
        assert rows[0].split()[:2] == ["Finished", "mm"]
        # Figures stand at the right of their columns.
        assert len({len(row) for row in rows}) == 1
        marked = [line for line in lines if line.startswith("* ")]
        assert len(marked) == ("*" in lines[place])
    assert "Outputs" in run.err
    for name, value in {"FORCE_COLOR": "1", "TERM": "xterm-256color"}.items():
        monkeypatch.setenv(name, value)
    monkeypatch.delenv("NO_COLOR")
    shown = combweave(*chosen, "--force").out
    assert not re.search(r"\x1b\[[0-9;]*3[2-6]m", shown)
    assert "\x1b[1m" in shown
