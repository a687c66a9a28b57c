"""Limits that the command line has: of beads in a file, of what a config file is and holds."""

import os
import threading

import pytest

from convert import bounded


def panel(combweave, text, tmp_path):
    (tmp_path / "c.toml").write_text(text)
    return combweave("panel", "none.png", "--config", "c.toml")


def words(run):
    """Return what is told, without the frame and its line ends."""
    return " ".join(run.err.replace("│", " ").split())


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("width = " + "[" * 3_000, "c.toml: Brackets lie too deep in each other"),
        ("width = " + "9" * 5_000, "c.toml: A number has far too many digits"),
        ("width = true", "'width' is true: it takes a number"),
        ("width = {a = 1}", "[width] is a heading"),
        ("colours = [[1]]", "'colours' is [[1]]: it takes a whole number or a word"),
        ("title = 2026-01-01", "'title' is datetime.date(2026, 1, 1): it takes words in quotes"),
        ("#" * 1_000_001, "c.toml is larger than 1 MB"),
    ],
)
def test_a_config_file_that_cannot_be(combweave, tmp_path, text, told):
    run = panel(combweave, text, tmp_path)
    assert run.code == 2
    assert told in words(run)


def test_a_config_file_is_a_file_or_a_pipe_that_ends(combweave, tmp_path, monkeypatch):
    monkeypatch.setattr(bounded, "IDLE_SECONDS", 0.05)
    os.mkfifo(tmp_path / "pipe")
    for path, told in (
        ("pipe", "pipe is a pipe that does not end"),
        ("/dev/zero", "/dev/zero is a device, not a file or a pipe"),
        (".", ". is a folder"),
        ("none.toml", "cannot read none.toml: No such file"),
    ):
        run = combweave("panel", "none.png", "--config", path)
        assert run.code == 2
        assert told in words(run)
    monkeypatch.setattr(bounded, "IDLE_SECONDS", 20.0)
    thread = threading.Thread(target=(tmp_path / "pipe").write_text, args=("rounds = 1",))
    thread.start()
    run = combweave("motif", "--config", "pipe", "--json", "--quiet")
    thread.join()
    assert run.code == 0, run.err


def test_the_limit_of_beads_holds_for_pieces_that_are_there(combweave, tmp_path):
    assert combweave("motif", "--rounds", "1", "--out", "f", "--quiet").code == 0
    for command in ("check", "redraw"):
        run = combweave(command, "f/pattern.json", "--max-beads", "20")
        assert run.code == 1
        assert run.err.startswith(
            "Error: f/pattern.json: this piece has 30 beads or more, more than the limit"
        )
    assert combweave("check", "f/pattern.json", "--max-beads", "30").code == 0
