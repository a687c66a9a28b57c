"""The program ``combweave``: its commands, its exit codes and its one error handler."""

import io
import os
import sys
import traceback
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from typing import Annotated, Any

import typer

from convert import __version__
from convert.cli.concerning import forget, named
from convert.cli.usage import FrameworkUsageError, told_plainly
from convert.errors import ConvertError, RuleError, as_one_line

# Each is the function of that name in the module of that name; the words are those of its docstring.
COMMANDS = {
    "panel": "Turn a picture or a rule into a panel: chart, bead list, order and pattern file in one folder.",
    "motif": "Weave a shape of its own: flower, cup, ruffle, a strip that closes round a wrist, a rectangle.",
    "set": "Make several pieces that share one choice of colours, one shopping list and one booklet.",
    "sizes": "Compare bead sizes before weaving: how large, how long, how dear, and what survives.",
    "colours": "Compare numbers of colours before buying: how few and many look, and what they cost.",
    "redraw": "Change a piece, its beads, loops or title, and make every output again from its pattern file.",
    "check": "Prove a pattern file: beads, loops, thread path, and passes against the holes.",
    "match": "Find the nearest beads of a palette, what is on hand, and better ones that are not.",
    "palette": "Check a palette and describe it, draw a sheet of it, or write what a piece leaves of it.",
    "shelf": "Make a palette from a photograph of your beads, laid out in heaps on plain white paper.",
    "gauge": "Turn a measured swatch into the gauge option, and compare it with what the bead shapes give.",
}


def _print_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"combweave {__version__}")
        raise typer.Exit


def combweave(
    version: Annotated[
        bool,
        typer.Option(
            "--version",
            help="Show the version.",
            callback=_print_version,
            is_eager=True,
            show_envvar=False,
        ),
    ] = False,
) -> None:
    """Turn a picture into a hexagon angle weave: size, beads, chart and the order of every stitch."""


def app_of(wanted: str | None = None) -> typer.Typer:
    """Return the command line, with the options of one command, or of all.

    To put together the options of every command takes as long as the rest of the start.

    Parameters
    ----------
    wanted : str, optional
        The only command that will be asked for anything but its place in the list; without it any may be.
    """
    app = typer.Typer(
        name="combweave",
        no_args_is_help=True,
        pretty_exceptions_enable=False,
        rich_markup_mode="rich",
        context_settings={"help_option_names": ["-h", "--help"], "auto_envvar_prefix": "COMBWEAVE"},
        epilog="Exit codes: 0 done; 1 a fault in what you gave; 2 wrong usage; 130, 143 or 129 interrupted.",
    )
    app.callback()(combweave)
    for name, words in COMMANDS.items():
        known = wanted is None or wanted == name
        command = getattr(import_module(f"convert.cli.{name}"), name) if known else _listed
        app.command(name, help=words)(command)
    return app


def _listed() -> None:
    """Stand for a command that is only listed."""


def main() -> None:
    """Run the command line and leave with its exit code."""
    _mend_streams()
    forget()
    # No option before the command takes a value. The shell that completes a word asks for any.
    words = (word for word in sys.argv[1:] if not word.startswith("-"))
    wanted = None if "_COMBWEAVE_COMPLETE" in os.environ else next(words, "")
    code = 0
    try:
        code = _exit_code(app_of(wanted)(standalone_mode=False))
    except SystemExit as stop:
        code = _exit_code(stop.code)
    except FrameworkUsageError as error:
        code = 2
        if sys.argv[1:]:
            _say(told_plainly(error, wanted, COMMANDS))
        else:
            error.show()
    except ConvertError as error:
        _say(error)
        code = error.exit_code
    except BrokenPipeError:
        code = 1
    except MemoryError:
        sys.stderr.write("Error: there is not enough memory for this; choose a smaller picture or size.\n")
        code = 1
    except OSError as error:
        # Of files and folders all are caught where they are named.
        code = 1
        with suppress(OSError):
            sys.stderr.write(f"Error: cannot write what is to be shown: {error.strerror or error}\n")
    sys.exit(code)


def _mend_streams() -> None:
    """Have something to write to where a stream is closed, and write escapes for what it cannot show."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, Path(os.devnull).open("w", encoding="utf-8"))  # noqa: SIM115
        elif isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _exit_code(code: Any) -> int:
    return code if isinstance(code, int) else 0 if code is None else 1


def _say(error: ConvertError) -> None:
    """Print one line and the hint; the traceback only where --verbose asks for it."""
    if "--verbose" in sys.argv:
        traceback.print_exception(error)
    # Whoever wants all that is told gets it.
    message = named(error) if "--verbose" in sys.argv else as_one_line(named(error))
    sys.stderr.write(f"Error: {message}\n")
    if isinstance(error, RuleError):
        sys.stderr.write(error.pointed)
    sys.stderr.write(f"Hint: {error.hint or error.usual_hint}\n")
