import csv
import json
import os
import shutil

import numpy as np
import pytest
from PIL import Image

from convert.piece.pattern_file import parse_pattern, pattern_json
from convert.thread.verifier import verify
from convert.weave.tips import tips_of


def pattern_in(folder):
    return parse_pattern((folder / "pattern.json").read_bytes(), "test")


def beads_by_size(folder):
    with (folder / "beads.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return {row["size"]: int(row["beads"]) for row in rows}, rows


def test_flower_of_two_sizes_is_plain_in_two_colours(combweave, tmp_path):
    run = combweave("motif", "--rounds", 2, "--beads", "8/0", "--connectors", "11/0", "--json")
    assert run.code == 0
    told = json.loads(run.out)
    assert (told["loops"], told["beads"], told["colours"]) == (19, 72, 2)
    assert told["colour_difference"] is None
    folder = tmp_path / "flower-motif"
    # Cores of a flower with two rounds: the centre and one loop for each sector in the second round.
    assert beads_by_size(folder)[0] == {"8/0": 7 * 6 + 6, "11/0": 72 - 48}
    pattern = pattern_in(folder)
    first, second = (set(pattern.bead_colour[pattern.bead_size == size].tolist()) for size in (0, 1))
    assert len(first) == len(second) == 1
    assert first != second
    Image.open(folder / "chart.png").verify()


@pytest.mark.parametrize("centre", [3, 5, 7])
def test_cups_and_ruffles_say_so_and_can_be_redrawn(combweave, tmp_path, centre):
    run = combweave("motif", "--centre", centre, "--rounds", 2, "--edge", "points", "--out", "piece")
    assert run.code == 0
    assert ("cup" if centre < 6 else "ruffle") in run.err
    text = (tmp_path / "piece" / "pattern.json").read_text(encoding="utf-8")
    pattern = parse_pattern(text, "test")
    assert pattern_json(pattern) == text
    assert pattern.edge == "points"
    assert len(pattern.bead_colour) == pattern.weave.beads + len(tips_of(pattern.weave))
    assert combweave("check", "piece/pattern.json").code == 0
    assert combweave("redraw", "piece/pattern.json", "--out", "again").code == 0
    for name in ("chart.png", "stitches.txt", "beads.csv", "pattern.json"):
        assert (tmp_path / "piece" / name).read_bytes() == (tmp_path / "again" / name).read_bytes()


@pytest.mark.parametrize(
    ("options", "title"),
    [
        ((), "Flower"),
        (("--centre", 6), "Flower"),
        (("--centre", 4), "Cup"),
        (("--centre", 7), "Ruffle"),
        (("--shape", "rectangle", "--width", 20, "--height", 10), "Rectangle"),
    ],
)
def test_piece_is_called_by_its_shape_and_its_picture(combweave, small_picture, options, title):
    rounds = () if "--shape" in options else ("--rounds", 1)
    plain = combweave("motif", *rounds, *options, "--out", "plain", "--json", "--quiet")
    assert json.loads(plain.out)["title"] == title
    shown = combweave("motif", small_picture, *rounds, *options, "--out", "shown", "--json", "--quiet")
    assert json.loads(shown.out)["title"] == f"halves, {title.lower()}"


def test_a_picture_whose_name_is_no_text_names_the_piece_all_the_same(combweave, small_picture, tmp_path):
    odd = os.fsencode(tmp_path) + b"/odd\xff\x1b\n.png"
    shutil.copy(small_picture, odd)
    run = combweave("motif", os.fsdecode(odd), "--rounds", 1, "--out", "piece", "--json")
    assert run.code == 0, run.err
    assert json.loads(run.out)["title"] == r"odd\xff\x1b\n, flower"
    assert pattern_in(tmp_path / "piece").title == r"odd\xff\x1b\n, flower"


def test_points_are_counted_strung_and_told(combweave, tmp_path):
    plain = json.loads(combweave("motif", "--rounds", 1, "--out", "plain", "--json").out)
    run = combweave(
        "motif", "--rounds", 1, "--edge", "points", "--connector-colour", "SW3", "--out", "p", "--json"
    )
    points = json.loads(run.out)
    # Seven loops: six outer ones with two tips each.
    assert points["beads"] == plain["beads"] + 12
    assert {row["code"]: row["beads"] for row in points["materials"]}["SW3"] == 12
    assert points["thread_mm"] > plain["thread_mm"]
    assert points["width_mm"] > plain["width_mm"]
    pattern = pattern_in(tmp_path / "p")
    assert verify(pattern.weave, pattern.thread, pattern.supplies).passes == points["passes"]
    assert (tmp_path / "p" / "stitches.txt").read_text(encoding="utf-8").count("SW3") >= 2


def test_copies_multiply_counts_and_thread(combweave):
    one = json.loads(combweave("motif", "--out", "one", "--json").out)
    two = json.loads(combweave("motif", "--copies", 2, "--out", "two", "--json").out)
    assert (two["copies"], two["beads"]) == (2, 2 * one["beads"])
    assert two["thread_mm"] == pytest.approx(2 * one["thread_mm"], abs=0.2)
    assert two["threads"] == 2 * one["threads"]


def test_strip_closes_round_the_wrist(combweave):
    run = combweave("motif", "--shape", "strip", "--wrist", 170, "--ease", 15, "--clasp", 12, "--json")
    told = json.loads(run.out)
    # 170 + 15 - 12 + 6.6 for the beads' thickness, to the nearest loop of 3.9 mm.
    assert told["width_mm"] == pytest.approx(179.6, abs=2.5)
    assert told["height_mm"] == pytest.approx(20, abs=2.5)
    assert any("wrist 170 mm + ease 15 - clasp 12" in note for note in told["notes"])
    assert told["finish"] == "clasp"


@pytest.mark.parametrize("finish", ["none", "button", "cloth"])
def test_a_finish_stays_with_the_pattern(combweave, tmp_path, finish):
    told = json.loads(combweave("motif", "--rounds", 2, "--finish", finish, "--out", "flower", "--json").out)
    assert told["finish"] == finish
    assert (told["finish_thread_mm"] > 0) == (finish != "none")
    assert pattern_in(tmp_path / "flower").finish == finish
    again = json.loads(combweave("redraw", "flower/pattern.json", "--out", "again", "--json").out)
    assert (again["finish"], again["finish_thread_mm"]) == (finish, told["finish_thread_mm"])
    words = (tmp_path / "flower" / "stitches.txt").read_text(encoding="utf-8")
    assert ("Finishing: " in words) == (finish != "none")


def test_a_finish_that_is_none_is_refused(combweave):
    assert combweave("motif", "--finish", "glue").code == 2


def test_ends_of_a_strip_without_a_clasp_fit_into_each_other(combweave, tmp_path):
    chosen = ("--shape", "strip", "--wrist", 60, "--clasp", 0, "--height", 25, "--connectors", "8/0")
    run = combweave("motif", *chosen, "--out", "ring", "--json")
    assert json.loads(run.out)["finish"] == "sewn"
    assert "sew the ends together" in (tmp_path / "ring" / "stitches.txt").read_text(encoding="utf-8")
    weave = pattern_in(tmp_path / "ring").weave
    # Moved on by as many loops as a row has, one end lies on the other, bead on bead of the same size.
    moved = weave.bead_xy + np.array([weave.spacing.pitch_mm * (weave.loop_column.max() + 1), 0])
    far = np.linalg.norm(moved[:, None] - weave.bead_xy[None], axis=2)
    one, other = np.nonzero(far < 1e-6)
    rows = int(weave.loop_row.max()) + 1
    assert len(one) == 2 * rows - 1
    assert (weave.bead_size[one] == weave.bead_size[other]).all()


def test_rectangle_takes_the_shape_of_the_picture(combweave, small_picture):
    run = combweave("motif", small_picture, "--shape", "rectangle", "--width", 45, "--json")
    told = json.loads(run.out)
    assert told["width_mm"] == pytest.approx(45, abs=3)
    assert told["height_mm"] == pytest.approx(30, abs=3)
    assert told["colour_difference"] > 0


def test_picture_colours_each_half_of_a_ruffle(combweave, small_picture, tmp_path):
    run = combweave("motif", small_picture, "--centre", 7, "--edge", "points", "--out", "piece")
    assert run.code == 0
    pattern = pattern_in(tmp_path / "piece")
    light = pattern.palette.labs()[pattern.bead_colour, 0]
    weave = pattern.weave
    x = np.append(weave.bead_xy[:, 0], weave.junction_xy[tips_of(weave).junctions, 0])
    # The piece is not symmetric from left to right; the picture's middle lies in the middle of its width.
    middle = (weave.cells[..., 0].min() + weave.cells[..., 0].max()) / 2
    assert (light[x < middle - 3] < 60).all()
    assert (light[x > middle + 3] > 80).all()


def test_beads_that_show_none_of_the_picture_are_plain(combweave, tmp_path):
    pixels = np.zeros((80, 80, 4), np.uint8)
    pixels[:, :40] = (32, 96, 160, 255)
    Image.fromarray(pixels).save(tmp_path / "half.png")
    run = combweave("motif", "half.png", "--rounds", 4, "--core-colour", "Swan cream", "--out", "piece")
    assert run.code == 0
    pattern = pattern_in(tmp_path / "piece")
    codes = np.array([entry.code for entry in pattern.palette.entries])[pattern.bead_colour]
    x = pattern.weave.bead_xy[:, 0]
    assert (codes[x > 3] == "SW3").all()
    assert not (codes[x < 0] == "SW3").any()
    assert pattern.weave.loops == 61


def test_empty_picture_is_refused(combweave, tmp_path):
    Image.new("RGBA", (40, 40), (0, 0, 0, 0)).save(tmp_path / "empty.png")
    run = combweave("motif", "empty.png")
    assert run.code == 1
    assert "leaves no loop" in run.err
    assert not (tmp_path / "flower-motif").exists()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--rounds", 0], "at least 1 round"),
        (["--rounds", -2], "at least 1 round"),
        (["--rounds", 10**9], "more than can be woven"),
        (["--rounds", 300], "more than the limit"),
        (["--centre", 2], "3 to 8 beads, not 2"),
        (["--centre", 9], "3 to 8 beads, not 9"),
        (["--shape", "strip"], "needs the measure of the wrist"),
        (["--shape", "strip", "--wrist", 0], "wrist of 0 mm cannot be"),
        (["--shape", "strip", "--wrist", 170, "--clasp", 500], "leaves nothing to weave"),
        (["--shape", "strip", "--wrist", 170, "--rounds", 2], "a strip has no rounds"),
        (["--shape", "flower", "--wrist", 170], "a flower has no wrist"),
        (["--shape", "rectangle", "--width", 0], "width must be more than 0"),
        (["--shape", "rectangle", "--width", "nan"], "width must be more than 0"),
        (["--shape", "rectangle", "--width", 1e6, "--height", 1e6], "takes more than 10,000 loops"),
        (["--copies", 0], "copies are 1 to 1,000, not 0"),
        (["--core-colour", "SW99"], "no bead 'SW99' in size 11/0"),
        (["--core-colour", "heron gray"], "did you mean heron grey (HG3), "),
        (["--core-colour", "swan"], "colours that 'swan' may be: swan white (SW1), "),
        (["--needle", 0.9], "does not go through"),
    ],
    ids=lambda value: " ".join(map(str, value)) if isinstance(value, list) else "",
)
def test_impossible_shapes_are_refused_in_one_line(combweave, tmp_path, arguments, said):
    run = combweave("motif", *arguments, "--max-beads", 300_000)
    assert run.code == 1
    assert said in run.err
    assert len([line for line in run.err.splitlines() if line.startswith("Error")]) == 1
    assert not list(tmp_path.glob("*motif"))


def test_same_choices_give_the_same_bytes(combweave, tmp_path):
    for name in ("one", "two"):
        assert (
            combweave("motif", "--rounds", 1, "--centre", 5, "--connectors", "15/0", "--out", name).code == 0
        )
    for file in sorted((tmp_path / "one").iterdir()):
        assert file.read_bytes() == (tmp_path / "two" / file.name).read_bytes()


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (
            ("--shape", "strip", "--wrist", "170", "--repeat", "0"),
            "--repeat is a whole number, 1 or more or auto",
        ),
        (("--shape", "strip", "--wrist", "170", "--repeat", "2.5"), "not 2.5"),
        (("--shape", "strip", "--wrist", "170", "--repeat", "99"), "99 repeats do not fit along 184 mm"),
        (
            ("--shape", "strip", "--wrist", "170", "--repeat-down", "9"),
            "9 repeats do not fit: the piece is 5 rows",
        ),
        (("--shape", "strip", "--wrist", "170", "--join", "ends", "--clasp", "9"), "has no clasp of 9 mm"),
        (("--shape", "flower", "--join", "ends"), "a flower has no join"),
        (("--shape", "flower", "--repeat", "2"), "a flower has no repeat"),
        (("--shape", "rectangle", "--width", "7", "--join", "ends"), "2 loops in a row cannot be joined"),
        (("--centre", "5", "--mirror", "across"), "are no mirror images"),
        (("--mirror-from", "right"), "--mirror-from says which half"),
        (("--mirror-pair",), "mirrored pairs are an even number of copies, not 1"),
        (
            ("--shape", "strip", "--wrist", "170", "--join", "ends", "--finish", "clasp"),
            "has none for --finish clasp",
        ),
    ],
    ids=str,
)
def test_repeats_rings_and_mirrors_that_cannot_be_are_refused_in_one_line(combweave, given, told, tmp_path):
    run = combweave("motif", *given)
    assert run.code == 1
    assert told in run.err.splitlines()[0]
    assert run.err.splitlines()[0].startswith("Error: ")
    assert run.err.splitlines()[1].startswith("Hint: ")
    assert not list(tmp_path.glob("*-motif"))


def test_a_fraction_of_repeats_down_is_wrong_usage(combweave):
    run = combweave("motif", "--shape", "strip", "--wrist", "170", "--repeat-down", "1.5")
    assert run.code == 2
    assert "--repeat-down" in run.err


def test_two_sizes_close_in_threes_and_the_nearest_that_do_are_told(combweave, small_picture):
    run = combweave("panel", small_picture, "--across", "10", "--connectors", "15/0", "--join", "ends")
    # A panel is made to fit: its picture goes round once, in whole repeats of the weave.
    assert run.code == 0
    assert "whole repeats make the width" in " ".join(run.err.split())
