import json

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
