"""The program ``combweave``: its commands, its exit codes and its one error handler."""

import io
import os
import signal
import sys
import traceback
from contextlib import suppress
from pathlib import Path
from types import FrameType
from typing import Annotated, Any

import typer

from convert import __version__
from convert.cli.check import check
from convert.cli.colours import colours
from convert.cli.gauge import gauge
from convert.cli.match import match
from convert.cli.motif import motif
from convert.cli.palette import palette
from convert.cli.panel import panel
from convert.cli.redraw import redraw
from convert.cli.shelf import shelf
from convert.cli.sizes import sizes
from convert.errors import ConvertError

INTERRUPTED = 130

app = typer.Typer(
    name="combweave",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
    context_settings={"help_option_names": ["-h", "--help"], "auto_envvar_prefix": "COMBWEAVE"},
    epilog="Exit codes: 0 done; 1 a fault in what you gave; 2 wrong usage; 130 interrupted.",
)


def _print_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"combweave {__version__}")
        raise typer.Exit


@app.callback()
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


app.command()(panel)
app.command()(motif)
app.command()(sizes)
app.command()(colours)
app.command()(redraw)
app.command()(check)
app.command()(match)
app.command()(palette)
app.command()(shelf)
app.command()(gauge)


def main() -> None:
    """Run the command line and leave with its exit code."""
    _mend_streams()
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, _interrupt)
    code = 0
    try:
        app()
    except SystemExit as stop:
        code = _exit_code(stop.code)
    except ConvertError as error:
        _say(error)
        code = error.exit_code
    except KeyboardInterrupt:
        sys.stderr.write("Interrupted; no output is half written.\n")
        code = INTERRUPTED
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
    try:
        sys.stdout.flush()
    except (BrokenPipeError, ValueError, OSError):
        # Whoever read our output has gone; Python must not complain once more when it closes the stream.
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    if code == INTERRUPTED:
        # Python would still die by the signal where it had come while a module was being made by exec.
        sys.stderr.flush()
        os._exit(code)
    sys.exit(code)


def _mend_streams() -> None:
    """Have something to write to where a stream is closed, and write escapes for what it cannot show."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, Path(os.devnull).open("w", encoding="utf-8"))  # noqa: SIM115
        elif isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _interrupt(number: int, frame: FrameType | None) -> None:
    raise KeyboardInterrupt


def _exit_code(code: Any) -> int:
    return code if isinstance(code, int) else 0 if code is None else 1


def _say(error: ConvertError) -> None:
    """Print one line and the hint; the traceback only where --verbose asks for it."""
    if "--verbose" in sys.argv:
        traceback.print_exception(error)
    message = "".join(letter if letter.isprintable() else " " for letter in str(error))
    sys.stderr.write(f"Error: {message}\n")
    if error.hint:
        sys.stderr.write(f"Hint: {error.hint}\n")
