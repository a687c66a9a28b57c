"""``combweave colours``: a panel in more and more colours, to see before buying how many it takes."""

from pathlib import Path
from typing import TYPE_CHECKING

from convert.cli import options as opt
from convert.cli.groups import takes_groups
from convert.making.options import PanelOptions
from convert.settings.output import PaperSettings
from convert.settings.picture import PictureLimit

if TYPE_CHECKING:
    from convert.judging.colour_comparison import ColourComparison

STAGES = 8


@takes_groups
def colours(
    picture: opt.Picture,
    options: PanelOptions,
    source: opt.PaletteSource,
    limit: PictureLimit,
    printed: PaperSettings,
    folder: opt.FolderSettings,
    telling: opt.Telling,
) -> None:
    """Compare numbers of colours before buying: how few and many look, and what they cost."""
    from convert.cli.inputs import checked_target, load_palette, load_picture, stem
    from convert.cli.report import print_json, print_summary, progress_shown
    from convert.comparisons import compare_colours, write_colours
    from convert.errors import printable
    from convert.writing.colour_report import COLOURS_FILES, colours_json

    target = folder.out or Path(f"{stem(picture)}-colours")
    checked_target(target, COLOURS_FILES, folder, picture, source.palette, options.mask)
    palette, notes = load_palette(source.palette)
    with progress_shown(STAGES, quiet=telling.quiet) as progress:
        progress("Opening the picture")
        shown = load_picture(picture, limit.max_megapixels)
        found = compare_colours(shown, palette, options, progress=progress)
        write_colours(found, target, printed.paper, force=folder.force, progress=progress)
    said = (*notes, *found.notes)
    if telling.as_json:
        print_json({**colours_json(found), "notes": list(said)})
    elif not telling.quiet:
        _print_table(found)
    print_summary({"Outputs": printable(target)}, said, quiet=telling.quiet)


def _print_table(found: "ColourComparison") -> None:
    """Print the figures and what to choose on standard output."""
    import sys

    from rich import box
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from convert.writing.colour_report import HEADINGS, MARK, explained, table_rows

    console = Console(file=sys.stdout)
    table = Table(box=box.SIMPLE, pad_edge=False)
    for heading in HEADINGS:
        table.add_column(heading, justify="right")
    for row in table_rows(found):
        table.add_row(*(Text(cell) for cell in row))
    console.print(table)
    console.print(Text(f"{MARK} the number to choose"))
    for words in explained(found):
        console.print(Text(words))
