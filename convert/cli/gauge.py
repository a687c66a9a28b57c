"""``combweave gauge``: a measured swatch, compared with the bead shapes and made into an option."""

from pathlib import Path
from typing import Annotated

from convert.cli import options as opt

Loops = Annotated[
    int,
    opt.option("--loops", metavar="N", min=1, help="Loops measured along a row.", rich_help_panel=opt.SIZE),
]
Measured = Annotated[
    float,
    opt.option(
        "--measured",
        metavar="MM",
        help="Their length, from the edge of the first to the same edge of the loop after the last.",
        rich_help_panel=opt.SIZE,
        show_default=False,
    ),
]

Chart = Annotated[
    Path | None,
    opt.option(
        "--chart",
        metavar="FILE.png",
        help="Draw the swatch and where to measure it.",
        rich_help_panel=opt.OUTPUT,
    ),
]


def gauge(
    measured: Measured,
    loops: Loops = 10,
    beads: opt.Beads = "11/0",
    connectors: opt.Connectors = None,
    chart: Chart = None,
    force: opt.Force = False,
    verbose: opt.Verbose = False,
    as_json: opt.AsJson = False,
    config: opt.Config = None,
) -> None:
    """Turn a measured swatch into the gauge option, and compare it with what the bead shapes give."""
    import typer

    from convert.cli.report import print_json
    from convert.weave.beads import bead_size
    from convert.weave.spacing import GAUGE_LOOPS, gauge_spacing, model_spacing
    from convert.weave.strip import REPEAT_TWO_SIZES

    sizes = bead_size(beads), bead_size(connectors or beads)
    ten_mm = measured / loops * GAUGE_LOOPS
    swatch, model = gauge_spacing(*sizes, ten_mm), model_spacing(*sizes)
    if chart is not None:
        from convert.drawing.png import write_png
        from convert.drawing.swatch import swatch_scene
        from convert.writing.output_folder import write_file

        write_file(chart, write_png(swatch_scene(sizes, swatch)), force=force)
    low, high = (GAUGE_LOOPS * model.pitch_mm * factor for factor in (model.low, model.high))
    if as_json:
        print_json(
            {
                "ten_loops_mm": round(ten_mm, 3),
                "model_ten_loops_mm": [round(low, 3), round(high, 3)],
                "core_mm": round(swatch.core_mm, 4),
                "connector_mm": round(swatch.connector_mm, 4),
                "off": round(swatch.pitch_mm / model.pitch_mm - 1, 4),
            }
        )
        return
    off = swatch.pitch_mm / model.pitch_mm - 1
    place = "within" if low <= ten_mm <= high else "below" if ten_mm < low else "above"
    hand = {
        "within": "The bead shapes agree with your hand.",
        "below": "You weave tighter than the bead shapes say, or your beads are smaller.",
        "above": "You weave looser than the bead shapes say, or your beads are larger.",
    }
    percent = round(abs(off) * 100)
    mean = f"{percent}% {'more' if off > 0 else 'less'} than" if percent else "the same as"
    typer.echo(f"Ten loops measure {ten_mm:.1f} mm: {mean} the mean of the bead shapes,")
    typer.echo(f"{place} their range of {low:.1f} to {high:.1f} mm.")
    typer.echo(hand[place])
    if place != "within":
        typer.echo("Count the loops once more before you rely on it.")
    if sizes[0] == sizes[1]:
        typer.echo(f"The side of a loop, a bead and its gaps, is {swatch.core_mm:.2f} mm.")
    else:
        typer.echo(
            f"The side of a core loop is {swatch.core_mm:.2f} mm, a connector with its gaps"
            f" {swatch.connector_mm:.2f} mm."
        )
    if sizes[0] != sizes[1] and loops % REPEAT_TWO_SIZES:
        typer.echo("In two sizes three loops are a repeat: nine or twelve loops are a surer measure.")
    pair = f" --connectors {connectors}" if connectors else ""
    typer.echo(f"Put this on the command line: --beads {beads}{pair} --gauge {ten_mm:.1f}")
