"""The end that all commands share which make a piece: what is told of it."""

from collections.abc import Sequence
from pathlib import Path

from convert.cli.options import Telling
from convert.cli.report import print_json, print_summary
from convert.errors import printable
from convert.front_door import Made, summary
from convert.writing.summary import summary_facts


def tell_piece(made: Made, target: Path, notes: Sequence[str], telling: Telling) -> None:
    """Print the summary of a piece, and as JSON if that is asked for.

    Parameters
    ----------
    made : Made
        The piece.
    target : Path
        Where the outputs are.
    notes : sequence of str
        What the user should know besides.
    telling : Telling
        How much is said.
    """
    facts = summary_facts(
        made.pattern,
        made.thread,
        made.difference,
        made.comparison,
        made.colours_gap,
        made.colours_reason,
        made.before,
    )
    said = (*notes, *made.notes, *made.thread.warnings)
    print_summary({**facts, "Outputs": printable(target)}, said, quiet=telling.quiet)
    if telling.as_json:
        print_json({**summary(made), "notes": list(said)})
