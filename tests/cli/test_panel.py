import csv
import io
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from convert.errors import SizeError
from convert.piece.pattern_file import parse_pattern

SAMPLES = Path(__file__).parents[2] / "sample_images"
OUTPUTS = {
    "beads.csv",
    "chart.pdf",
    "chart.png",
    "chart.svg",
    "preview.png",
    "steps.png",
    "follow.html",
    "pattern.json",
    "stitches.csv",
    "stitches.txt",
}


def test_panel_writes_every_output(combweave, small_picture, tmp_path):
    run = combweave("panel", small_picture, "--width", 40)
    assert run.code == 0, run.err
    folder = tmp_path / "halves-panel"
    assert {path.name for path in folder.iterdir()} >= OUTPUTS
    assert "Finished size" in run.err
    assert run.out == ""
    pattern = parse_pattern((folder / "pattern.json").read_bytes(), "test")
    rows = list(csv.DictReader(io.StringIO((folder / "beads.csv").read_text())))
    assert sum(int(row["beads"]) for row in rows) == pattern.weave.beads
    # Left half blue, right half white, whatever the palette calls them.
    left = pattern.weave.bead_xy[:, 0] < 15
    colour = np.array([entry.lab for entry in pattern.palette.entries])[pattern.bead_colour]
    assert (colour[left, 2] < -25).all()
    assert (colour[pattern.weave.bead_xy[:, 0] > 25, 0] > 90).all()
    assert not list(tmp_path.glob(".combweave-*"))


def test_booklet_comes_on_the_paper_that_is_asked_for(combweave, small_picture, tmp_path):
    run = combweave("panel", small_picture, "--across", 5, "--paper", "letter", "--ink", "spare")
    assert run.code == 0, run.err
    document = pypdfium2.PdfDocument(tmp_path / "halves-panel" / "chart.pdf")
    assert np.allclose(document.get_page_size(0), (612, 792))
    assert combweave("redraw", tmp_path / "halves-panel" / "pattern.json", "--out", "again").code == 0
    again = pypdfium2.PdfDocument(tmp_path / "again" / "chart.pdf")
    assert np.allclose(again.get_page_size(0), (595.28, 841.89), atol=0.01)


def test_same_input_same_bytes(combweave, small_picture, tmp_path):
    for name in ("one", "two"):
        assert combweave("panel", small_picture, "--width", 25, "--out", name, "--quiet").code == 0
    for path in sorted((tmp_path / "one").iterdir()):
        assert path.read_bytes() == (tmp_path / "two" / path.name).read_bytes(), path.name


def test_json_is_one_object(combweave, small_picture):
    run = combweave("panel", small_picture, "--across", 6, "--json", "--quiet")
    summary = json.loads(run.out)
    assert run.err == ""
    assert summary["loops"] == 6 * round(summary["loops"] / 6)
    assert summary["beads"] == sum(row["beads"] for row in summary["materials"])


def test_existing_folder_is_kept_unless_forced(combweave, small_picture, tmp_path):
    out = tmp_path / "out"
    out.mkdir()
    (out / "mine.txt").write_text("keep me")
    (out / "chart.png").write_text("old, by combweave")
    run = combweave("panel", small_picture, "--out", out, "--width", 20)
    assert run.code == 1
    assert "--force" in run.err
    assert (out / "chart.png").read_text() == "old, by combweave"
    assert combweave("panel", small_picture, "--out", out, "--width", 20, "--force").code == 0
    assert (out / "mine.txt").read_text() == "keep me"
    assert (out / "chart.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--beads", "99/0"], "no bead size '99/0'"),
        (["--beads", "2x1x3"], "not smaller"),
        (["--width", "0"], "width must be more than 0"),
        (["--width", "inf"], "the width must be more than 0 and finite, not inf"),
        (["--height", "nan"], "the height must be more than 0 and finite, not nan"),
        (["--needleful", "inf"], "the needleful must be more than 0 and finite, not inf m"),
        (["--thread", "0"], "the thickness of the thread must be more than 0 and finite, not 0 mm"),
        (["--across", "0"], "the number of loops across must be more than 0"),
        (["--width", "20", "--across", "5"], "give one"),
        (["--gauge", "300"], "cannot be these beads"),
        (["--across", "9000"], "--max-beads"),
        (["--palette", "nowhere.csv"], "no palette file nowhere.csv"),
        (["--beads", "10/0"], "no bead of size 10/0"),
        (["--needle", "2"], "needle"),
        (["--out", "halves.png"], "is a file"),
        (["--out", "no/such/place"], "not there"),
    ],
)
def test_bad_wishes_get_one_line_and_leave_nothing(combweave, small_picture, tmp_path, arguments, words):
    run = combweave("panel", small_picture, *arguments)
    assert run.code == 1
    assert words in run.err
    assert len(run.err.strip().splitlines()) <= 2
    assert {path.name for path in tmp_path.iterdir()} == {"halves.png"}


@pytest.mark.parametrize("arguments", [["--fit", "squeeze"], ["--width", "wide"], ["--nonsense"], ["extra"]])
def test_wrong_usage_is_exit_2(combweave, small_picture, arguments):
    assert combweave("panel", small_picture, *arguments).code == 2


def test_transparent_ground_is_not_woven(combweave, tmp_path):
    run = combweave("panel", SAMPLES / "heron.png", "--width", 80, "--out", "heron", "--json")
    assert run.code == 0, run.err
    pattern = parse_pattern((tmp_path / "heron" / "pattern.json").read_bytes(), "test")
    assert 0.4 < pattern.shape.woven.mean() < 0.8


def test_nothing_to_weave(combweave, tmp_path):
    Image.new("RGBA", (30, 30), (9, 9, 9, 0)).save(tmp_path / "clear.png")
    run = combweave("panel", "clear.png")
    assert run.code == 1
    assert "leaves no loop" in run.err


def test_islands_are_counted(combweave, tmp_path):
    image = Image.new("RGBA", (90, 30), (0, 0, 0, 0))
    for left in (0, 60):
        image.paste((200, 0, 0, 255), (left, 0, left + 30, 30))
    image.save(tmp_path / "two.png")
    run = combweave("panel", "two.png")
    assert run.code == 1
    assert "2 separate islands" in run.err


def test_two_sizes_use_entries_of_each_size(combweave, small_picture, tmp_path):
    assert (
        combweave("panel", small_picture, "--beads", "8/0", "--connectors", "11/0", "--width", 60).code == 0
    )
    rows = list(csv.DictReader(io.StringIO((tmp_path / "halves-panel" / "beads.csv").read_text())))
    assert {row["size"] for row in rows} == {"8/0", "11/0"}


def test_settings_file_and_environment(combweave, small_picture, tmp_path, monkeypatch):
    (tmp_path / "combweave.toml").write_text('across = 4\nbeads = "8/0"\n')
    summary = json.loads(combweave("panel", small_picture, "--config", "combweave.toml", "--json").out)
    assert summary["bead_sizes"] == ["8/0"]
    monkeypatch.setenv("COMBWEAVE_PANEL_BEADS", "15/0")
    summary = json.loads(
        combweave("panel", small_picture, "--config", "combweave.toml", "--json", "--force").out
    )
    assert summary["bead_sizes"] == ["15/0"]
    summary = json.loads(
        combweave(
            "panel", small_picture, "--config", "combweave.toml", "--json", "--force", "--beads", "6/0"
        ).out
    )
    assert summary["bead_sizes"] == ["6/0"]
    (tmp_path / "bad.toml").write_text("widht = 4\n")
    run = combweave("panel", small_picture, "--config", "bad.toml")
    assert run.code == 2
    assert "widht" in run.err


@pytest.mark.parametrize(
    ("setting", "told"),
    [
        ('width = "big"', "'width' is 'big'"),
        ("rotate = [1, 2]", "'rotate' is [1, 2]"),
        ('flip = "up"', "'flip' is 'up'"),
        ('stock = "perhaps"', "'stock' is 'perhaps'"),
    ],
)
def test_a_wrong_setting_names_its_file_and_value(combweave, small_picture, tmp_path, setting, told):
    (tmp_path / "bad.toml").write_text(setting)
    run = combweave("panel", small_picture, "--config", "bad.toml")
    assert run.code == 2
    assert f"bad.toml: {told}: " in run.err


def test_one_code_needs_no_brackets_in_a_file(combweave, small_picture, tmp_path):
    (tmp_path / "one.toml").write_text('keep = "RO3"\ncolours = 2\nacross = 8\n')
    run = combweave("panel", small_picture, "--config", "one.toml", "--json")
    assert run.code == 0, run.err
    (tmp_path / "list.toml").write_text('keep = ["RO3"]\ncolours = 2\nacross = 8\n')
    listed = combweave("panel", small_picture, "--config", "list.toml", "--json", "--force")
    assert run.out == listed.out


def test_hostile_names_stay_harmless(combweave, tmp_path):
    name = "=[red]<b>&'x\n\x1b.png"
    Image.new("RGB", (20, 20), "red").save(tmp_path / name)
    # The outputs are named after the picture, and that is told as well.
    run = combweave("panel", name, "--width", 15)
    assert run.code == 0, run.err
    assert "[red]<b>" in run.err
    assert "\x1b" not in run.err


def test_standard_input(tmp_path, small_picture):
    run = subprocess.run(
        [sys.executable, "-m", "convert", "panel", "-", "--across", "4", "--json"],
        input=small_picture.read_bytes(),
        capture_output=True,
        cwd=tmp_path,
        env={**os.environ, "LC_ALL": "C", "COLUMNS": "8"},
        check=False,
    )
    assert run.returncode == 0, run.stderr
    assert (tmp_path / "picture-panel").is_dir()
    assert json.loads(run.stdout)["title"] == "picture"


@pytest.mark.parametrize("command", ["panel", "motif"])
def test_outputs_appear_when_nothing_can_fail_any_more(
    combweave, small_picture, tmp_path, monkeypatch, command
):
    def refuse(*arguments):
        raise SizeError("too late")

    monkeypatch.setattr("convert.work.judge", refuse)
    assert "too late" in combweave(command, small_picture, "--out", "o").err
    assert {path.name for path in tmp_path.iterdir()} == {"halves.png"}


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_interrupt_leaves_nothing(tmp_path, number):
    Image.effect_noise((1500, 1500), 80).convert("RGB").save(tmp_path / "noise.png")
    run = subprocess.Popen(
        [sys.executable, "-m", "convert", "panel", "noise.png", "--width", "900"],
        cwd=tmp_path,
        stderr=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
    )
    deadline = time.monotonic() + 60
    while not list(tmp_path.glob(".combweave-*")) and time.monotonic() < deadline and run.poll() is None:
        time.sleep(0.01)
    run.send_signal(number)
    _, err = run.communicate(timeout=60)
    assert run.returncode == 128 + number
    assert b"Traceback" not in err
    assert {path.name for path in tmp_path.iterdir()} == {"noise.png"}
