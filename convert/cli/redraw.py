"""``combweave redraw``: every output again from a pattern file, changed by hand or as it is asked here."""

from dataclasses import dataclass
from pathlib import Path

from convert.cli import options as opt
from convert.cli.groups import takes_groups
from convert.settings.changes import ChangeOptions
from convert.settings.declaring import CHANGES, OUTPUT, Settings, option
from convert.settings.output import BookletSettings
from convert.settings.weave import BeadLimit

STAGES = 8


@dataclass(frozen=True, kw_only=True)
class ChangeList(Settings):
    """Where more changes stand."""

    changes: Path | None = option(
        None,
        "--changes",
        "CSV file with more beads: a bead and its colour a row, named as for --set.",
        CHANGES,
        metavar="FILE",
    )


@dataclass(frozen=True, kw_only=True)
class AnewSettings(opt.ForceSettings):
    """Where a piece that is made anew goes."""

    out: Path | None = option(
        None,
        "--out",
        "Folder for the outputs. Without it, beside the old one and called after the title, with -2, -3.",
        OUTPUT,
        metavar="DIR",
    )


@takes_groups
def redraw(
    pattern: opt.PatternPath,
    options: ChangeOptions,
    listed: ChangeList,
    limit: BeadLimit,
    booklet: BookletSettings,
    folder: AnewSettings,
    telling: opt.Telling,
) -> None:
    """Change a piece, its beads, loops or title, and make every output again from its pattern file."""
    from convert.cli.delivery import tell_piece
    from convert.cli.inputs import STANDARD_INPUT, checked_target, load_pattern
    from convert.cli.report import progress_shown
    from convert.front_door import change_pattern, read_changes, write_outputs
    from convert.writing.folder_names import folder_beside
    from convert.writing.outputs import PIECE_FILES

    if folder.out is not None:
        checked_target(folder.out, PIECE_FILES, folder, pattern, listed.changes)
    changes = () if listed.changes is None else read_changes(listed.changes)
    with progress_shown(STAGES, quiet=telling.quiet) as progress:
        progress("Reading the pattern")
        made = change_pattern(load_pattern(pattern, limit), options, changes, progress=progress)
        source = None if pattern == STANDARD_INPUT else Path(pattern)
        target = folder.out or folder_beside(source, made.pattern.title)
        write_outputs(made, target, booklet, force=folder.force, progress=progress)
    tell_piece(made, target, (), telling)
