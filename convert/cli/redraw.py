"""``combweave redraw``: every output again from a pattern file that was edited by hand."""

from pathlib import Path

from convert.cli import options as opt
from convert.cli.groups import takes_groups
from convert.settings.output import BookletSettings

STAGES = 5


@takes_groups
def redraw(
    pattern: opt.PatternPath, booklet: BookletSettings, folder: opt.FolderSettings, telling: opt.Telling
) -> None:
    """Rebuild every output from a pattern file, such as one in which you changed a bead's colour."""
    from convert.cli.delivery import tell_piece
    from convert.cli.inputs import load_pattern, stem
    from convert.cli.report import progress_shown
    from convert.front_door import write_outputs
    from convert.writing.output_folder import check_target

    target = folder.out or Path(f"{stem(pattern)}-redrawn")
    check_target(target, force=folder.force)
    with progress_shown(STAGES, quiet=telling.quiet) as progress:
        progress("Reading the pattern")
        made = load_pattern(pattern)
        write_outputs(made, target, booklet, force=folder.force, progress=progress)
    tell_piece(made, target, (), telling)
