"""What is seen while a command works, and what is said after it."""

import io
import json
import sys
import time
from contextlib import contextmanager
from types import SimpleNamespace

import pytest
from PIL import Image, ImageDraw

from convert.cli import report


class Terminal(io.StringIO):
    encoding = "utf-8"

    def isatty(self):
        return True


class Bar:
    """Stands for rich's bar and keeps what it is told."""

    def __init__(self, *columns, console, transient):
        self.columns, self.transient, self.told, self.started, self.stopped = columns, transient, [], 0, 0

    def add_task(self, description, total):
        self.told.append((description, total))
        return 7

    def update(self, task, description, advance):
        assert task == 7
        self.told.append((description, advance))

    def start(self):
        self.started += 1

    def stop(self):
        self.stopped += 1


@pytest.fixture
def bars(monkeypatch):
    made = []

    def make(*columns, **named):
        made.append(Bar(*columns, **named))
        return made[-1]

    monkeypatch.setattr("rich.progress.Progress", make)
    monkeypatch.setattr(report, "sys", SimpleNamespace(stderr=Terminal()))
    return made


def test_work_that_takes_long_shows_a_bar(bars, monkeypatch):
    monkeypatch.setattr(report, "PROGRESS_AFTER_SECONDS", 0.01)
    with report.progress_shown(3, quiet=False) as progress:
        progress("Reading [bold]")
        (bar,) = bars
        for _ in range(300):
            if bar.started:
                break
            time.sleep(0.01)
        progress("Writing")
        assert not bar.stopped
    assert bar.told == [("Starting", 3), ("Reading [bold]", 1), ("Writing", 1)]
    assert (bar.started, bar.stopped, bar.transient) == (1, 1, True)
    # The name of a stage is no markup.
    assert bar.columns[0].markup is False


def test_quick_work_shows_none(bars):
    """A second is quick; the bar is not started after the work has ended, nor on a fault."""
    begun = time.perf_counter()
    with pytest.raises(ZeroDivisionError), report.progress_shown(3, quiet=False):
        raise ZeroDivisionError
    assert time.perf_counter() - begun < 1
    (bar,) = bars
    assert (bar.started, bar.stopped) == (0, 1)
    assert report.PROGRESS_AFTER_SECONDS == 1


@pytest.mark.parametrize("quiet", [True, False])
def test_no_bar_where_nobody_sees_it(bars, monkeypatch, quiet):
    if not quiet:
        monkeypatch.setattr(report, "sys", SimpleNamespace(stderr=io.StringIO()))
    with report.progress_shown(3, quiet=quiet) as progress:
        progress("Reading")
    assert bars == []


def test_the_bar_does_not_keep_the_program_from_ending(bars, monkeypatch):
    made = []

    class Timer:
        daemon = False

        def __init__(self, seconds, start):
            made.append((self, seconds))

        def start(self):
            assert self.daemon

        def cancel(self):
            made.append("cancelled")

        def join(self):
            made.append("joined")

    monkeypatch.setattr("threading.Timer", Timer)
    with report.progress_shown(3, quiet=False):
        assert len(made) == 1
    assert made[0][1] == 1.0
    assert made[1:] == ["cancelled", "joined"]


FACTS = {"Beads": "1,250 of 3 [red]", "Outputs": "folder"}


def test_facts_stand_in_a_table_and_notes_below_it(capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "60")
    report.print_summary(FACTS, ("one [1]", "two"), quiet=False)
    lines = [" ".join(line.split()) for line in capsys.readouterr().err.splitlines() if line.strip()]
    assert lines == ["Beads 1,250 of 3 [red]", "Outputs folder", "Note: one [1]", "Note: two"]
    report.print_summary(FACTS, ("one",), quiet=True)
    assert capsys.readouterr() == ("", "Note: one\n")


def test_long_facts_are_folded_and_not_cut(capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "30")
    report.print_summary({"Outputs": "x" * 50}, ("y" * 20 + " " + "z" * 20,), quiet=False)
    told = capsys.readouterr().err
    assert told.count("x") == 50
    assert max(map(len, told.splitlines())) <= 30


def test_what_is_asked_for_is_bold_and_numbers_are_plain(capsys, monkeypatch):
    for name, value in {"FORCE_COLOR": "1", "TERM": "xterm-256color", "COLUMNS": "60"}.items():
        monkeypatch.setenv(name, value)
    monkeypatch.delenv("NO_COLOR", raising=False)
    report.print_summary(FACTS, ("3 of 4",), quiet=False)
    told = capsys.readouterr().err
    assert "\x1b[1mBeads" in told
    assert "1,250 of 3" in told
    assert "3 of 4" in told


def test_json_is_readable_and_keeps_its_order(capsys):
    value = {"b": {"name": "Möwe"}, "a": [1]}
    report.print_json(value)
    told = capsys.readouterr().out
    assert told == json.dumps(value, ensure_ascii=False, indent=1) + "\n"


def test_json_is_ascii_where_the_stream_is_not_unicode(monkeypatch):
    stream = io.TextIOWrapper(io.BytesIO(), encoding="latin-1")
    monkeypatch.setattr(sys, "stdout", stream)
    report.print_json({"name": "Möwe"})
    stream.flush()
    assert b"M\\u00f6we" in stream.buffer.getvalue()


@pytest.mark.parametrize(
    "arguments",
    [
        ("panel", "halves.png", "--across", 5),
        ("motif", "halves.png", "--rounds", 1),
        ("redraw", "piece/pattern.json", "--drop", "1.1", "--swap", "A=B"),
        ("sizes", "halves.png", "--across", 5, "--beads", "11/0"),
        ("sizes", "halves.png", "--across", 5, "--beads", "11/0", "--beads", "8/0"),
        ("colours", "halves.png", "--across", 5, "--palette", "few.csv"),
        ("shelf", "tray.png"),
    ],
    ids=lambda words: " ".join(map(str, words)),
)
def test_the_bar_is_full_when_a_command_ends(combweave, small_picture, tmp_path, monkeypatch, arguments):
    (tmp_path / "few.csv").write_text("code,hex\nA,#2060A0\nB,#F7F6F4\nC,#803020\n")
    if arguments[0] == "redraw":
        words = ("--across", 5, "--palette", "few.csv", "--out", "piece", "--quiet")
        assert combweave("panel", small_picture, *words).code == 0
    if arguments[0] == "shelf":
        draw_tray(tmp_path / "tray.png")
    seen = []

    @contextmanager
    def noted(stages, *, quiet):
        assert not quiet
        seen.append(stages)
        yield seen.append

    monkeypatch.setattr(report, "progress_shown", noted)
    run = combweave(*arguments)
    assert run.code == 0, run.err
    stages, *names = seen
    assert len(names) == stages
    assert names[0].startswith(("Opening the p", "Reading the pattern"))


def draw_tray(path):
    image = Image.new("RGB", (400, 300), (225, 225, 225))
    for x, y, colour in ((100, 100, (60, 90, 160)), (300, 100, (150, 60, 50)), (100, 200, (40, 90, 60))):
        ImageDraw.Draw(image).ellipse((x - 30, y - 30, x + 30, y + 30), fill=colour)
    image.save(path)
