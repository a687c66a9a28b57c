"""``combweave palette``: checks a palette file, describes it, draws it, and keeps its stock up to date."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from convert.cli import options as opt
from convert.cli.groups import takes_groups
from convert.settings.declaring import COLOUR, OUTPUT, option
from convert.settings.output import PaperSettings

if TYPE_CHECKING:
    from convert.palette.assortment import Alike, Assortment
    from convert.palette.model import Palette
    from convert.writing.shelf_after import Change

PAIRS_TOLD = 8

PaletteFile = Annotated[
    str | None,
    typer.Argument(
        help="Palette as CSV, .xlsx or .ods; - reads standard input; without it the one that ships.",
        metavar="FILE",
        show_default=False,
    ),
]


@dataclass(frozen=True, kw_only=True)
class ShelfSettings(opt.SheetSource):
    """What is drawn or written of a palette."""

    use: tuple[str, ...] = option(
        (),
        "--use",
        "Write the shelf after this piece, a folder of outputs or its pattern.json. May be given again.",
        COLOUR,
        metavar="PIECE",
    )
    buy: tuple[str, ...] = option(
        (),
        "--buy",
        "Add the packs that the list of this piece says to buy. May be given again.",
        COLOUR,
        metavar="PIECE",
    )
    out: Path | None = option(
        None,
        "--out",
        "Draw a sheet to hang by the shelf, .pdf or .png; with --use or --buy the new table, .csv.",
        OUTPUT,
        metavar="FILE",
    )


@takes_groups
def palette(
    shelf: ShelfSettings,
    printing: PaperSettings,
    replacing: opt.ForceSettings,
    telling: opt.JsonSettings,
    file: PaletteFile = None,
) -> None:
    """Check a palette and describe it, draw a sheet of it, or write what a piece leaves of it."""
    from convert.cli.inputs import checked_files, load_palette
    from convert.cli.report import print_json, print_summary
    from convert.palette.assortment import describe
    from convert.weave.beads import named_sizes

    if shelf.use or shelf.buy:
        _write_after(file, shelf, replacing, as_json=telling.as_json)
        return
    if shelf.out is not None:
        checked_files([shelf.out], replacing, file)
    colours, notes = load_palette(file, shelf.sheet)
    found = describe(colours, {name: size.beads_per_gram for name, size in named_sizes().items()})
    if shelf.out is not None:
        _draw_sheet(colours, shelf.out, printing.paper, force=replacing.force)
    if telling.as_json:
        print_json({**_plain(found, colours), "notes": list(notes)})
        return
    _print_tables(found, colours)
    print_summary({}, notes, quiet=True)


def _draw_sheet(palette: "Palette", out: Path, paper: str, *, force: bool) -> None:
    from convert.drawing.shelf_sheet import draw_shelf_pdf, draw_shelf_png
    from convert.errors import OutputError, printable
    from convert.units import PAPERS
    from convert.writing.output_folder import write_file

    kind = out.suffix.lower()
    if kind not in (".pdf", ".png"):
        raise OutputError(f"the sheet is a .pdf or a .png, not {printable(out)}", "end the name so")
    sheet = draw_shelf_pdf(palette, PAPERS[paper]) if kind == ".pdf" else draw_shelf_png(palette)
    write_file(out, sheet, force=force)


def _write_after(
    file: str | None, settings: ShelfSettings, replacing: opt.ForceSettings, *, as_json: bool
) -> None:
    """Write the table of a shelf after pieces were woven and beads bought for them."""
    from convert.cli.inputs import STANDARD_INPUT, checked_files, load_piece, load_shelf, pattern_of, stem
    from convert.cli.report import print_json, print_summary
    from convert.errors import OutputError, PaletteError, printable
    from convert.writing.output_folder import write_file
    from convert.writing.shelf_after import shelf_after, stock_changes, unknown_note

    if file is None:
        raise PaletteError(
            "--use and --buy need your own shelf", "name its file: combweave palette SHELF.csv"
        )
    target = settings.out or Path(f"{'shelf' if file == STANDARD_INPUT else stem(file)}-after.csv")
    if target.suffix.lower() != ".csv":
        raise OutputError(f"the shelf is written as .csv, not {printable(target)}", "end the name so")
    # The shelf itself may be brought up to date by --force.
    checked_files([target], replacing, *map(pattern_of, (*settings.use, *settings.buy)))
    shelf, data = load_shelf(file, settings.sheet)
    used, bought = ([load_piece(piece) for piece in named] for named in (settings.use, settings.buy))
    changes = stock_changes(shelf, used, bought)
    write_file(target, shelf_after(shelf, data, changes), force=replacing.force)
    notes = (*shelf.notes, *unknown_note(shelf, changes))
    if as_json:
        told = [_change_json(change) for change in changes]
        print_json({"shelf": printable(target), "changes": told, "notes": list(notes)})
        return
    _print_changes(changes, printable(target))
    print_summary({}, notes, quiet=True)


def _change_json(change: "Change") -> dict[str, object]:
    return {
        "code": change.colour.code,
        "name": change.colour.name,
        "size": change.size.name,
        "used": sum(change.used.values()),
        "bought_g": round(change.bought_g, 2),
        "left": (change.left_g if change.in_grams else change.left_beads) if change.known else None,
        "unit": "g" if change.in_grams else "beads",
    }


def _print_changes(changes: "list[Change]", target: str) -> None:
    from rich import box
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    console = Console()
    table = Table(box=box.SIMPLE, pad_edge=False)
    for heading in ("Bead", "Size", "Bought", "Used", "Left"):
        table.add_column(heading, justify="left" if heading in ("Bead", "Size") else "right", overflow="fold")
    for change in changes:
        left = f"{change.left_g:,.2f} g" if change.in_grams else f"{change.left_beads:,} beads"
        table.add_row(
            Text(f"{change.colour.code} {change.colour.name}".strip()),
            Text(change.size.name),
            f"{change.bought_g:,.4g} g" if change.bought_g else "",
            f"{sum(change.used.values()):,} beads" if change.used else "",
            left if change.known else "not said",
        )
    console.print(table)
    console.print(Text(f"The shelf after it: {target}"))


def _plain(found: "Assortment", palette: "Palette") -> dict[str, object]:
    def pairs(alike: "tuple[Alike, ...]") -> list[dict[str, object]]:
        return [
            {
                "codes": [palette.entries[pair.first].code, palette.entries[pair.second].code],
                "difference": round(pair.difference, 3),
            }
            for pair in alike
        ]

    return {
        "name": palette.name,
        "colours": len({entry.code for entry in palette.entries}),
        "sizes": [
            {"size": row.size, "colours": row.colours, "on_hand": row.beads, "out_of_stock": row.out_of_stock}
            for row in found.stock
        ],
        "alike": pairs(found.alike),
        "alike_with": {name: pairs(alike) for name, alike in found.alike_with.items()},
        "gaps": [
            {
                "hex": gap.hex,
                "nearest": palette.entries[gap.nearest].code,
                "difference": round(gap.difference, 2),
            }
            for gap in found.gaps
        ],
    }


def _print_tables(found: "Assortment", palette: "Palette") -> None:
    from rich import box
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    console = Console()

    def named(index: int) -> str:
        entry = palette.entries[index]
        return f"{entry.code} {entry.name}".strip()

    def say(text: str) -> None:
        console.print(Text(text))

    say(f"Palette {palette.name}: {len({entry.code for entry in palette.entries})} colours")
    table = Table(box=box.SIMPLE, pad_edge=False)
    for heading in ("Size", "Colours", "Beads on hand", "Out of stock"):
        table.add_column(heading, justify="left" if heading == "Size" else "right")
    for row in found.stock:
        beads = "not said" if row.beads is None else f"{row.beads:,}"
        table.add_row(Text(row.size or "every size"), str(row.colours), beads, str(row.out_of_stock))
    console.print(table)

    def say_pairs(alike: "tuple[Alike, ...]", who: str) -> None:
        if not alike:
            say(f"{who}: every two colours can be told apart.")
            return
        say(f"{who}: {len(alike)} pair{'s' * (len(alike) > 1)} hard to tell apart (difference below 2).")
        for pair in alike[:PAIRS_TOLD]:
            say(f"  {named(pair.first)} and {named(pair.second)}: {pair.difference:.1f}")
        if len(alike) > PAIRS_TOLD:
            say(f"  and {len(alike) - PAIRS_TOLD} more")

    say_pairs(found.alike, "For everybody")
    for name, alike in found.alike_with.items():
        say_pairs(alike, f"With {name}, besides")
    say("Largest gaps in the range of colours a screen can show:")
    for gap in found.gaps:
        say(f"  {gap.hex}: the nearest is {named(gap.nearest)}, {gap.difference:.1f} off")
