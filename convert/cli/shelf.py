"""``combweave shelf``: a palette from a photograph of beads, and the card to lay beside them."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from convert.cli import options as opt
from convert.cli.groups import takes_groups
from convert.settings.declaring import COLOUR, OUTPUT, PICTURE, SIZE, Settings, option
from convert.settings.output import PaperSettings
from convert.settings.picture import PictureLimit

if TYPE_CHECKING:
    from convert.palette.model import BeadColour
    from convert.shelf.shelf import Shelf, ShelfOptions

_STAGES = 4
_ENDINGS = (".csv", ".png", ".pdf")

Photograph = Annotated[
    str | None,
    typer.Argument(
        help="Photograph of heaps of beads on plain white paper; - reads it from standard input.",
        metavar="PHOTO",
        show_default=False,
    ),
]


@dataclass(frozen=True, kw_only=True)
class ShelfSettings(Settings):
    """What lies on the paper, and by what it is read."""

    card: bool = option(
        False,
        "--card",
        "Print the card instead: patches of known colour, a ruler, a place for beads.",
        OUTPUT,
    )
    size: str | None = option(
        None,
        "--size",
        "Size of all these beads, such as 11/0; without it they count as every size.",
        SIZE,
        metavar="SIZE",
    )
    grid: str | None = option(
        None,
        "--grid",
        "How the heaps lie: 5x8 is five rows of eight. Empty places are told.",
        PICTURE,
        metavar="ROWSxCOLUMNS",
    )
    names: Path | None = option(
        None,
        "--names",
        "Your names in reading order: a name a line, or a row a line with commas.",
        COLOUR,
        metavar="FILE",
    )
    add: str | None = option(
        None,
        "--add",
        "A shelf to extend: its colours come first, and near doubles are told.",
        COLOUR,
        metavar="SHELF.csv",
    )
    light: Literal["auto", "card", "grey", "paper"] = option(
        "auto",
        "--light",
        "By what the cast of the light is taken out; auto: the card if it is in view and fits, else the"
        " white of the paper.",
        COLOUR,
    )
    card_values: Path | None = option(
        None,
        "--card-values",
        "What the patches of your print were measured to be: code, and lab or lab_d50.",
        COLOUR,
        metavar="FILE.csv",
    )
    out: Path | None = option(
        None,
        "--out",
        "Name of the outputs, without ending; NAME-shelf of the photograph if not given.",
        OUTPUT,
        metavar="NAME",
    )


@takes_groups
def shelf(
    settings: ShelfSettings,
    printing: PaperSettings,
    limit: PictureLimit,
    replacing: opt.ForceSettings,
    telling: opt.Telling,
    photo: Photograph = None,
) -> None:
    """Make a palette from a photograph of your beads, laid out in heaps on plain white paper."""
    from convert.cli.inputs import checked_files, load_picture, stem
    from convert.cli.report import print_json, print_summary, progress_shown
    from convert.drawing.shelf_photograph import draw_shelf
    from convert.errors import PictureError
    from convert.shelf.photograph import photograph_of
    from convert.shelf.shelf import read_shelf
    from convert.writing.output_folder import write_files
    from convert.writing.shelf_csv import shelf_csv, shelf_json

    quiet, force = telling.quiet, replacing.force
    if settings.card:
        if photo is not None:
            raise PictureError("--card prints the card and reads no photograph", "give one or the other")
        _write_card(
            _target(settings.out, f"shelf-card-{printing.paper}"), printing.paper, force=force, quiet=quiet
        )
        return
    if photo is None:
        raise PictureError("no photograph is given", "name one, or print the card: combweave shelf --card")
    target = _target(settings.out, f"{stem(photo)}-shelf")
    table, sheet = (target.with_name(target.name + ending) for ending in (".csv", ".png"))
    read = photo, settings.add, settings.names, settings.card_values
    checked_files((table, sheet), replacing, *read)
    former, spreads, notes = _former(settings.add)
    options = _options(settings, former)
    with progress_shown(_STAGES, quiet=quiet) as progress:
        progress("Opening the photograph")
        # The picture itself is let go: a large one takes more memory than all that follows.
        photograph = photograph_of(load_picture(photo, limit.max_megapixels))
        progress("Looking for heaps")
        found = read_shelf(photograph, options)
        progress("Drawing the sheet")
        drawn = draw_shelf(found)
        progress("Writing")
        lines = shelf_csv((*former, *found.entries), (*spreads, *found.spreads))
        write_files({sheet: drawn, table: lines.encode()}, force=force)
    told = (*notes, *found.notes)
    print_summary(_facts(found, table, sheet, len(former)), told, quiet=quiet)
    if telling.as_json:
        print_json({**shelf_json(found), "notes": list(told)})


def _former(add: str | None) -> "tuple[tuple[BeadColour, ...], list[float | None], tuple[str, ...]]":
    """Return the colours of the shelf to be extended, how much each varies, and notes on it."""
    from convert.cli.inputs import STANDARD_INPUT, load_palette
    from convert.writing.shelf_csv import former_spreads

    if add is None:
        return (), [], ()
    old, notes = load_palette(add)
    known = {} if add == STANDARD_INPUT else former_spreads(Path(add))
    return old.entries, [known.get((entry.code, entry.size)) for entry in old.entries], notes


def _options(settings: ShelfSettings, former: "tuple[BeadColour, ...]") -> "ShelfOptions":
    from convert.palette.palette_file import read_palette
    from convert.shelf.naming import read_names
    from convert.shelf.rows import grid_named
    from convert.shelf.shelf import ShelfOptions
    from convert.weave.beads import bead_size

    card_values, names, size, grid = settings.card_values, settings.names, settings.size, settings.grid
    return ShelfOptions(
        light=settings.light,
        card_values=None if card_values is None else read_palette(card_values)[0],
        grid=None if grid is None else grid_named(grid),
        names=None if names is None else read_names(names),
        names_source="" if names is None else _shown(names),
        size=None if size is None else bead_size(size).name,
        former=former,
    )


def _shown(path: Path) -> str:
    from convert.errors import printable

    return printable(path)


def _target(out: Path | None, name: str) -> Path:
    """Return the name of the outputs without an ending that they have anyway."""
    if out is None:
        return Path(name)
    return out.with_suffix("") if out.suffix.lower() in _ENDINGS else out


def _write_card(target: Path, paper: str, *, force: bool, quiet: bool) -> None:
    from convert.cli.report import print_summary
    from convert.drawing.colour_card import write_card
    from convert.units import PAPERS
    from convert.writing.output_folder import write_files
    from convert.writing.shelf_csv import card_csv

    card, table = (target.with_name(target.name + ending) for ending in (".pdf", ".csv"))
    write_files({card: write_card(PAPERS[paper]), table: card_csv().encode()}, force=force)
    facts = {
        "Card": f"{_shown(card)}, to print at 100% (actual size)",
        "Values": f"{_shown(table)}, to write measured ones into, for --card-values",
    }
    note = (
        "A home printer misses the values. As long as no measured ones are given, the patches are used only"
        " where they fit the values together, else the white of the paper is."
    )
    print_summary(facts, (note,), quiet=quiet)


def _facts(found: "Shelf", table: Path, sheet: Path, former: int) -> dict[str, str]:
    count = len(found.entries)
    widest = max(range(count), key=found.spreads.__getitem__)
    basis = {"paper": "by the white of the paper", "grey": "by the grey card", "card": "by the card"}
    return {
        "Colours": f"{count} in rows of {', '.join(map(str, found.rows))}",
        "Light": basis[found.correction.basis],
        "Spread": f"±{sorted(found.spreads)[count // 2]:.1f} in the middle, most in"
        f" {found.entries[widest].code}: ±{found.spreads[widest]:.1f}",
        "Palette": _shown(table) + (f", {former} of before and {count} new" if former else ""),
        "To check": _shown(sheet),
        "Use it": f"combweave panel PICTURE --palette {_shown(table)}",
    }
