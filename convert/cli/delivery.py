"""The end that all commands share which make a piece: its folder of outputs, and what is told of it."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from convert.judging.afar import Comparison
    from convert.piece.pattern import Pattern
    from convert.thread.verifier import ThreadReport


def write_piece(
    pattern: "Pattern",
    report: "ThreadReport",
    target: Path,
    progress: Callable[[str], None],
    *,
    force: bool,
    paper: str,
    ink: str,
    backing: str = "#FFFFFF",
) -> None:
    """Write the outputs of a piece into a new folder, whole or not at all.

    Parameters
    ----------
    pattern, report : Pattern, ThreadReport
        The piece, and the proof of its thread path.
    target : Path
        The folder.
    progress : callable
        Is told the name of each stage as it begins.
    force : bool
        Whether a folder that is there may be replaced.
    paper, ink, backing : str
        As the options of these names.
    """
    from convert.units import PAPERS
    from convert.writing.output_folder import output_folder
    from convert.writing.outputs import write_outputs

    with output_folder(target, force=force) as folder:
        write_outputs(pattern, report, folder, progress, paper=PAPERS[paper], ink=ink, backing=backing)


def tell_piece(
    pattern: "Pattern",
    report: "ThreadReport",
    target: Path,
    notes: Sequence[str],
    *,
    quiet: bool,
    as_json: bool,
    difference: float | None = None,
    comparison: "Comparison | None" = None,
    colours_gap: float | None = None,
) -> None:
    """Print the summary of a piece, and as JSON if that is asked for.

    Parameters
    ----------
    pattern, report, difference, comparison, colours_gap
        As in `convert.writing.summary.summary_facts`.
    target : Path
        Where the outputs are.
    notes : sequence of str
        What the user should know, but for the warnings of the thread path.
    quiet : bool
        Leave out the table.
    as_json : bool
        Whether to print JSON, too.
    """
    from convert.cli.report import print_json, print_summary
    from convert.errors import printable
    from convert.writing.summary import summary_facts, summary_json

    learnt = (pattern, report, difference, comparison, colours_gap)
    told = (*notes, *report.warnings)
    print_summary({**summary_facts(*learnt), "Outputs": printable(target)}, told, quiet=quiet)
    if as_json:
        print_json({**summary_json(*learnt), "notes": list(told)})
