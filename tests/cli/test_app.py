import importlib
import json
import os
import subprocess
import sys

import pytest
import typer

from convert.cli.app import COMMANDS, app_of
from convert.errors import ConvertError


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


@pytest.mark.parametrize("words", [["match", "red"], ["match", "red", "--json"], ["panel", "--help"]])
def test_nobody_is_told_that_nobody_reads(words):
    """Nor by Python itself, when it closes the stream in the end."""
    reads, writes = os.pipe()
    os.close(reads)
    command = [sys.executable, "-m", "convert", *words]
    run = subprocess.run(command, stdout=writes, stderr=subprocess.PIPE, check=False)
    os.close(writes)
    assert run.stderr == b""
    assert run.returncode in (0, 1)


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


def test_only_the_command_that_is_asked_for_is_put_together():
    def options(app):
        return {name: len(command.params) for name, command in typer.main.get_command(app).commands.items()}

    every, one, none = options(app_of()), options(app_of("gauge")), options(app_of(""))
    assert list(every) == list(one) == list(COMMANDS)
    assert min(every.values()) > 2
    assert {name for name, count in one.items() if count} == {"gauge"}
    assert one["gauge"] == every["gauge"]
    assert set(none.values()) == {0}


@pytest.mark.parametrize("asked", ["-h", "--help"])
def test_help_is_asked_for_by_both_flags(combweave, asked):
    assert "Exit codes" in combweave(asked).out
    assert "Usage" in combweave("gauge", asked).out


def test_without_a_command_help_is_shown(combweave):
    run = combweave()
    assert "Exit codes" in run.out + run.err
    assert run.code == 2


def raising(fault):
    def app(wanted):
        def run():
            raise fault

        return run

    return app


@pytest.mark.parametrize(
    ("fault", "code", "said"),
    [
        (ConvertError("too\nlong", "make it\tshort"), 1, "Error: too long\nHint: make it\tshort\n"),
        (ConvertError("too long"), 1, "Error: too long\n"),
        (BrokenPipeError(), 1, ""),
        (MemoryError(), 1, "Error: there is not enough memory for this; choose a smaller picture or size.\n"),
        (OSError(28, "No space"), 1, "Error: cannot write what is to be shown: No space\n"),
        (OSError("odd"), 1, "Error: cannot write what is to be shown: odd\n"),
        (SystemExit(), 0, ""),
        (SystemExit(3), 3, ""),
        (SystemExit("odd"), 1, ""),
    ],
    ids=repr,
)
def test_faults_have_a_line_and_a_code(combweave, monkeypatch, fault, code, said):
    monkeypatch.setattr("convert.cli.app.app_of", raising(fault))
    run = combweave("gauge")
    assert (run.code, run.out, run.err) == (code, "", said)


def test_the_command_is_the_first_word_that_is_no_option(combweave, monkeypatch):
    asked = []

    def app(wanted):
        asked.append(wanted)
        return lambda: None

    monkeypatch.setattr("convert.cli.app.app_of", app)
    combweave("--verbose", "gauge", "match")
    combweave()
    monkeypatch.setenv("_COMBWEAVE_COMPLETE", "complete_bash")
    combweave("gauge")
    assert asked == ["gauge", "", None]


def test_verbose_tells_where_it_went_wrong(tmp_path):
    quiet, verbose = (in_a_shell(f"combweave match robbin {words}") for words in ("", "--verbose"))
    assert b"Traceback" not in quiet.stderr
    assert b"Traceback" in verbose.stderr
    assert verbose.stderr.endswith(quiet.stderr)
    assert quiet.returncode == verbose.returncode == 1
