import json
from dataclasses import replace
from pathlib import Path

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


@pytest.fixture
def titled(combweave, rainbow, tmp_path):
    run = combweave(
        "panel", rainbow, "--across", 8, "--title", "Grebe at dawn", "--maker", "Alder workshop",
        "--licence", "CC BY 4.0", "--year", 2026, "--backing", "#302010", "--view-distance", 2,
        "--colours", 6, "--connectors", "15/0", "--json",
    )  # fmt: skip
    assert run.code == 0, run.err
    return json.loads(run.out), tmp_path / "grebe-at-dawn"


def test_the_title_names_the_folder_and_nothing_is_forgotten(combweave, titled):
    before, folder = titled
    assert before["title"] == "Grebe at dawn"
    again = combweave("redraw", folder / "pattern.json", "--json")
    assert json.loads(again.out) == {**before, "notes": json.loads(again.out)["notes"]}
    second = folder.with_name("grebe-at-dawn-2")
    for path in folder.iterdir():
        assert path.read_bytes() == (second / path.name).read_bytes(), path.name
    assert combweave("redraw", second / "pattern.json", "--quiet").code == 0
    assert (folder.parent / "grebe-at-dawn-3").is_dir()
    renamed = combweave("redraw", second / "pattern.json", "--title", "Coot", "--quiet", "--force")
    assert renamed.code == 0
    assert json.loads((folder.parent / "coot" / "pattern.json").read_text())["title"] == "Coot"


def test_a_change_is_told_with_what_it_does_to_the_likeness(combweave, titled, tmp_path):
    before, folder = titled
    (tmp_path / "beak.csv").write_text("bead,colour\n2.2/2.3,RU3\n3.3,RU3\n")
    run = combweave(
        "redraw", folder / "pattern.json", "--changes", "beak.csv", "--set", "1.2=coot black", "--json"
    )
    assert run.code == 0, run.err
    after = json.loads(run.out)
    assert after["before"]["colour_difference"] == pytest.approx(before["colour_difference"], abs=1e-4)
    assert after["colour_difference"] > before["colour_difference"]
    then, now = before["colour_difference"], after["colour_difference"]
    assert told_of(run)[0].startswith(f"Colour difference {then:.1f} -> {now:.1f} on average")
    assert "Seen from 2 m" in run.err
    assert "beads are of another colour than before" in run.err
    # The next change is told from there.
    again = combweave("redraw", "grebe-at-dawn-2/pattern.json", "--swap", "RU3=KF4", "--json")
    assert json.loads(again.out)["before"]["colour_difference"] == pytest.approx(now, abs=1e-4)
    assert after["colours_reason"] is None
    assert after["colours_gap"] is None


def test_a_file_painted_by_hand_is_told_from_when_it_was_made(combweave, titled):
    before, folder = titled

    def paint(value):
        value["bead_rows"][2] = [value["palette"]["entries"][0]["code"]] * len(value["bead_rows"][2])

    run = combweave("redraw", edited(folder, paint), "--set", "4.4=RU3", "--json")
    told = json.loads(run.out)
    assert told["before"]["colour_difference"] == pytest.approx(before["colour_difference"], abs=1e-4)
    assert told["judgement_of_nearest"] is not None


def test_loops_are_dropped_and_added_and_the_new_piece_is_proven(combweave, titled):
    before, folder = titled
    run = combweave("redraw", folder / "pattern.json", "--drop", "1.8", "--add", "2.9,3.9", "--json")
    assert run.code == 0, run.err
    assert "1 loop dropped and 2 loops added; the thread is planned and proven anew" in " ".join(
        run.err.split()
    )
    assert json.loads(run.out)["loops"] == before["loops"] + 1
    assert combweave("check", "grebe-at-dawn-2/pattern.json").code == 0
    assert (folder.parent / "grebe-at-dawn-2" / "stitches.txt").is_file()


def test_loops_marked_on_the_page_are_carried_out_once(combweave, titled):
    before, folder = titled

    def mark(value):
        value["wishes"] = {"drop": ["1.8"], "add": ["3.9"]}

    path = edited(folder, mark)
    left = combweave("redraw", path, "--leave-marked", "--out", "left", "--json")
    assert json.loads(left.out)["loops"] == before["loops"]
    assert "wishes" in json.loads((folder.parent / "left" / "pattern.json").read_text())
    run = combweave("redraw", path, "--out", "done")
    assert "as marked on the page" in " ".join(run.err.split())
    assert "wishes" not in json.loads((folder.parent / "done" / "pattern.json").read_text())


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--set", "99.9=RU3"), "--set '99.9=RU3': there is no loop '99.9'; the nearest are "),
        (("--set", "2.2=RU33"), "has no bead 'RU33' in size 11/0; did you mean"),
        (("--drop", "99.9"), "--drop: there is no loop 99.9; the nearest are "),
        (("--add", "40.40"), "islands"),
        (("--changes", "none.csv"), "there is no file of changes none.csv"),
        (("--title", "a\u202eb"), "--title has a character that cannot be printed (U+202E)"),
        (("--title", "x" * 500), "--title is at most 120 letters long, not 500"),
        (("--out", "grebe-at-dawn"), "the folder grebe-at-dawn is there already"),
    ],
)
def test_bad_changes_are_one_line_and_leave_nothing(combweave, titled, tmp_path, words, message):
    there = sorted(tmp_path.iterdir())
    run = combweave("redraw", titled[1] / "pattern.json", *words)
    assert run.code == 1
    assert message in run.err
    assert len(run.err.strip().splitlines()) <= 2
    assert sorted(tmp_path.iterdir()) == there


def test_path_parts_in_a_title_name_no_other_folder(combweave, small_picture, tmp_path):
    run = combweave("panel", small_picture, "--across", 4, "--title", "../../nest/egg", "--quiet")
    assert run.code == 0
    assert (tmp_path / "nest-egg" / "pattern.json").is_file()


def test_a_config_file_signs_a_piece(combweave, tmp_path):
    (tmp_path / "c.toml").write_text('title = "Lily"\nmaker = "Alder workshop"\nyear = 2026\n')
    assert combweave("motif", "--rounds", 1, "--config", "c.toml", "--quiet").code == 0
    text = (tmp_path / "lily" / "follow.html").read_text()
    assert '<meta name="author" content="Alder workshop">' in text
    assert "Pattern by Alder workshop, 2026" in text
    assert json.loads((tmp_path / "lily" / "pattern.json").read_text())["title"] == "Lily"


def test_a_pattern_of_an_old_version_is_read_and_told(combweave, tmp_path):
    old = Path(__file__).parents[1] / "piece" / "old" / "version-1.json"
    (tmp_path / "pattern.json").write_bytes(old.read_bytes())
    run = combweave("redraw", "pattern.json")
    assert run.code == 0
    assert "pattern.json is a pattern file of version 1" in " ".join(run.err.split())
    assert (tmp_path / "halves" / "chart.png").is_file()
