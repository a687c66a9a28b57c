"""``combweave sizes``: bead sizes side by side, to see before weaving what of the picture will show."""

from pathlib import Path
from typing import TYPE_CHECKING

from convert.cli import options as opt
from convert.cli.groups import takes_groups
from convert.making.options import SizesOptions
from convert.settings.picture import PictureLimit

if TYPE_CHECKING:
    from rich.table import Table

    from convert.judging.size_candidates import SizeComparison

# Of its own besides those that `convert.judging.size_comparison.stages` counts.
_STAGES = 3
# So many sizes side by side fit a terminal of 80 letters, core and connector named.
_MOST_IN_TABLE = 4


@takes_groups
def sizes(
    picture: opt.Picture,
    options: SizesOptions,
    source: opt.PaletteSource,
    limit: PictureLimit,
    folder: opt.FolderSettings,
    telling: opt.Telling,
) -> None:
    """Compare bead sizes before weaving: how large, how long, how dear, and what survives."""
    from convert.cli.inputs import checked_target, load_palette, load_picture, stem
    from convert.cli.report import print_json, print_summary, progress_shown
    from convert.comparisons import compare_sizes, sizes_compared, write_sizes
    from convert.errors import printable
    from convert.judging.size_comparison import stages
    from convert.writing.size_report import SIZES_FILES, comparison_json

    target = folder.out or Path(f"{stem(picture)}-sizes")
    checked_target(target, SIZES_FILES, folder, picture, source.palette, options.mask)
    palette, notes = load_palette(source.palette, source.sheet)
    steps = _STAGES + stages(len(sizes_compared(palette, options)))
    with progress_shown(steps, quiet=telling.quiet) as progress:
        progress("Opening the picture")
        shown = load_picture(picture, limit.max_megapixels)
        found = compare_sizes(shown, palette, options, progress=progress)
        write_sizes(found, target, force=folder.force, progress=progress)
    said = (*notes, *found.picture.notes, *found.notes)
    if telling.as_json:
        print_json({**comparison_json(found), "notes": list(said)})
    elif not telling.quiet:
        _print_tables(found)
    print_summary({"Outputs": printable(target)}, said, quiet=telling.quiet)


def _print_tables(found: "SizeComparison") -> None:
    """Print a table for each reading, and the advice, on standard output."""
    import sys

    from rich.console import Console
    from rich.text import Text

    from convert.judging.size_candidates import READINGS
    from convert.writing.size_report import MARK, MARKS, explained, table_rows

    console = Console(file=sys.stdout)
    for reading, title in READINGS.items():
        rows = table_rows(found, reading)
        console.print(Text(title if rows else f"{title}: none can be woven"))
        for first in range(0, len(rows), _MOST_IN_TABLE):
            console.print(_table(rows[first : first + _MOST_IN_TABLE]))
        if any(MARK in row[0] for row in rows):
            console.print(Text(f"{MARK} {MARKS[reading]}\n"))
    for line in (found.advice, *explained(found)):
        console.print(Text(line))


def _table(rows: list[tuple[str, ...]]) -> "Table":
    """Return a table with a column for each size."""
    from rich import box
    from rich.table import Table
    from rich.text import Text

    from convert.writing.size_report import HEADINGS

    table = Table(box=box.SIMPLE, pad_edge=False)
    table.add_column(HEADINGS[0], style="bold")
    for row in rows:
        table.add_column(Text(row[0]), justify="right", overflow="fold")
    for place, heading in enumerate(HEADINGS[1:], 1):
        table.add_row(heading, *(Text(row[place]) for row in rows))
    return table
