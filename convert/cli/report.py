"""What the user sees while and after a command works: progress and the summary, on standard error."""

import json
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import typer

# Quick work needs no bar.
PROGRESS_AFTER_SECONDS = 1.0


def _console() -> Any:
    from rich.console import Console

    return Console(stderr=True)


@contextmanager
def progress_shown(stages: int, *, quiet: bool) -> Iterator[Callable[[str], None]]:
    """Show a bar for work over a second, on a terminal only.

    Parameters
    ----------
    stages : int
        How many stages will be named.
    quiet : bool
        Show nothing.

    Yields
    ------
    callable
        To be told the name of each stage as it begins.
    """
    if quiet or not sys.stderr.isatty():
        yield lambda stage: None
        return
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    bar = Progress(
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        TimeElapsedColumn(),
        console=_console(),
        transient=True,
    )
    task = bar.add_task("Starting", total=stages)
    timer = threading.Timer(PROGRESS_AFTER_SECONDS, bar.start)
    timer.daemon = True
    timer.start()

    def advance(stage: str) -> None:
        bar.update(task, description=stage, advance=1)

    try:
        yield advance
    finally:
        timer.cancel()
        timer.join()
        bar.stop()


def print_summary(facts: dict[str, str], notes: tuple[str, ...], *, quiet: bool) -> None:
    """Print a table of facts and the notes below it.

    Parameters
    ----------
    facts : dict of str to str
        Rows of the table: what, and how much.
    notes : tuple of str
        What the user should know; shown even when quiet.
    quiet : bool
        Leave out the table.
    """
    from rich import box
    from rich.table import Table
    from rich.text import Text

    console = _console()
    if not quiet:
        table = Table(box=box.SIMPLE, show_header=False, pad_edge=False)
        table.add_column(style="bold")
        table.add_column(overflow="fold")
        for what, much in facts.items():
            table.add_row(Text(what), Text(much))
        console.print(table)
    for note in notes:
        console.print(Text(f"Note: {note}"))


def print_json(value: dict[str, Any]) -> None:
    """Print one JSON object on standard output, in ASCII where that is no stream of Unicode."""
    narrow = not (sys.stdout.encoding or "").lower().startswith("utf")
    typer.echo(json.dumps(value, ensure_ascii=narrow, indent=1, sort_keys=False))
