"""``combweave motif``: a flower, a strip to a wrist or a rectangle, plain or coloured by a picture."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from convert.cli import options as opt

if TYPE_CHECKING:
    from convert.picture.model import Picture

STAGES = 10
FLAT_CENTRE = 6

OptionalPicture = Annotated[
    str | None,
    typer.Argument(
        help="Picture to colour the piece by; - reads it from standard input. Without one it is plain.",
        metavar="PICTURE",
        show_default=False,
    ),
]
ShapeKind = Annotated[
    Literal["flower", "strip", "rectangle"],
    opt.option(
        "--shape",
        help="What to weave; a flower with another --centre is a cup or a ruffle.",
        rich_help_panel=opt.SIZE,
    ),
]
Rounds = Annotated[
    int | None,
    opt.option(
        "--rounds",
        metavar="N",
        help="Flower: rounds of loops about the centre; 3 if not given.",
        rich_help_panel=opt.SIZE,
    ),
]
Centre = Annotated[
    int | None,
    opt.option(
        "--centre",
        metavar="3..8",
        help="Flower: beads of the centre loop. 3 to 5 make a cup, 6 lies flat, 7 and 8 ruffle.",
        rich_help_panel=opt.SIZE,
    ),
]
Wrist = Annotated[
    float | None,
    opt.option("--wrist", metavar="MM", help="Strip: the wrist, measured snug.", rich_help_panel=opt.SIZE),
]
Ease = Annotated[
    float | None,
    opt.option(
        "--ease",
        metavar="MM",
        help="Strip: how much wider than the wrist it is worn; 20 if not given.",
        rich_help_panel=opt.SIZE,
    ),
]
Clasp = Annotated[
    float | None,
    opt.option(
        "--clasp",
        metavar="MM",
        help="Strip: what the closed clasp takes up; 13 if not given.",
        rich_help_panel=opt.SIZE,
    ),
]
Width = Annotated[
    float | None,
    opt.option("--width", metavar="MM", help="Rectangle: finished width.", rich_help_panel=opt.SIZE),
]
Height = Annotated[
    float | None,
    opt.option("--height", metavar="MM", help="Strip, rectangle: finished height.", rich_help_panel=opt.SIZE),
]
Colour = Annotated[
    str | None,
    opt.option(
        "--colour",
        metavar="CODE",
        help="Bead of the palette for the cores, or for all beads of one size.",
        rich_help_panel=opt.COLOUR,
    ),
]
SecondColour = Annotated[
    str | None,
    opt.option(
        "--second-colour",
        metavar="CODE",
        help="Bead of the palette for the connectors, or for points in one size.",
        rich_help_panel=opt.COLOUR,
    ),
]


def motif(
    picture: OptionalPicture = None,
    shape: ShapeKind = "flower",
    rounds: Rounds = None,
    centre: Centre = None,
    wrist: Wrist = None,
    ease: Ease = None,
    clasp: Clasp = None,
    width: Width = None,
    height: Height = None,
    crop: opt.Crop = None,
    rotate: opt.Rotate = 0.0,
    flip: opt.Flip = None,
    brightness: opt.Brightness = 1.0,
    contrast: opt.Contrast = 1.0,
    saturation: opt.Saturation = 1.0,
    edge: opt.Edge = "plain",
    copies: opt.Copies = 1,
    out: opt.Out = None,
    palette: opt.PalettePath = None,
    colour: Colour = None,
    second_colour: SecondColour = None,
    beads: opt.Beads = "11/0",
    connectors: opt.Connectors = None,
    gauge: opt.Gauge = None,
    distance: opt.Distance = "ciede2000",
    dither: opt.Dither = 0.0,
    dither_kind: opt.DitherKind = "spread",
    smooth: opt.Smooth = 0.0,
    colours: opt.Colours = None,
    keep: opt.Keep = None,
    avoid: opt.Avoid = None,
    stock: opt.Stock = False,
    backing: opt.Backing = "#FFFFFF",
    view_distance: opt.ViewDistance = 1.0,
    path: opt.ThreadPath = "steady",
    start: opt.Start = "corner",
    thread: opt.ThreadThickness = 0.20,
    needle: opt.NeedleThickness = 0.38,
    needleful: opt.Needleful = 1.8,
    max_megapixels: opt.MostMegapixels = None,
    max_beads: opt.MostBeads = 1_000_000,
    paper: opt.PaperName = "a4",
    ink: opt.Ink = "colour",
    force: opt.Force = False,
    quiet: opt.Quiet = False,
    verbose: opt.Verbose = False,
    as_json: opt.AsJson = False,
    config: opt.Config = None,
) -> None:
    """Weave a shape of its own: a flower, cup or ruffle, a strip that closes round a wrist, a rectangle."""
    from convert.cli.delivery import tell_piece, write_piece
    from convert.cli.inputs import load_palette, load_picture
    from convert.cli.report import progress_shown
    from convert.judging.afar import check_view, judge
    from convert.making.motifs import make_motif, motif_shape
    from convert.making.pipeline import ConvertOptions
    from convert.picture.adjusting import Adjustment, adjusted, crop_named
    from convert.thread.steps import Supplies
    from convert.weave.beads import bead_size
    from convert.writing.output_folder import check_target

    chosen = ConvertOptions(
        beads=bead_size(beads),
        connectors=bead_size(connectors or beads),
        gauge_mm=gauge,
        distance=distance,
        dither=dither,
        dither_kind=dither_kind,
        smoothing=smooth,
        colours=colours,
        keep=tuple(keep or ()),
        avoid=tuple(avoid or ()),
        stock=stock,
        path=path,
        start=start,
        supplies=Supplies(thread, needle, needleful * 1000),
        edge=edge,
        most_beads=max_beads,
    )
    measures = {
        "rounds": rounds,
        "centre": centre,
        "wrist": wrist,
        "ease": ease,
        "clasp": clasp,
        "width": width,
        "height": height,
    }
    adjustment = Adjustment(crop_named(crop), rotate, flip, brightness, contrast, saturation)
    measured = width / height if width and height else None
    target = out or Path(f"{shape}-motif")
    check_target(target, force=force)
    check_view(backing, view_distance)
    offered, palette_notes = load_palette(palette)
    with progress_shown(STAGES, quiet=quiet) as progress:
        progress("Opening the picture")
        shown = None
        if picture is not None:
            shown = adjusted(load_picture(picture, max_megapixels), adjustment, measured)
        aspect = 1.0 if shown is None else shown.pixels.shape[1] / shown.pixels.shape[0]
        form, notes = motif_shape(shape, chosen, measures, aspect)
        result = make_motif(
            _title(shape, centre, shown),
            form,
            offered,
            chosen,
            picture=shown,
            colour=colour,
            second_colour=second_colour,
            copies=copies,
            progress=progress,
        )
        progress("Judging the colours")
        comparison = judge(result, backing, view_distance)
        write_piece(
            result.pattern,
            result.thread,
            target,
            progress,
            force=force,
            paper=paper,
            ink=ink,
            backing=backing,
        )
    tell_piece(
        result.pattern,
        result.thread,
        target,
        (*palette_notes, *notes, *result.notes),
        quiet=quiet,
        as_json=as_json,
        difference=result.difference,
        comparison=comparison,
        colours_gap=result.colours_gap,
    )


def _title(shape: str, centre: int | None, picture: "Picture | None") -> str:
    """Return what the piece is called: by its shape, and by the picture that colours it."""
    kind = shape
    if centre is not None and centre != FLAT_CENTRE:
        kind = "cup" if centre < FLAT_CENTRE else "ruffle"
    return kind.capitalize() if picture is None else f"{picture.name}, {kind}"
