"""``combweave panel``: the main job, from a picture or a rule to a folder with everything to weave it."""

from pathlib import Path
from typing import Annotated

import typer

from convert.cli import options as opt
from convert.cli.choices import RuleChoice
from convert.cli.groups import takes_groups
from convert.errors import UsageError
from convert.making.options import PanelOptions
from convert.settings.output import BookletSettings
from convert.settings.picture import PictureLimit

STAGES = 10

PictureOrRule = Annotated[
    str | None,
    typer.Argument(
        help="Picture file; - reads it from standard input. In its place --rule may say the colours.",
        metavar="PICTURE",
        show_default=False,
    ),
]


@takes_groups
def panel(
    options: PanelOptions,
    colours: RuleChoice,
    source: opt.PaletteSource,
    limit: PictureLimit,
    booklet: BookletSettings,
    folder: opt.FolderSettings,
    telling: opt.Telling,
    picture: PictureOrRule = None,
) -> None:
    """Turn a picture or a rule into a panel: chart, bead list, order and pattern file in one folder."""
    from convert.cli.delivery import tell_piece
    from convert.cli.inputs import checked_target, load_palette, load_picture, stem
    from convert.cli.report import progress_shown
    from convert.front_door import make_panel, write_outputs
    from convert.writing.folder_names import folder_name
    from convert.writing.outputs import PIECE_FILES

    rule = colours.chosen()
    if picture is None and rule is None:
        raise UsageError("a panel needs a picture", "name one, or give --rule with --width and --height")
    name = rule.title.lower() if picture is None else stem(picture)
    named = folder_name(options.title) if options.title else f"{name}-panel"
    target = folder.out or Path(named)
    checked_target(target, PIECE_FILES, folder, picture, source.palette, options.mask)
    booklet.check_class(options.students)
    palette, notes = load_palette(source.palette, source.sheet)
    with progress_shown(STAGES, quiet=telling.quiet) as progress:
        progress("Opening the picture")
        shown = None if picture is None else load_picture(picture, limit.max_megapixels)
        made = make_panel(shown, palette, options, colours=rule, progress=progress)
        write_outputs(made, target, booklet, force=folder.force, progress=progress)
    tell_piece(made, target, notes, telling)
