import io
import json
import re

import numpy as np
import pytest
import typer
from PIL import Image
from typer.testing import CliRunner

from convert.cli.match import match
from convert.errors import ConvertError, PaletteError, PictureError

PALETTE = """code,name,size,hex,on_hand
R1,robin red,11/0,#C8302A,0
R2,rust,11/0,#B84A30,120
G1,reed,11/0,#6A7A30,80
W1,swan,11/0,#F4F4F0,
T8,teal,8/0,#008080,10
"""


@pytest.fixture
def shelf(tmp_path):
    path = tmp_path / "shelf.csv"
    path.write_text(PALETTE, encoding="utf-8")
    return str(path)


def run(*args, **more):
    app = typer.Typer()
    app.command()(match)
    return CliRunner().invoke(app, [str(arg) for arg in args], catch_exceptions=False, **more)


def test_table_names_beads_stock_and_better_ones_that_are_out(shelf):
    result = run("C8302A", "--palette", shelf, "--count", 1)
    assert result.exit_code == 0
    lines = [line for line in result.stdout.splitlines() if line.strip()]
    assert "R1" in lines[2]
    assert "none" in lines[2]
    assert "the same to the eye" in lines[2]
    assert "R2" in lines[3]
    assert "120" in lines[3]
    assert lines[4].startswith("Off: ")
    assert len(lines) == 5


def test_no_patches_off_a_terminal(shelf):
    assert "\x1b" not in run("teal", "--palette", shelf).stdout


def test_patches_on_a_colour_terminal(shelf):
    colour = {"FORCE_COLOR": "1", "COLORTERM": "truecolor", "TERM": "xterm-256color"}
    assert "48;2;200;48;42m" in run("C8302A", "--palette", shelf, env=colour).stdout


def test_no_colour_is_honoured(shelf):
    env = {"FORCE_COLOR": "1", "NO_COLOR": "1", "COLORTERM": "truecolor", "TERM": "xterm-256color"}
    assert "48;2;" not in run("C8302A", "--palette", shelf, env=env).stdout


def test_json_is_one_object(shelf):
    told = json.loads(run("teal", "#6a7a30", "--palette", shelf, "--json").stdout)
    assert [colour["asked"] for colour in told["colours"]] == ["teal", "#6a7a30"]
    assert [colour["out_of_reach"] for colour in told["colours"]] == [True, False]
    assert told["colours"][1]["beads"][0] == {
        "code": "G1",
        "name": "reed",
        "hex": "#6A7A30",
        "difference": 0.0,
        "on_hand": 80,
    }
    assert len(told["notes"]) == 1
    assert "teal: no bead within 5 units" in told["notes"][0]


def test_size_of_bead(shelf):
    told = json.loads(run("teal", "--palette", shelf, "--beads", "8/0", "--json").stdout)
    assert [bead["code"] for bead in told["colours"][0]["beads"]] == ["T8"]


def test_main_colours_of_a_picture(shelf, tmp_path):
    pixels = np.full((30, 40, 3), (0xC8, 0x30, 0x2A), np.uint8)
    pixels[:10] = (0xF4, 0xF4, 0xF0)
    Image.fromarray(pixels).save(tmp_path / "robin.png")
    told = json.loads(run(tmp_path / "robin.png", "--palette", shelf, "--json").stdout)
    assert [(colour["asked"], colour["hex"]) for colour in told["colours"]] == [
        ("robin 1", "#C8302A"),
        ("robin 2", "#F4F4F0"),
    ]
    assert [colour["share"] for colour in told["colours"]] == [0.6667, 0.3333]


@pytest.mark.parametrize(
    ("args", "kind", "message"),
    [
        (["robbin"], ConvertError, "'robbin' is no colour"),
        (["no-such.png"], PictureError, "no picture no-such.png"),
        (["x" * 5000], ConvertError, "is no colour"),
        (["teal", "--beads", "15/0"], PaletteError, "no bead of size 15/0"),
    ],
)
def test_faults_get_one_clear_line(shelf, args, kind, message):
    with pytest.raises(kind, match=message):
        run(*args, "--palette", shelf)


def test_count_of_0_is_wrong_usage(shelf):
    assert run("teal", "--palette", shelf, "--count", 0).exit_code == 2


PLAIN = {"FORCE_COLOR": "1", "COLORTERM": "truecolor", "TERM": "xterm-256color"}


def test_every_cell_of_the_table(shelf):
    result = run("#C8302A", "rebeccapurple", "--palette", shelf, "--count", 2, env={"COLUMNS": "100"})
    rows = [" ".join(line.split()) for line in result.stdout.splitlines() if line.strip()]
    assert rows[0] == "Wanted Bead Name Off On hand"
    assert set(rows[1]) == {"─"}
    assert rows[2] == "#C8302A R1 robin red 0.0 the same to the eye none"
    assert rows[3].startswith("R2 rust ")
    assert rows[3].endswith(" 120")
    assert rows[4].startswith("G1 reed ")
    # One line of room between two colours.
    blank = [number for number, line in enumerate(result.stdout.rstrip().splitlines()) if not line.strip()]
    assert any(line.lstrip().startswith("rebeccapurple #663399 ") for line in result.stdout.splitlines())
    assert len(blank) >= 2
    assert rows[-1] == "Off: difference by CIEDE2000; about 1 is just visible."


def test_figures_stand_at_the_right(shelf):
    result = run("#C8302A", "--palette", shelf, "--count", 3, env={"COLUMNS": "100"})
    lines = result.stdout.splitlines()
    head = next(line for line in lines if "Wanted" in line)
    beads = [line for line in lines if re.search(r" (R1|R2|G1|W1) ", line)]
    for heading in ("Off", "On hand"):
        end = head.index(heading) + len(heading)
        assert all(line[end - 1] != " " for line in beads)
        assert all(line[end : end + 1] in ("", " ") for line in beads)


def test_stock_has_no_column_where_none_is_known(tmp_path):
    (tmp_path / "p.csv").write_text("code,name,hex\nA,reed,#6A7A30\n")
    result = run("teal", "--palette", tmp_path / "p.csv")
    assert "On hand" not in result.stdout
    (tmp_path / "p.csv").write_text("code,name,hex,on_hand\nA,reed,#6A7A30,1250\nB,teal,#008081,\n")
    told = run("teal", "--palette", tmp_path / "p.csv").stdout
    assert "1,250" in told
    assert "not known" in told


def test_long_names_are_folded_and_not_cut(tmp_path):
    (tmp_path / "p.csv").write_text(f"code,name,hex\n{'c' * 30},{'n' * 60},#6A7A30\n")
    told = run("teal", "--palette", tmp_path / "p.csv", env={"COLUMNS": "60"}).stdout
    assert "…" not in told
    assert told.count("n") >= 60
    assert max(map(len, told.splitlines())) <= 60


def test_a_patch_shows_each_colour_and_numbers_are_plain(shelf):
    shown = run("teal", "--palette", shelf, "--count", 2, env=PLAIN).stdout
    # The colour asked for once, and each bead's.
    assert shown.count("48;2;0;128;128m") == 1
    assert shown.count("48;2;106;122;48m") == 1
    assert "\x1b[1;36m" not in shown
    assert "      " in shown


def test_counts_go_from_one_to_a_hundred(shelf):
    for flag in ("--count", "--main"):
        assert run("teal", "--palette", shelf, flag, 100).exit_code == 0
        assert run("teal", "--palette", shelf, flag, 1).exit_code == 0
        assert run("teal", "--palette", shelf, flag, 101).exit_code == 2
        assert run("teal", "--palette", shelf, flag, 0).exit_code == 2


def test_three_beads_and_six_main_colours_unless_told_otherwise(tmp_path):
    generator = np.random.default_rng(1)
    pixels = np.repeat(generator.integers(0, 256, (12, 1, 3)), 12, axis=1).astype(np.uint8)
    Image.fromarray(np.repeat(np.repeat(pixels, 5, axis=0), 5, axis=1)).save(tmp_path / "many.png")
    told = json.loads(run(tmp_path / "many.png", "--json").stdout)
    assert len(told["colours"]) == 6
    assert {len(colour["beads"]) for colour in told["colours"]} == {3}
    told = json.loads(run(tmp_path / "many.png", "--main", 2, "--count", 1, "--json").stdout)
    assert [len(colour["beads"]) for colour in told["colours"]] == [1, 1]


def test_shares_of_a_picture_are_told(shelf, tmp_path):
    pixels = np.full((30, 40, 3), (0xC8, 0x30, 0x2A), np.uint8)
    pixels[:10] = (0xF4, 0xF4, 0xF0)
    Image.fromarray(pixels).save(tmp_path / "robin.png")
    told = run(tmp_path / "robin.png", "--palette", shelf, env={"COLUMNS": "100"}).stdout
    assert "robin 1 #C8302A, 67%" in told
    assert "robin 2 #F4F4F0, 33%" in told


def test_a_file_without_an_ending_is_a_picture_and_a_colour_is_none(shelf, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    image = Image.new("RGB", (8, 8), (0x6A, 0x7A, 0x30))
    image.save(tmp_path / "reed", "PNG")
    image.save(tmp_path / "teal", "PNG")
    told = json.loads(run("reed", "teal", "--palette", shelf, "--json").stdout)
    assert [colour["asked"] for colour in told["colours"]] == ["reed 1", "teal"]
    assert [colour["hex"] for colour in told["colours"]] == ["#6A7A30", "#008080"]


def test_a_picture_comes_on_standard_input(shelf, tmp_path, monkeypatch):
    file = io.BytesIO()
    Image.new("RGB", (8, 8), (0x6A, 0x7A, 0x30)).save(file, "PNG")
    told = json.loads(run("-", "--palette", shelf, "--json", input=file.getvalue()).stdout)
    assert told["colours"][0]["hex"] == "#6A7A30"
