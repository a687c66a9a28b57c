"""``combweave panel``: the main job, from a picture to a folder with everything to weave it."""

from pathlib import Path

from convert.cli import options as opt
from convert.cli.groups import takes_groups
from convert.making.options import PanelOptions
from convert.settings.output import BookletSettings
from convert.settings.picture import PictureLimit

STAGES = 10


@takes_groups
def panel(
    picture: opt.Picture,
    options: PanelOptions,
    source: opt.PaletteSource,
    limit: PictureLimit,
    booklet: BookletSettings,
    folder: opt.FolderSettings,
    telling: opt.Telling,
) -> None:
    """Turn a picture into a panel: chart, bead list, stitch order and pattern file in one folder."""
    from convert.cli.delivery import tell_piece
    from convert.cli.inputs import load_palette, load_picture, stem
    from convert.cli.report import progress_shown
    from convert.front_door import make_panel, write_outputs
    from convert.writing.folder_names import folder_name
    from convert.writing.output_folder import check_target

    named = folder_name(options.title) if options.title else f"{stem(picture)}-panel"
    target = folder.out or Path(named)
    check_target(target, force=folder.force)
    palette, notes = load_palette(source.palette, source.sheet)
    with progress_shown(STAGES, quiet=telling.quiet) as progress:
        progress("Opening the picture")
        made = make_panel(load_picture(picture, limit.max_megapixels), palette, options, progress=progress)
        write_outputs(made, target, booklet, force=folder.force, progress=progress)
    tell_piece(made, target, notes, telling)
