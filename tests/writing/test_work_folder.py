"""What killed runs leave behind, and what is told of them from others."""

import fcntl
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from convert.writing.work_folder import FORMER, LOCK, NEW, READY, clear_dead, put_in_place, work_folder

NAME = ".combweave-0123456789abcdef"


def left_behind(place, *parts):
    work = place / NAME
    work.mkdir()
    (work / LOCK).write_bytes(b"combweave\n")
    for part in parts:
        (work / part).mkdir()
        (work / part / "chart.png").write_text(part)
    return work


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_what_a_killed_run_has_left_is_cleared(tmp_path):
    left_behind(tmp_path, NEW)
    clear_dead(tmp_path)
    assert names(tmp_path) == []


def test_what_was_ready_when_its_run_was_killed_is_put_in_place(tmp_path):
    (tmp_path / "chart.png").write_text("old")
    left_behind(tmp_path, READY, FORMER)
    clear_dead(tmp_path)
    assert names(tmp_path) == ["chart.png"]
    assert (tmp_path / "chart.png").read_text() == READY


def test_what_is_ready_takes_the_place_of_no_folder(tmp_path):
    (tmp_path / "chart.png").mkdir()
    left_behind(tmp_path, READY)
    clear_dead(tmp_path)
    assert names(tmp_path) == ["chart.png"]
    assert (tmp_path / "chart.png").is_dir()


def test_a_run_that_lives_keeps_its_folder(tmp_path):
    work = left_behind(tmp_path, NEW)
    with (work / LOCK).open("rb") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        clear_dead(tmp_path)
        assert names(work) == [LOCK, NEW]
    clear_dead(tmp_path)
    assert names(tmp_path) == []


def test_folders_of_others_stay_whatever_they_are_called(tmp_path):
    notes = tmp_path / ".combweave-notes"
    notes.mkdir()
    (notes / LOCK).write_bytes(b"combweave\n")
    work = left_behind(tmp_path, NEW)
    for name, content in ((LOCK, b"mine"), ("mine.txt", b"mine")):
        (work / name).write_bytes(content)
        clear_dead(tmp_path)
        assert (work / name).read_bytes() == content
        (work / LOCK).write_bytes(b"combweave\n")
    (work / "mine.txt").unlink()
    work.rename(tmp_path / "elsewhere")
    work.symlink_to("elsewhere")
    clear_dead(tmp_path)
    assert names(tmp_path) == [NAME, ".combweave-notes", "elsewhere"]


def test_a_run_that_is_just_making_its_folder_keeps_it(tmp_path):
    work = tmp_path / NAME
    work.mkdir()
    clear_dead(tmp_path)
    assert work.is_dir()
    then = time.time() - 3_600
    os.utime(work, (then, then))
    clear_dead(tmp_path)
    assert names(tmp_path) == []


def test_a_run_that_is_killed_outright_is_cleared_by_the_next(tmp_path):
    script = (
        "import sys, time; from pathlib import Path\n"
        "from convert.writing.work_folder import NEW, work_folder\n"
        "with work_folder(Path(sys.argv[1])) as work:\n"
        "    (work / NEW / 'chart.png').write_text('half')\n"
        "    print('begun', flush=True)\n"
        "    time.sleep(60)\n"
    )
    command = [sys.executable, "-c", script, str(tmp_path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE) as run:
        assert run.stdout.readline() == b"begun\n"
        clear_dead(tmp_path)
        assert len(names(tmp_path)) == 1
        run.send_signal(signal.SIGKILL)
    clear_dead(tmp_path)
    assert names(tmp_path) == []


def test_an_interrupt_waits_until_all_files_are_in_place(tmp_path, monkeypatch):
    replace = Path.replace

    def interrupted(self, other):
        signal.raise_signal(signal.SIGINT)
        return replace(self, other)

    monkeypatch.setattr(Path, "replace", interrupted)
    # Whatever started the tests may have had them ignore it.
    former = signal.signal(signal.SIGINT, signal.default_int_handler)

    def write():
        with work_folder(tmp_path) as work:
            for name in ("a", "b", "c"):
                (work / NEW / name).write_text("new")
            put_in_place(work, tmp_path)

    try:
        with pytest.raises(KeyboardInterrupt):
            write()
    finally:
        signal.signal(signal.SIGINT, former)
    assert names(tmp_path) == ["a", "b", "c"]


def test_folders_in_the_folder_are_filled_and_what_lies_in_them_stays(tmp_path):
    (tmp_path / "mirrored").mkdir()
    (tmp_path / "mirrored" / "mine.txt").write_text("mine")
    (tmp_path / "mirrored" / "chart.png").write_text("old")
    with work_folder(tmp_path) as work:
        for folder in ("mirrored", "heron"):
            (work / NEW / folder).mkdir()
            (work / NEW / folder / "chart.png").write_text("new")
        put_in_place(work, tmp_path)
    assert names(tmp_path) == ["heron", "mirrored"]
    assert names(tmp_path / "mirrored") == ["chart.png", "mine.txt"]
    assert (tmp_path / "mirrored" / "chart.png").read_text() == "new"


def test_folders_that_were_made_are_gone_where_a_file_cannot_take_its_place(tmp_path, monkeypatch):
    replace = Path.replace

    def refuse(self, other):
        if other == tmp_path / "heron" / "steps.png":
            raise OSError(28, os.strerror(28))
        return replace(self, other)

    monkeypatch.setattr(Path, "replace", refuse)

    def write():
        with work_folder(tmp_path) as work:
            (work / NEW / "heron").mkdir()
            for name in ("chart.png", "steps.png"):
                (work / NEW / "heron" / name).write_text("new")
            put_in_place(work, tmp_path)

    with pytest.raises(OSError, match="No space"):
        write()
    assert names(tmp_path) == []
