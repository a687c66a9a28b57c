"""``combweave panel``: the main job, from a picture to a folder with everything to weave it."""

from pathlib import Path

from convert.cli import options as opt

STAGES = 10


def panel(
    picture: opt.Picture,
    out: opt.Out = None,
    palette: opt.PalettePath = None,
    beads: opt.Beads = "11/0",
    connectors: opt.Connectors = None,
    width: opt.Width = None,
    height: opt.Height = None,
    across: opt.Across = None,
    fit: opt.Fit = "cover",
    direction: opt.Direction = "across",
    gauge: opt.Gauge = None,
    edge: opt.Edge = "plain",
    crop: opt.Crop = None,
    rotate: opt.Rotate = 0.0,
    flip: opt.Flip = None,
    brightness: opt.Brightness = 1.0,
    contrast: opt.Contrast = 1.0,
    saturation: opt.Saturation = 1.0,
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
    """Turn a picture into a panel: chart, bead list, stitch order and pattern file in one folder."""
    from convert.cli.delivery import tell_piece, write_piece
    from convert.cli.inputs import load_palette, load_picture, stem
    from convert.cli.report import progress_shown
    from convert.judging.afar import check_view, judge
    from convert.judging.size_needed import lost_detail
    from convert.making.pipeline import ConvertOptions, convert
    from convert.picture.adjusting import Adjustment, adjusted, crop_named
    from convert.thread.steps import Supplies
    from convert.weave.beads import bead_size
    from convert.writing.output_folder import check_target

    chosen = ConvertOptions(
        beads=bead_size(beads),
        connectors=bead_size(connectors or beads),
        width_mm=width,
        height_mm=height,
        across=across,
        fit=fit,
        direction=direction,
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
        edge=edge,
        supplies=Supplies(thread, needle, needleful * 1000),
        most_beads=max_beads,
    )
    adjustment = Adjustment(crop_named(crop), rotate, flip, brightness, contrast, saturation)
    aspect = width / height if width and height else None
    target = out or Path(f"{stem(picture)}-panel")
    check_target(target, force=force)
    check_view(backing, view_distance)
    offered, palette_notes = load_palette(palette)
    with progress_shown(STAGES, quiet=quiet) as progress:
        progress("Opening the picture")
        shown = adjusted(load_picture(picture, max_megapixels), adjustment, aspect)
        result = convert(shown, offered, chosen, progress)
        progress("Judging the colours")
        comparison = judge(result, backing, view_distance)
        lost = lost_detail(shown, offered, chosen, result)
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
        (*palette_notes, *result.notes, *lost),
        quiet=quiet,
        as_json=as_json,
        difference=result.difference,
        comparison=comparison,
        colours_gap=result.colours_gap,
    )
