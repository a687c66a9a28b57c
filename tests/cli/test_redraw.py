import json
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from convert.front_door import proven, read_pattern


@pytest.fixture
def folder(combweave, small_picture, tmp_path):
    assert combweave("panel", small_picture, "--across", 5, "--out", "first", "--quiet").code == 0
    return tmp_path / "first"


def edited(folder, change):
    path = folder / "pattern.json"
    value = json.loads(path.read_text())
    change(value)
    path.write_text(json.dumps(value))
    return path


def test_redraw_gives_the_same_outputs(combweave, folder, tmp_path):
    assert combweave("redraw", folder / "pattern.json", "--out", "second").code == 0
    for path in folder.iterdir():
        assert path.read_bytes() == (tmp_path / "second" / path.name).read_bytes(), path.name


def test_what_is_told_is_what_check_tells(combweave, folder):
    told = [
        json.loads(combweave(command, folder / "pattern.json", "--json", *more).out)
        for command, *more in (("check",), ("redraw", "--out", "second"))
    ]
    assert told[0] == told[1]
    assert "notes" in told[0]


def told_of(run):
    """Return the rows of the summary on how well the beads show the picture, without the nearest beads."""
    rows = [" ".join(line.split()) for line in run.err.replace("\n                 ", " ").splitlines()]
    found = [row for row in rows if row.startswith(("Colour difference", "Seen from", "Lone beads"))]
    return [row.split("; with the nearest")[0] for row in found]


@pytest.fixture
def rainbow(tmp_path):
    """A picture of every hue, the left third of it transparent."""
    x, y = np.meshgrid(np.linspace(0, 255, 60), np.linspace(60, 255, 40))
    channels = [x, 255 - y, 255 - x, np.where(x < 85, 0, 255)]
    path = tmp_path / "rainbow.png"
    Image.fromarray(np.stack(channels, axis=-1).astype(np.uint8)).save(path)
    return path


@pytest.mark.parametrize(
    "command",
    [
        ("panel", "--across", 8),
        ("panel", "--across", 8, "--colours", 4),
        ("panel", "--across", 8, "--edge", "points"),
        ("motif", "--rounds", 4),
    ],
)
def test_an_unchanged_piece_shows_its_picture_as_well_as_before(combweave, rainbow, command):
    name, *options = command
    made = combweave(name, rainbow, *options, "--out", "first", "--json")
    again = combweave("redraw", "first/pattern.json", "--out", "second", "--json")
    assert len(told_of(made)) == 3
    assert told_of(again) == told_of(made)
    before, after = json.loads(made.out), json.loads(again.out)
    assert after["colour_difference"] == pytest.approx(before["colour_difference"], abs=2e-3)
    assert after["judgement"] == pytest.approx(before["judgement"], abs=2e-3)


def test_a_file_from_before_the_picture_was_kept_is_drawn_without_figures(combweave, folder):
    def change(value):
        del value["wanted"], value["unshown"]

    run = combweave("redraw", edited(folder, change), "--out", "second", "--json")
    assert run.code == 0
    assert told_of(run) == []
    assert json.loads(run.out)["judgement"] is None


def test_a_bead_for_the_worse_raises_the_difference(folder):
    made = read_pattern(folder / "pattern.json")
    pattern, bead = made.pattern, 4
    colours = pattern.bead_colour.copy()
    entries = pattern.palette.for_size(pattern.weave.sizes[pattern.bead_size[bead]].name)
    off = pattern.palette.labs()[entries] - pattern.palette.labs()[colours[bead]]
    colours[bead] = entries[np.linalg.norm(off, axis=1).argmax()]
    worse = proven(replace(pattern, bead_colour=colours))
    assert worse.difference > made.difference + 10 / pattern.weave.beads
    assert worse.comparison.chosen.seen > made.comparison.chosen.seen
    assert (worse.before, worse.colours_reason) == (pattern.figures, None)
    assert worse.comparison.nearest.seen == pattern.figures.nearest.seen


def test_beads_that_show_nothing_are_not_judged(folder):
    pattern = read_pattern(folder / "pattern.json").pattern
    colours = pattern.bead_colour.copy()
    colours[0] = pattern.palette.for_size(pattern.weave.sizes[pattern.bead_size[0]].name)[-1]
    changed = replace(pattern, bead_colour=colours)
    blind = proven(replace(changed, unshown=(0,))).difference
    assert blind == proven(replace(pattern, unshown=(0,))).difference
    assert blind != proven(changed).difference


def test_changed_bead_and_entry_are_drawn(combweave, folder, tmp_path):
    def change(value):
        size = value["core"]["name"]
        entry = next(entry for entry in value["palette"]["entries"] if entry["size"] == size)
        entry["name"] = "edited name"
        value["bead_rows"][0][0] = entry["code"]

    assert combweave("redraw", edited(folder, change), "--out", "second").code == 0
    assert "edited name" in (tmp_path / "second" / "beads.csv").read_text()


def test_check_proves(combweave, folder):
    run = combweave("check", folder / "pattern.json")
    assert run.code == 0
    assert "every bead is strung and every loop closes" in run.err
    assert json.loads(combweave("check", folder / "pattern.json", "--json").out)["loops"] > 0


def cut(value):
    value["thread"]["threads"][-1] = value["thread"]["threads"][-1][:-9]


def out_of_range(value):
    value["thread"]["threads"][0][3] = 10**6


def jump(value):
    thread = value["thread"]["threads"][0]
    thread[2], thread[8] = thread[8], thread[2]


def strange_code(value):
    value["bead_rows"][1][1] = "nowhere"


def short_row(value):
    value["bead_rows"][2].pop()


def extra_field(value):
    value["colour"] = 1


def newer(value):
    value["version"] = 99


def other_format(value):
    value["format"] = "something else"


def bare(value):
    value["shape"]["rows"] = ["." * len(row) for row in value["shape"]["rows"]]


def ragged(value):
    value["shape"]["rows"][0] += "#"


def bad_size(value):
    value["core"]["hole_mm"] = 9


def controls(value):
    value["title"] = "heron\x1b[31m"


def endless_code(value):
    value["bead_rows"][1][1] = "x" * 9_000


def infinite(value):
    value["spacing"]["core_mm"] = float("inf")


@pytest.mark.parametrize("command", ["check", "redraw"])
@pytest.mark.parametrize(
    ("change", "words"),
    [
        (cut, ""),
        (out_of_range, "thread passes bead 1000000"),
        (jump, "pass"),
        (strange_code, "bead_rows, row 2, bead 2 is 'nowhere'"),
        (short_row, "bead_rows, row 3"),
        (extra_field, "colour"),
        (newer, "newer"),
        (other_format, "not a pattern file"),
        (bare, "no loop"),
        (ragged, "item 2 has"),
        (bad_size, "hole"),
        (controls, "title: has a character that cannot be printed"),
        (endless_code, "bead_rows, row 2, bead 2 is 'xxx"),
        (infinite, "not a pattern file"),
    ],
)
def test_faults_are_named_in_one_line(combweave, folder, tmp_path, command, change, words):
    run = combweave(command, edited(folder, change))
    assert run.code == 1, run.err
    assert words in run.err
    assert len(run.err.strip().splitlines()) <= 2
    assert len(run.err) < 500
    assert {path.name for path in tmp_path.iterdir()} == {"halves.png", "first"}


def test_broken_json_names_line_and_column(combweave, tmp_path):
    (tmp_path / "bad.json").write_text('{\n "format": ,\n}')
    run = combweave("check", "bad.json")
    assert run.code == 1
    assert "line 2, column 12" in run.err


def test_a_name_no_file_can_have(combweave):
    run = combweave("check", "x" * 300)
    assert run.code == 1
    assert run.err.startswith("Error: cannot read xxx")


def test_what_is_no_file(combweave, tmp_path):
    for name in (".", "missing.json"):
        run = combweave("check", name)
        assert run.code == 1
        assert len(run.err.strip().splitlines()) <= 2
