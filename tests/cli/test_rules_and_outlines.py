"""Pieces without a picture and of other outlines, from the command line to files that are proven."""

import json
import re

import numpy as np
import pytest
from PIL import Image

import convert
from convert.weave.hanging import held_by


def pattern_in(folder):
    return convert.read_pattern(folder / "pattern.json").pattern


@pytest.mark.parametrize(
    ("command", "arguments"),
    [
        ("panel", ["--rule", "chevron KF4 IC1 GE3 2", "--width", 60, "--height", 20]),
        ("panel", ["--rule", "checks KF4 IC1 2", "--outline", "heart", "--width", 30, "--hanging-loop", 12]),
        ("motif", ["--outline", "drop", "--width", 20, "--hanging-loop", 10, "--connectors", "15/0"]),
        ("motif", ["--part", "third", "--rounds", 3, "--hanging-loop", 8, "--edge", "points"]),
        ("motif", ["--wrist", 100, "--height", 9, "--rule", "shade KF4 'heron grey' IC1"]),
    ],
    ids=lambda value: str(value[1]) if isinstance(value, list) else value,
)
def test_what_is_made_is_proven(combweave, tmp_path, command, arguments):
    run = combweave(command, *arguments, "--words", "full", "--out", "piece", "--json")
    assert run.code == 0, run.err
    figures = json.loads(run.out)
    pattern = pattern_in(tmp_path / "piece")
    assert pattern.weave.loops == figures["loops"]
    assert combweave("check", "piece/pattern.json").code == 0
    words = (tmp_path / "piece" / "stitches.txt").read_text(encoding="utf-8")
    if "--hanging-loop" in arguments:
        assert pattern.weave.hanging == arguments[arguments.index("--hanging-loop") + 1]
        assert re.search(r"\bcloses\s+H\b", words)
        assert "Loop H is the large one at the top" in " ".join(words.split())
        assert "called H and adds" in run.err
        chart = (tmp_path / "piece" / "chart.svg").read_text(encoding="utf-8")
        assert ">H</text>" in chart
    assert combweave("redraw", "piece/pattern.json", "--out", "again").code == 0
    assert np.array_equal(pattern_in(tmp_path / "again").bead_colour, pattern.bead_colour)


def test_a_picture_colours_an_outline_and_the_loop_goes_on_in_its_colour(combweave, tmp_path):
    speckled = np.random.default_rng(1).integers(0, 256, (60, 50, 3), np.uint8)
    Image.fromarray(speckled).save(tmp_path / "lake.png")
    run = combweave(
        "panel", "lake.png", "--outline", "oval", "--width", 25, "--hanging-loop", 9, "--out", "o"
    )
    assert run.code == 0, run.err
    pattern = pattern_in(tmp_path / "o")
    assert pattern.unshown == ()
    wanted = pattern.wanted[[held_by(pattern.weave), *range(-9, 0)]]
    assert (wanted == wanted[0]).all()
    assert len(np.unique(pattern.wanted[:-9], axis=0)) > 50


@pytest.mark.parametrize("change", [("--drop", "8.2"), ("--add", "1.2")])
def test_loops_of_a_piece_that_hangs_are_changed(combweave, tmp_path, change):
    colours = ("--outline", "diamond", "--width", 26, "--hanging-loop", 9, "--rule", "rows SW3 GE3")
    assert combweave("motif", *colours, "--out", "piece").code == 0
    run = combweave("redraw", "piece/pattern.json", *change, "--out", "changed")
    assert run.code == 0, run.err
    before, after = pattern_in(tmp_path / "piece"), pattern_in(tmp_path / "changed")
    assert after.weave.hanging == 9
    assert after.weave.loops == before.weave.loops + (1 if change[0] == "--add" else -1)
    assert set(after.bead_colour[-9:]) <= set(before.bead_colour)


def test_an_svg_file_cuts_a_piece(combweave, tmp_path):
    (tmp_path / "swan.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg"><path d="M 0 0 H 40 V 20 H 20 V 60 H 0 Z"/></svg>'
    )
    run = combweave("motif", "--outline", "swan.svg", "--width", 40, "--out", "swan")
    assert run.code == 0, run.err
    pattern = pattern_in(tmp_path / "swan")
    assert pattern.title == "Swan"
    xy = pattern.weave.loop_xy - pattern.weave.loop_xy.min(axis=0)
    wide, high = xy.max(axis=0)
    # Nothing lies where the letter L has its gap.
    assert not ((xy[:, 0] > 0.65 * wide) & (xy[:, 1] > 0.5 * high)).any()
    assert ((xy[:, 0] > 0.65 * wide) & (xy[:, 1] < 0.2 * high)).any()


def test_a_rule_colours_what_a_picture_leaves_bare(combweave, tmp_path):
    pixels = np.zeros((80, 80, 4), np.uint8)
    pixels[:, :40] = (32, 96, 160, 255)
    Image.fromarray(pixels).save(tmp_path / "half.png")
    run = combweave("motif", "half.png", "--rounds", 4, "--rule", "rows SW3 GE3", "--out", "piece")
    assert run.code == 0, run.err
    pattern = pattern_in(tmp_path / "piece")
    codes = np.array([entry.code for entry in pattern.palette.entries])[pattern.bead_colour]
    x = pattern.weave.bead_xy[:, 0]
    assert set(codes[x > 3]) == {"SW3", "GE3"}


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["panel"], 2, "a panel needs a picture Hint: name one, or give --rule with --width"),
        (["panel", "halves.png", "--rule", "rows SW3"], 1, "a picture and --rule each say how all beads"),
        (["panel", "--rule", "rows SW3"], 1, "nothing says how wide and how high"),
        (["panel", "--rule", "rows SW3", "--width", 40], 1, "give --width and --height in mm"),
        (["panel", "--rule", "rows SW3", "--outline", "drop", "--across", 9], 1, "--across counts the loops"),
        (
            ["panel", "--rule", "rows SW3", "--width", 9, "--height", 9, "--dither", 0.5],
            1,
            "--dither says how",
        ),
        (
            ["motif", "--lightness", 2, "--smooth", 0.3],
            1,
            "--lightness and --smooth say how beads",
        ),
        (["motif", "--crop", "auto", "--view-distance", 3], 1, "--view-distance and --crop say how"),
        (["motif", "--rule", "rows SW3", "--keep", "SW3"], 1, "colour the piece by --core-colour"),
        (["motif", "--dither-kind", "search"], 1, "nothing is dithered"),
        (["motif", "--colours", "SW3"], 1, "by its code or name is --core-colour"),
        (["motif", "--connector-colour", "SW3"], 1, "give --connectors SIZE or --edge points"),
        (["motif", "halves.png", "--core-colour", "SW3"], 1, "the picture colours every bead"),
        (["motif", "--rule", "rows SW3", "--core-colour", "SW3"], 1, "each say how all beads are coloured"),
        (["motif", "--seed", 7], 1, "--seed goes with a rule"),
        (["motif", "--outline", "swan"], 1, "it is circle, oval, drop, heart"),
        (["motif", "--outline", "drop", "--rounds", 3], 1, "a flower has no outline"),
        (["motif", "--shape", "outline"], 1, "give --outline, such as --outline drop"),
        (["motif", "--part", "half", "--centre", 5], 1, "a part of a flower has a centre of 6 beads"),
        (["motif", "--hanging-loop", 2], 1, "takes 4 to 99 beads, not 2"),
        (["motif", "--colour", "SW3"], 2, "--core-colour"),
    ],
    ids=lambda value: " ".join(map(str, value)) if isinstance(value, list) else "",
)
def test_what_cannot_be_is_refused(combweave, small_picture, tmp_path, arguments, code, said):
    run = combweave(*arguments)
    assert run.code == code
    assert said in " ".join(run.err.replace("│", " ").split())
    assert not list(tmp_path.glob("*-motif")) + list(tmp_path.glob("*-panel"))


def test_a_rule_that_cannot_be_read_is_shown_with_a_caret(combweave):
    run = combweave("motif", "--rule", "chevron KF4 2 IC1")
    assert run.code == 1
    assert run.err == (
        "Error: a number stands right before its colour, or at the end\n"
        "  chevron KF4 2 IC1\n"
        "              ^\n"
        "Hint: chevron takes colours, each after how many lines it has, or one number for all:"
        " chevron A B C 2; a colour that is a number or has blanks stands in quotes, such as '101' or"
        " 'heron grey'\n"
    )


def test_config_files_may_call_plain_colours_as_they_were_called(combweave, tmp_path):
    (tmp_path / "old.toml").write_text('colour = "SW3"\nsecond_colour = "GE3"\nedge = "points"\nrounds = 1\n')
    run = combweave("motif", "--config", "old.toml", "--out", "piece", "--json")
    assert run.code == 0, run.err
    assert {row["code"] for row in json.loads(run.out)["materials"]} == {"SW3", "GE3"}
