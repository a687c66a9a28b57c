"""Runs that are ended by a signal or by a full disk, in real processes: nothing half written, one line.

Exit codes are 128 and the number of the signal, as a shell tells them (POSIX.1-2017, Shell Command Language,
2.8.2, says more than 128; the sum is common practice).
"""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from PIL import Image

TREE = Path(__file__).parents[2]
LINE = "Interrupted; nothing was written.\n"


def names(folder):
    return sorted(path.name for path in folder.iterdir())


@pytest.fixture
def lake(tmp_path):
    """A folder with a picture, and a piece in `out` as an earlier run has left it."""
    Image.linear_gradient("L").resize((60, 40)).convert("RGB").save(tmp_path / "lake.png")
    out = tmp_path / "out"
    out.mkdir()
    (out / "chart.png").write_text("old, by combweave")
    (out / "mine.txt").write_text("mine")
    return tmp_path


def begun(lake, *options, width=30):
    """Start a panel that takes some seconds."""
    command = [sys.executable, "-m", "convert", "panel", "lake.png", "--width", str(width), *options]
    environment = {**os.environ, "PYTHONPATH": str(TREE), "NO_COLOR": "1"}
    return subprocess.Popen(command, cwd=lake, stderr=subprocess.PIPE, text=True, env=environment)


def wait_for_files(folder, number, run):
    """Wait until a run has written so many outputs into its temporary folder."""
    while run.poll() is None:
        if len(list(folder.glob(".combweave-*/new/*"))) >= number:
            return
        time.sleep(0.01)
    pytest.fail(f"ended before: {run.stderr.read()}")


def test_signals_while_outputs_are_written(lake):
    cases = [
        (signal.SIGINT, 1, "new"),
        (signal.SIGINT, 5, "out"),
        (signal.SIGTERM, 2, "out"),
        (signal.SIGHUP, 1, "out"),
    ]
    for files, (number, times, target) in enumerate(cases, 1):
        run = begun(lake, "--out", target, "--force")
        with run:
            wait_for_files(lake if target == "new" else lake / target, files, run)
            for _ in range(times):
                run.send_signal(number)
            told = run.stderr.read()
        assert (run.returncode, told) == (128 + number, LINE)
        assert names(lake) == ["lake.png", "out"]
        assert names(lake / "out") == ["chart.png", "mine.txt"]
        assert (lake / "out" / "chart.png").read_text() == "old, by combweave"


def test_a_run_that_is_killed_is_cleared_by_the_next(lake, combweave):
    run = begun(lake, "--out", "out", "--force", "--quiet")
    with run:
        wait_for_files(lake / "out", 1, run)
        run.kill()
    assert len(names(lake / "out")) == 3
    # Whatever the next run then says.
    assert combweave("panel", "lake.png", "--out", "out", "--force", "--width", "nan").code == 1
    assert names(lake / "out") == ["chart.png", "mine.txt"]


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_a_signal_while_the_program_loads(number):
    script = (
        "import os, sys\n"
        "class Impatient:\n"
        "    def find_spec(self, name, *rest):\n"
        f"        if name == 'convert.cli.app': os.kill(os.getpid(), {int(number)})\n"
        "sys.meta_path.insert(0, Impatient())\n"
        "from convert.__main__ import main\n"
        "main()"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert (run.returncode, run.stderr) == (128 + number, LINE)


def test_a_signal_inside_code_that_catches_everything():
    script = (
        "import os, signal\n"
        "from convert.unfinished import end_on_signals\n"
        "end_on_signals()\n"
        "try: os.kill(os.getpid(), signal.SIGINT)\n"
        "except BaseException: pass\n"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert (run.returncode, run.stderr) == (130, LINE)


def test_what_outlives_its_terminal_goes_on():
    script = (
        "import os, signal\n"
        "signal.signal(signal.SIGHUP, signal.SIG_IGN)\n"
        "from convert.unfinished import end_on_signals\n"
        "end_on_signals()\n"
        "os.kill(os.getpid(), signal.SIGHUP)\n"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert (run.returncode, run.stderr) == (0, "")


def test_a_disk_that_is_full_in_the_middle(lake):
    # So many kilobytes a file: room for some of the outputs, but not for all.
    script = f"ulimit -f 60; exec {sys.executable} -m convert panel lake.png --width 20 --out out --force"
    environment = {**os.environ, "PYTHONPATH": str(TREE), "NO_COLOR": "1"}
    run = subprocess.run(
        ["bash", "-c", script], cwd=lake, capture_output=True, text=True, check=False, env=environment
    )
    assert run.returncode == 1
    assert run.stderr.startswith("Error: cannot write out: File too large\nHint: ")
    assert names(lake / "out") == ["chart.png", "mine.txt"]
    assert (lake / "out" / "chart.png").read_text() == "old, by combweave"
