"""``combweave motif``: a flower, a strip to a wrist or a rectangle, plain or coloured by a picture."""

from pathlib import Path
from typing import Annotated

import typer

from convert.cli import options as opt
from convert.cli.choices import ShapeChoice, SourceChoice, kind_of
from convert.cli.groups import takes_groups
from convert.making.options import MotifOptions
from convert.settings.output import BookletSettings
from convert.settings.picture import PictureLimit

STAGES = 10

OptionalPicture = Annotated[
    str | None,
    typer.Argument(
        help="Picture to colour the piece by; - reads it from standard input. Without one it is plain.",
        metavar="PICTURE",
        show_default=False,
    ),
]


@takes_groups
def motif(
    shape: ShapeChoice,
    colours: SourceChoice,
    options: MotifOptions,
    source: opt.PaletteSource,
    limit: PictureLimit,
    booklet: BookletSettings,
    folder: opt.FolderSettings,
    telling: opt.Telling,
    picture: OptionalPicture = None,
) -> None:
    """Weave a shape of its own: flower, cup, ruffle, a strip that closes round a wrist, a rectangle."""
    from convert.cli.delivery import tell_piece
    from convert.cli.inputs import checked_target, load_palette, load_picture
    from convert.cli.report import progress_shown
    from convert.front_door import make_motif, write_outputs
    from convert.writing.folder_names import folder_name
    from convert.writing.outputs import piece_files

    chosen, painted = shape.chosen(), colours.chosen()
    named = folder_name(options.title) if options.title else f"{kind_of(chosen)}-motif"
    target = folder.out or Path(named)
    names = piece_files(mirror_pair=options.mirror_pair)
    read = picture, source.palette, options.mask, getattr(chosen, "outline", None)
    checked_target(target, names, folder, *read)
    booklet.check_class(options.students)
    palette, notes = load_palette(source.palette, source.sheet)
    with progress_shown(STAGES, quiet=telling.quiet) as progress:
        progress("Opening the picture")
        shown = None if picture is None else load_picture(picture, limit.max_megapixels)
        made = make_motif(chosen, palette, options, picture=shown, colours=painted, progress=progress)
        write_outputs(made, target, booklet, force=folder.force, progress=progress)
    tell_piece(made, target, notes, telling)
