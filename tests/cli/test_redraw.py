import json

import pytest


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
