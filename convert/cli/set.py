"""``combweave set``: several pieces that share one choice of colours, one shopping list and one booklet."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from convert.cli import options as opt
from convert.cli.groups import takes_groups
from convert.settings.colour import ColourSettings, ViewSettings
from convert.settings.declaring import Settings, declared
from convert.settings.kits import ClassSettings
from convert.settings.money import MoneySettings
from convert.settings.output import BookletSettings

if TYPE_CHECKING:
    from convert.cli.set_file import SetFile
    from convert.sets import MadeSet, SetPiece

_STAGES = 5


def _read(context: typer.Context, parameter: typer.CallbackParam, source: str | None) -> Any:
    """Read the file before all options, so that it can set those that are not given."""
    from convert.cli.set_file import read_set_file, shared_defaults

    if source is None:
        return None
    file = read_set_file(source)
    context.default_map = {**(context.default_map or {}), **shared_defaults(file, context)}
    return file


SetArgument = Annotated[
    str,
    typer.Argument(
        help="TOML file with the pieces, see the README; - reads it from standard input.",
        metavar="FILE",
        callback=_read,
        is_eager=True,
        show_default=False,
    ),
]


@takes_groups
def set(
    file: SetArgument,
    colours: ColourSettings,
    view: ViewSettings,
    money: MoneySettings,
    students: ClassSettings,
    source: opt.PaletteSource,
    booklet: BookletSettings,
    folder: opt.FolderSettings,
    telling: opt.Telling,
) -> None:
    """Make several pieces that share one choice of colours, one shopping list and one booklet."""
    from convert.cli.inputs import checked_target, load_palette, stem
    from convert.cli.report import print_json, print_summary, progress_shown
    from convert.errors import printable
    from convert.sets import check_names, make_set, processes_of, set_summary, write_set
    from convert.writing.outputs import piece_files
    from convert.writing.set_outputs import FILES

    told: Any = file
    target = folder.out or Path(f"{stem(told.name)}-set")
    check_names(list(told.pieces))
    of_pieces = [f"{piece}/{name}" for piece in told.pieces for name in piece_files(mirror_pair=True)]
    checked_target(target, (*FILES, *of_pieces), folder, *told.inputs(), source.palette)
    booklet.check_class(students.students)
    palette, notes = load_palette(source.palette, source.sheet)
    shared = _values(colours, view, money, students, source, booklet)
    with progress_shown(_STAGES + 2 * len(told.pieces), quiet=telling.quiet) as progress:
        progress("Opening the pictures")
        pieces = [_piece(told, name, shared) for name in told.pieces]
        made = make_set(told.title, pieces, palette, progress=progress)
        write_set(made, target, booklet, force=folder.force, progress=progress, processes=processes_of(made))
    _print(made, booklet, printable(target), notes, print_summary, quiet=telling.quiet)
    if telling.as_json:
        figures = set_summary(made)
        print_json({**figures, "notes": [*notes, *figures["notes"]]})


def _values(*groups: Settings) -> dict[str, Any]:
    """Return what options of groups are set to, by their names in files."""
    found = {}
    for group in groups:
        for field, (known, _, _) in declared(type(group)).items():
            value = getattr(group, field)
            found[known.name] = list(value) if isinstance(value, tuple) else value
    return found


def _piece(file: "SetFile", name: str, shared: dict[str, Any]) -> "SetPiece":
    from convert.cli.inputs import load_picture
    from convert.cli.motif import motif
    from convert.cli.panel import panel
    from convert.cli.set_file import piece_parameters
    from convert.errors import ConvertError
    from convert.sets import SetPiece

    kind, parameters = piece_parameters(file, name, shared)
    command: Any = panel if kind == "panel" else motif
    try:
        given = command.put_together(parameters)
        source = given["picture"]
        picture = None if source is None else load_picture(source, given["limit"].max_megapixels)
        shape = None if kind == "panel" else given["shape"].chosen()
        return SetPiece(name, given["options"], picture, shape, given["colours"].chosen())
    except ConvertError as error:
        raise type(error)(f"{file.name}, [piece.{name}]: {error}", error.hint) from error


def _print(
    made: "MadeSet", booklet: BookletSettings, target: str, notes: Any, print_summary: Any, *, quiet: bool
) -> None:
    from convert.sets import piece_notes
    from convert.writing.set_summary import set_facts

    kit = made.collection.kit(booklet.labour, booklet.margin)
    facts = set_facts(made.collection, kit, made.colours_gap, made.colours_reason)
    of_pieces = tuple(f"{name}: {note}" for name, note in piece_notes(made))
    print_summary({**facts, "Outputs": target}, (*notes, *made.notes, *of_pieces), quiet=quiet)
