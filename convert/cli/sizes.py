"""``combweave sizes``: bead sizes side by side, to see before weaving what of the picture will show."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from convert.cli import options as opt

if TYPE_CHECKING:
    from rich.table import Table

    from convert.judging.size_candidates import SizeComparison

# Of its own besides those that `convert.judging.size_comparison.stages` counts.
_STAGES = 3
# So many sizes side by side fit a terminal of 80 letters, core and connector named.
_MOST_IN_TABLE = 4

BeadSizes = Annotated[
    list[str] | None,
    opt.option(
        "--beads",
        metavar="SIZE",
        help="A size to compare, or core and connector: 11/0+8/0. May be given again; without it every"
        " size of the palette.",
        rich_help_panel=opt.SIZE,
    ),
]
Width = Annotated[
    float | None,
    opt.option(
        "--width",
        metavar="MM",
        help="Finished width for the comparison at one width; 100 if no size is given.",
        rich_help_panel=opt.SIZE,
    ),
]
Height = Annotated[
    float | None,
    opt.option(
        "--height",
        metavar="MM",
        help="Finished height instead of a width; with --width and --crop auto the shape to crop to.",
        rich_help_panel=opt.SIZE,
    ),
]
Across = Annotated[
    int | None,
    opt.option(
        "--across",
        metavar="LOOPS",
        help="Loops for the comparison at one number; without it what the width takes in 11/0.",
        rich_help_panel=opt.SIZE,
    ),
]
Detail = Annotated[
    str | None,
    opt.option(
        "--detail",
        metavar="X,Y,W,H",
        help="Part of the picture that has to survive, in fractions of it: left, top, width, height.",
        rich_help_panel=opt.SIZE,
    ),
]
BeadsPerHour = Annotated[
    float,
    opt.option(
        "--beads-per-hour",
        metavar="N",
        help="How quickly you weave. About 100 is common practice; no source.",
        rich_help_panel=opt.SIZE,
    ),
]


def sizes(
    picture: opt.Picture,
    out: opt.Out = None,
    palette: opt.PalettePath = None,
    beads: BeadSizes = None,
    width: Width = None,
    across: Across = None,
    height: Height = None,
    detail: Detail = None,
    crop: opt.Crop = None,
    rotate: opt.Rotate = 0.0,
    flip: opt.Flip = None,
    brightness: opt.Brightness = 1.0,
    contrast: opt.Contrast = 1.0,
    saturation: opt.Saturation = 1.0,
    direction: opt.Direction = "across",
    beads_per_hour: BeadsPerHour = 100.0,
    distance: opt.Distance = "ciede2000",
    dither: opt.Dither = 0.0,
    dither_kind: opt.DitherKind = "spread",
    smooth: opt.Smooth = 0.0,
    colours: opt.Colours = None,
    keep: opt.Keep = None,
    avoid: opt.Avoid = None,
    stock: opt.Stock = False,
    view_distance: opt.ViewDistance = 1.0,
    path: opt.ThreadPath = "steady",
    max_megapixels: opt.MostMegapixels = None,
    max_beads: opt.MostBeads = 1_000_000,
    force: opt.Force = False,
    quiet: opt.Quiet = False,
    verbose: opt.Verbose = False,
    as_json: opt.AsJson = False,
    config: opt.Config = None,
) -> None:
    """Compare bead sizes before weaving: how large, how long, how dear, and what of the picture survives."""
    from convert.cli.inputs import load_palette, load_picture, stem
    from convert.cli.report import print_json, print_summary, progress_shown
    from convert.drawing.size_sheet import sizes_pdf, sizes_png
    from convert.errors import SizeError, printable
    from convert.judging.size_candidates import sizes_named, sizes_of
    from convert.judging.size_comparison import compare_sizes, stages
    from convert.judging.viewing import check_distance
    from convert.making.pipeline import ConvertOptions
    from convert.picture.adjusting import AUTO, Adjustment, adjusted, crop_named
    from convert.picture.part import WHOLE, part_named
    from convert.writing.output_folder import check_target, output_folder
    from convert.writing.size_report import comparison_json, size_sheet

    part = WHOLE if detail is None else part_named(detail, "--detail")
    named = [sizes_named(text) for text in beads or ()]
    adjustment = Adjustment(crop_named(crop), rotate, flip, brightness, contrast, saturation)
    aspect = width / height if width and height else None
    if aspect is not None and adjustment.crop != AUTO:
        raise SizeError(
            "the piece takes a width or a height, not both", "give one, or crop to their shape: --crop auto"
        )
    target = out or Path(f"{stem(picture)}-sizes")
    check_target(target, force=force)
    check_distance(view_distance)
    offered, notes = load_palette(palette)
    compared = named or sizes_of(offered)
    chosen = ConvertOptions(
        *compared[0],
        width_mm=width,
        height_mm=height if width is None else None,
        across=across,
        direction=direction,
        distance=distance,
        dither=dither,
        dither_kind=dither_kind,
        smoothing=smooth,
        colours=colours,
        keep=tuple(keep or ()),
        avoid=tuple(avoid or ()),
        stock=stock,
        path=path,
        most_beads=max_beads,
    )
    with progress_shown(_STAGES + stages(len(compared)), quiet=quiet) as progress:
        progress("Opening the picture")
        shown = adjusted(load_picture(picture, max_megapixels), adjustment, aspect)
        found = compare_sizes(
            shown,
            offered,
            chosen,
            compared,
            part=part,
            beads_per_hour=beads_per_hour,
            distance_m=view_distance,
            progress=progress,
        )
        progress("Drawing the sheet")
        sheet = size_sheet(shown, found)
        with output_folder(target, force=force) as folder:
            (folder / "sizes.png").write_bytes(sizes_png(sheet))
            progress("Writing the sheet for print")
            (folder / "sizes.pdf").write_bytes(sizes_pdf(sheet))
    said = (*notes, *shown.notes, *found.notes)
    if as_json:
        print_json({**comparison_json(found), "notes": list(said)})
    elif not quiet:
        _print_tables(found)
    print_summary({"Outputs": printable(target)}, said, quiet=quiet)


def _print_tables(found: "SizeComparison") -> None:
    """Print a table for each reading, and the advice, on standard output."""
    import sys

    from rich.console import Console
    from rich.text import Text

    from convert.judging.size_candidates import READINGS
    from convert.writing.size_report import MARK, MARKS, explained, table_rows

    console = Console(file=sys.stdout, highlight=False)
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
