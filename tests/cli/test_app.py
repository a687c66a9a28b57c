import subprocess
import sys

import pytest

COMMANDS = ["panel", "redraw", "check", "match", "palette"]


def test_help_names_every_command(combweave):
    run = combweave("--help")
    assert run.code == 0
    for command in COMMANDS:
        assert command in run.out


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_explains_itself(combweave, command):
    run = combweave(command, "--help")
    assert run.code == 0
    assert "Usage" in run.out


def test_version(combweave):
    from convert import __version__

    assert combweave("--version").out == f"combweave {__version__}\n"


def test_help_loads_nothing_heavy():
    script = (
        "import sys; sys.argv = ['combweave', 'panel', '--help']\n"
        "from convert.cli.app import main\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "heavy = {'numpy', 'PIL', 'scipy', 'skimage', 'colormath', 'ortools'} & set(sys.modules)\n"
        "sys.exit(','.join(sorted(heavy)) or 0)"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr[-200:]


def test_unknown_command(combweave):
    assert combweave("weave").code == 2


def test_closed_standard_output_is_no_traceback(tmp_path):
    run = subprocess.run(
        f"{sys.executable} -m convert panel --help | true",
        shell=True,
        capture_output=True,
        text=True,
        check=False,
    )
    assert "Traceback" not in run.stderr
