"""``combweave match``: the nearest beads for colours, or for the main colours of a picture."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from convert.cli import options as opt
from convert.cli.groups import takes_groups
from convert.settings.declaring import COLOUR, Settings, option
from convert.settings.picture import PictureLimit

if TYPE_CHECKING:
    from convert.palette.matches import Answer, Asked
    from convert.palette.model import Palette

PATCH = "      "

Wanted = Annotated[
    list[str],
    typer.Argument(
        help="Colours (six hexadecimal digits, or CSS names) or picture files; - reads a picture.",
        metavar="COLOUR|PICTURE...",
        show_default=False,
    ),
]


@dataclass(frozen=True, kw_only=True)
class MatchSettings(Settings):
    """What is matched with what."""

    beads: str = option("11/0", "--beads", "Size of bead: 11/0, or DxLxH in mm.", COLOUR, metavar="SIZE")
    count: int = option(3, "--count", "Beads for each colour.", COLOUR, metavar="N", least=1, most=100)
    main: int = option(6, "--main", "Main colours of each picture.", COLOUR, metavar="N", least=1, most=100)


@takes_groups
def match(
    wanted: Wanted,
    source: opt.PaletteSource,
    settings: MatchSettings,
    limit: PictureLimit,
    telling: opt.JsonSettings,
) -> None:
    """Find the nearest beads of a palette, what is on hand, and better ones that are not."""
    from convert.cli.inputs import load_palette
    from convert.cli.report import print_json, print_summary
    from convert.palette.matches import advice, answers, answers_json
    from convert.weave.beads import bead_size

    size = bead_size(settings.beads)
    colours, notes = load_palette(source.palette, source.sheet)
    asked = [one for text in wanted for one in _asked(text, settings.main, limit.max_megapixels)]
    found = answers(asked, colours, size, settings.count)
    far = tuple(advice(answer, colours) for answer in found if answer.out_of_reach)
    if telling.as_json:
        print_json({**answers_json(found, colours, size), "notes": [*notes, *far]})
        return
    _print_table(found, colours)
    print_summary({}, (*notes, *far), quiet=True)


def _asked(text: str, main: int, max_megapixels: float | None) -> list["Asked"]:
    """Return the colour a text names, or the main colours of the picture it names."""
    from convert.cli.inputs import STANDARD_INPUT, load_picture
    from convert.palette.matches import asked_by_name, asked_of_picture, is_colour

    if not is_colour(text) and (text == STANDARD_INPUT or Path(text).suffix or _exists(text)):
        return asked_of_picture(load_picture(text, max_megapixels), main)
    return [asked_by_name(text)]


def _exists(text: str) -> bool:
    try:
        return Path(text).exists()
    except OSError:  # no name a file can have
        return False


def _print_table(found: list["Answer"], palette: "Palette") -> None:
    """Print the answers on standard output, with patches of colour where the terminal has colours."""
    import sys

    from rich import box
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from convert.palette.matches import nearness

    console = Console(file=sys.stdout)
    in_colour = console.is_terminal and console.color_system is not None and not console.no_color

    def patch(colour: str) -> list[Any]:
        return [Text(PATCH, style=f"on {colour}")] if in_colour else []

    table = Table(box=box.SIMPLE, pad_edge=False)
    with_stock = any(offer.on_hand is not None for answer in found for offer in answer.offers)
    for heading in ("Wanted", "", "Bead", "") if in_colour else ("Wanted", "Bead"):
        table.add_column(heading, overflow="fold")
    table.add_column("Name", overflow="fold")
    table.add_column("Off", justify="right")
    table.add_column("")
    if with_stock:
        table.add_column("On hand", justify="right")
    for answer in found:
        asked = answer.asked
        share = "" if asked.share is None else f", {asked.share:.0%}"
        called = asked.hex if asked.name.lstrip("#").upper() == asked.hex[1:] else f"{asked.name} {asked.hex}"
        label: list[Any] = [Text(called + share), *patch(asked.hex)]
        for place, offer in enumerate(answer.offers):
            bead = palette.entries[offer.entry]
            row = [
                *(label if place == 0 else [Text("")] * len(label)),
                Text(bead.code),
                *patch(bead.hex),
                Text(bead.name),
                Text(f"{offer.difference:.1f}"),
                Text(nearness(offer.difference)),
            ]
            if with_stock:
                row.append(Text(_stock(offer.on_hand)))
            table.add_row(*row, end_section=place == len(answer.offers) - 1)
    console.print(table)
    console.print(Text("Off: difference by CIEDE2000; about 1 is just visible."))


def _stock(on_hand: int | None) -> str:
    if on_hand is None:
        return "not known"
    return f"{on_hand:,}" if on_hand else "none"
