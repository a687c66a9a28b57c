"""What is read is never overwritten, and what others made stays, by whichever command."""

import json
import os

import pytest


def listing(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


@pytest.fixture
def lake(tmp_path, small_picture):
    """A folder of outputs whose files are inputs, too: each has the program's own sign."""
    out = tmp_path / "out"
    out.mkdir()
    sign = b'{"format": "combweave pattern"}'
    for name in ("pattern.json", "chart.pdf", "sizes.pdf", "colours.pdf"):
        (out / name).write_bytes(sign)
    for name in ("chart.png", "sizes.png", "colours.png"):
        os.link(small_picture, out / name)
    (out / "beads.csv").write_text("code,name,hex\nA,a,#102030\n")
    (out / "colours.csv").write_text("code,name,hex\nA,a,#102030\n")
    (tmp_path / "combweave.toml").write_text("quiet = true\n")
    return tmp_path


@pytest.mark.parametrize(
    ("command", "read"),
    [
        ("panel out/chart.png", "out/chart.png"),
        ("panel halves.png", "halves.png"),
        ("panel other.png --palette out/beads.csv", "out/beads.csv"),
        ("panel other.png --config out/stitches.txt", "out/stitches.txt"),
        ("motif out/chart.png", "out/chart.png"),
        ("motif --palette out/beads.csv", "out/beads.csv"),
        ("motif --outline out/chart.svg", "out/chart.svg"),
        ("sizes out/sizes.png", "out/sizes.png"),
        ("colours out/colours.png", "out/colours.png"),
        ("colours other.png --palette out/colours.csv", "out/colours.csv"),
        ("panel other.png --mask out/chart.png", "out/chart.png"),
        ("motif other.png --mask out/chart.png", "out/chart.png"),
        ("sizes other.png --mask out/sizes.png", "out/sizes.png"),
        ("colours other.png --mask out/colours.png", "out/colours.png"),
        ("redraw out/pattern.json", "out/pattern.json"),
        ("redraw other.json --changes out/beads.csv", "out/beads.csv"),
    ],
)
def test_no_input_is_among_the_outputs(combweave, lake, command, read):
    os.link(lake / "combweave.toml", lake / "out" / "stitches.txt")
    os.link(lake / "combweave.toml", lake / "out" / "chart.svg")
    before = listing(lake / "out")
    run = combweave(*command.split(), "--out", "out", "--force")
    assert run.code == 1
    assert run.err.startswith(f"Error: {read} is read, and would be overwritten by out/")
    assert listing(lake / "out") == before


@pytest.mark.parametrize(
    "command",
    [
        "shelf halves.png --out halves",
        "shelf halves.png --add mine.csv --out mine",
        "palette mine.csv --out link.png",
        "palette mine.csv --use out --out piece.csv",
        "gauge --measured 38 --chart conf.png --config combweave.toml",
    ],
)
def test_no_input_is_the_output(combweave, lake, command):
    (lake / "mine.csv").write_text("code,name,hex\nA,a,#102030\n")
    (lake / "link.png").symlink_to("mine.csv")
    (lake / "conf.png").symlink_to("combweave.toml")
    (lake / "combweave.toml").write_text("force = true\n")
    os.link(lake / "out" / "pattern.json", lake / "piece.csv")
    before = listing(lake)
    run = combweave(*command.split(), "--force")
    assert run.code == 1
    assert "is read, and would be overwritten by" in run.err
    assert listing(lake) == before


def test_a_folder_of_somebody_elses_is_told_before_any_work(combweave, lake, small_picture):
    theirs = lake / "theirs" / "chart.png"
    theirs.mkdir(parents=True)
    (theirs / "lake.txt").write_text("mine")
    run = combweave("panel", small_picture, "--out", "theirs", "--force")
    assert run.code == 1
    assert run.err.splitlines()[0] == "Error: theirs/chart.png is a folder, and is not replaced"
    assert (theirs / "lake.txt").read_text() == "mine"


def test_every_output_is_known_as_our_own(combweave, lake, small_picture):
    """What each command has written it replaces, and nothing in it is taken for somebody else's."""
    for command in ("panel", "sizes", "colours"):
        options = ("--out", f"{command}-out", "--width", "20", "--force", "--json")
        first = combweave(command, small_picture, *options)
        assert first.code == 0, first.err
        again = combweave(command, small_picture, *options)
        assert again.code == 0, again.err
        assert json.loads(again.out) == json.loads(first.out)


def test_outputs_go_to_the_folder_one_stands_in(combweave, lake, small_picture):
    run = combweave("panel", small_picture, "--out", ".", "--width", "20", "--force", "--quiet")
    assert run.code == 0, run.err
    assert {"pattern.json", "chart.png", "halves.png", "out"} <= {path.name for path in lake.iterdir()}
    assert not list(lake.glob(".combweave-*"))


SET = """
[shared]
palette = "beads.csv"
[piece.heron]
kind = "panel"
picture = "heron.png"
width = 15
[piece.ring]
kind = "motif"
rounds = 1
"""


def test_a_set_keeps_what_it_reads_and_replaces_its_own(combweave, tmp_path, small_picture):
    """Also of the mirror image of a pair, whose outputs lie in a folder of theirs, too."""
    small_picture.rename(tmp_path / "heron.png")
    (tmp_path / "beads.csv").write_text("code,name,hex\nA,a,#102030\nB,b,#F0F0F0\n")
    (tmp_path / "lake.toml").write_text(SET)
    first = combweave("set", "lake.toml", "--out", "out", "--quiet")
    assert first.code == 0, first.err
    assert combweave("set", "lake.toml", "--out", "out", "--quiet", "--force").code == 0
    target = tmp_path / "out" / "heron" / "chart.png"
    for read in ("heron.png", "beads.csv", "lake.toml"):
        target.unlink()
        os.link(tmp_path / read, target)
        run = combweave("set", "lake.toml", "--out", "out", "--force")
        assert run.code == 1
        assert f"{read} is read, and would be overwritten by out/heron/chart.png" in run.err
    target.unlink()
    target.mkdir()
    run = combweave("set", "lake.toml", "--out", "out", "--force")
    assert "out/heron/chart.png is a folder, and is not replaced" in run.err
    pair = ("motif", "--rounds", "1", "--copies", "2", "--mirror-pair", "--out", "pair", "--quiet")
    assert combweave(*pair).code == 0
    assert combweave(*pair, "--force").code == 0
    (tmp_path / "pair" / "mirrored" / "chart.png").write_text("mine")
    run = combweave(*pair, "--force")
    assert "pair/mirrored/chart.png was not written by combweave" in run.err
