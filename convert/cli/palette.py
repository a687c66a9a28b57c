"""``combweave palette``: checks a palette file and describes it."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from convert.cli import options as opt
from convert.cli.groups import takes_groups
from convert.settings.declaring import OUTPUT, Settings, option

if TYPE_CHECKING:
    from convert.palette.assortment import Alike, Assortment
    from convert.palette.model import Palette

PAIRS_TOLD = 8

PaletteFile = Annotated[
    str | None,
    typer.Argument(
        help="Palette CSV; - reads standard input; without it the one that ships.",
        metavar="FILE",
        show_default=False,
    ),
]


@dataclass(frozen=True, kw_only=True)
class ChartSettings(Settings):
    """Whether a picture of the palette is wanted."""

    chart: Path | None = option(None, "--chart", "Draw every colour as a bead.", OUTPUT, metavar="FILE.png")


@takes_groups
def palette(
    drawing: ChartSettings,
    replacing: opt.ForceSettings,
    telling: opt.JsonSettings,
    file: PaletteFile = None,
) -> None:
    """Check a palette file and describe it: sizes, stock, colours hard to tell apart, gaps in the range."""
    from convert.cli.inputs import load_palette
    from convert.cli.report import print_json, print_summary
    from convert.palette.assortment import describe
    from convert.weave.beads import named_sizes

    colours, notes = load_palette(file)
    found = describe(colours, {name: size.beads_per_gram for name, size in named_sizes().items()})
    if drawing.chart is not None:
        from convert.drawing.swatches import draw_swatches
        from convert.writing.output_folder import write_file

        write_file(drawing.chart, draw_swatches(colours), force=replacing.force)
    if telling.as_json:
        print_json({**_plain(found, colours), "notes": list(notes)})
        return
    _print_tables(found, colours)
    print_summary({}, notes, quiet=True)


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

    console = Console(highlight=False)

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
