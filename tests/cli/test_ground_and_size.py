"""Ground, masks, islands and the size of what is woven, as the command line has them."""

import json

import numpy as np
import pytest
from PIL import Image

from convert.piece.pattern_file import parse_pattern

QUIET = ("--colours", "4", "--quiet")


@pytest.fixture
def disc(tmp_path):
    """A disc with a white belly on cream paper."""
    y, x = np.mgrid[:240, :320]
    far = np.hypot(x - 150, y - 120)
    pixels = np.full((240, 320, 3), (246, 242, 232), np.uint8)
    pixels[far < 90] = (40, 60, 90)
    pixels[far < 40] = (246, 242, 232)
    path = tmp_path / "disc.png"
    Image.fromarray(pixels).save(path)
    return path


@pytest.fixture
def pair(tmp_path):
    """Two discs, and a mask of them."""
    y, x = np.mgrid[:200, :400]
    shown = np.hypot(np.abs(x - 200) - 100, y - 100) < 80
    pixels = np.where(shown[..., None], (40, 60, 90), (200, 40, 40)).astype(np.uint8)
    Image.fromarray(pixels).save(tmp_path / "pair.png")
    Image.fromarray(shown).save(tmp_path / "mask.png")
    return tmp_path / "pair.png"


def pattern_in(folder):
    return parse_pattern((folder / "pattern.json").read_bytes(), "pattern.json")


def test_a_disc_from_paper_is_round_and_as_wide_as_asked_for(combweave, disc, tmp_path):
    run = combweave("panel", disc, "--width", 60, "--ground", "auto", "--out", "round", "--json", *QUIET)
    assert run.code == 0, run.err
    told = json.loads(run.out)
    assert told["width_mm"] == pytest.approx(60, rel=0.04)
    assert told["height_mm"] == pytest.approx(60, rel=0.06)
    assert any(note.startswith("the ground (") and "is left out" in note for note in told["notes"])
    pattern = pattern_in(tmp_path / "round")
    assert pattern.adjustments[0].startswith("ground (")
    # A disc has pi/4 of its square; its belly is woven.
    assert pattern.shape.woven.mean() == pytest.approx(np.pi / 4, abs=0.12)
    middle = tuple(side // 2 for side in pattern.shape.woven.shape)
    assert pattern.shape.woven[middle]
    assert combweave("check", "round/pattern.json").code == 0
    assert combweave("redraw", "round/pattern.json", "--out", "again").code == 0
    run = combweave(
        "panel", disc, "--width", 60, "--ground", "auto", "--ground-holes", "--out", "ring", *QUIET
    )
    assert run.code == 0, run.err
    holed = pattern_in(tmp_path / "ring")
    assert not holed.shape.woven[middle]
    assert combweave("check", "ring/pattern.json").code == 0


def test_without_the_option_there_is_one_note(combweave, disc):
    run = combweave("panel", disc, "--width", 60, "--colours", 4, "--out", "whole")
    told = " ".join(run.err.split())
    assert told.count("the border is one colour") == 1
    assert "--ground auto would leave it out" in told
    run = combweave("panel", disc, "--width", 60, "--colours", 4, "--ground", "keep", "--out", "kept")
    assert "the border is one colour" not in run.err


def test_a_mask_and_three_ways_with_islands(combweave, pair, tmp_path):
    masked = ("panel", pair, "--width", 80, "--mask", "mask.png")
    run = combweave(*masked, "--out", "refused")
    assert run.code == 1
    assert "2 separate islands" in run.err
    assert "--islands join" in run.err
    assert "--islands largest" in run.err
    assert not (tmp_path / "refused").exists()
    for how in ("largest", "join"):
        run = combweave(*masked, "--islands", how, "--mend", "--out", how, *QUIET)
        assert run.code == 0, run.err
        assert "weak" not in run.err
        pattern = pattern_in(tmp_path / how)
        assert "masked by mask" in pattern.adjustments
        left, _, right, _ = pattern.weave.extent_mm
        assert right - left == pytest.approx(80, rel=0.04)
        assert combweave("check", f"{how}/pattern.json").code == 0


@pytest.mark.parametrize("command", ["sizes", "colours"])
def test_comparisons_leave_out_the_same_ground(combweave, disc, command):
    beads = ("--beads", "8/0") if command == "sizes" else ()
    chosen = (*beads, "--width", 60, "--ground", "auto", "--islands", "join", "--mend")
    run = combweave(command, disc, *chosen, "--json")
    assert run.code == 0, run.err
    assert any("is left out" in note for note in json.loads(run.out)["notes"])


def test_detail_is_told_in_fractions_of_the_whole_picture(combweave, disc):
    ground = ("sizes", disc, "--beads", "8/0", "--width", 60, "--ground", "auto")
    run = combweave(*ground, "--detail", "0,0,0.05,0.05")
    assert run.code == 1
    assert "--detail: the part 0,0,0.05,0.05 shows nothing but ground" in run.err
    assert combweave(*ground, "--detail", "0.3,0.3,0.4,0.4").code == 0


def test_in_a_motif_ground_is_plain(combweave, disc, tmp_path):
    shape = (
        "--shape",
        "rectangle",
        "--width",
        50,
        "--ground",
        "auto",
        "--core-colour",
        "RU3",
        "--colours",
        "all",
    )
    run = combweave("motif", disc, *shape, "--out", "set", "--quiet")
    assert run.code == 0, run.err
    pattern = pattern_in(tmp_path / "set")
    codes = [pattern.palette.entries[entry].code for entry in pattern.bead_colour]
    # Ground is two thirds of the picture, and margins are part of the piece; what touches the disc shows it.
    assert 0.35 < codes.count("RU3") / len(codes) < 0.75
    assert pattern.shape.woven.all()


@pytest.mark.parametrize("option", [("--ground", "auto"), ("--ground-holes",), ("--mask", "mask.png")])
def test_a_motif_without_a_picture_has_no_ground(combweave, option):
    run = combweave("motif", "--rounds", 1, *option)
    assert run.code == 1
    assert run.err.startswith(
        f"Error: {option[0]} says what of a picture is not woven, and there is no picture"
    )


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--ground", "blu"), "--ground is auto, keep or a colour, not 'blu'"),
        (("--ground", "crimson"), "nothing at the picture's border is crimson"),
        (("--ground-holes",), "--ground-holes needs a ground"),
        (("--mask", "nowhere.png"), "there is no picture nowhere.png"),
        (("--width", "3"), "a width of 3 mm is under three loops of 11/0"),
        (("--height", "5", "--ground", "auto"), "a height of 5 mm is under three loops of 11/0"),
    ],
)
def test_what_cannot_be_gets_one_line_and_a_way_out(combweave, disc, tmp_path, arguments, words):
    run = combweave("panel", disc, *arguments)
    assert run.code == 1
    error, hint = run.err.splitlines()
    assert words in error
    assert hint.startswith("Hint: ")
    assert {path.name for path in tmp_path.iterdir()} == {"disc.png"}


def test_a_plain_page_is_refused(combweave, tmp_path):
    Image.new("RGB", (200, 150), (250, 250, 246)).save(tmp_path / "page.png")
    run = combweave("panel", "page.png", "--ground", "auto")
    assert run.code == 1
    assert "takes the whole picture" in run.err.splitlines()[0]
