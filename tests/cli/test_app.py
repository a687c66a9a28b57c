import importlib
import json
import os
import subprocess
import sys

import pytest

from convert.cli.app import COMMANDS


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


def test_the_list_of_commands_has_the_words_of_each():
    for name, words in COMMANDS.items():
        command = getattr(importlib.import_module(f"convert.cli.{name}"), name)
        assert command.__doc__ == words


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


def in_a_shell(command, **environment):
    """Run commands of a shell in which ``combweave`` stands for the program."""
    return subprocess.run(
        f'combweave() {{ exec {sys.executable} -m convert "$@"; }}; {command}',
        shell=True,
        capture_output=True,
        check=False,
        env={**os.environ, "NO_COLOR": "1", **environment},
    )


@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&- <&-"])
def test_closed_streams_are_no_fault(closed):
    run = in_a_shell(f"combweave palette {closed}")
    assert (run.returncode, run.stderr) == (0, b"")


@pytest.mark.parametrize("command", ["match red", "match red --json", "panel --help"])
def test_no_room_for_standard_output_is_told_in_one_line(command, tmp_path):
    run = in_a_shell(f"ulimit -f 0; combweave {command} > {tmp_path}/shown")
    assert run.returncode == 1
    assert run.stderr == b"Error: cannot write what is to be shown: File too large\n"


@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
def test_names_that_the_terminal_cannot_show_are_written_as_escapes(encoding, tmp_path):
    palette = tmp_path / "p.csv"
    palette.write_text(
        "code,name,hex\nA,\u0447\u0430\u0439\u043a\u0430,#102030\nB,w,#FFFFFF\n", encoding="utf-8"
    )
    told = in_a_shell(f"combweave palette {palette}", PYTHONIOENCODING=encoding)
    assert (told.returncode, told.stderr) == (0, b"")
    assert rb"\u0447" in told.stdout
    plain = in_a_shell(f"combweave match '#102030' --palette {palette} --json", PYTHONIOENCODING=encoding)
    assert json.loads(plain.stdout)["colours"][0]["beads"][0]["name"] == "\u0447\u0430\u0439\u043a\u0430"
