"""``combweave gauge``: a measured swatch, compared with the bead shapes and made into an option."""

from dataclasses import MISSING, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from convert.cli import options as opt
from convert.cli.groups import takes_groups
from convert.settings.declaring import OUTPUT, SIZE, Settings, option
from convert.settings.weave import BeadSettings

if TYPE_CHECKING:
    from convert.weave.beads import BeadSize
    from convert.weave.spacing import Spacing


@dataclass(frozen=True, kw_only=True)
class Swatch(Settings):
    """What was measured."""

    measured_mm: float = option(
        MISSING,
        "--measured",
        "Their length, from the edge of the first to the same edge of the loop after the last.",
        SIZE,
        metavar="MM",
    )
    loops: int = option(10, "--loops", "Loops measured along a row.", SIZE, metavar="N", least=1)


@dataclass(frozen=True, kw_only=True)
class SwatchDrawing(Settings):
    """Whether a drawing of the swatch is wanted."""

    chart: Path | None = option(
        None, "--chart", "Draw the swatch and where to measure it.", OUTPUT, metavar="FILE.png"
    )


@takes_groups
def gauge(
    swatch: Swatch,
    beads: BeadSettings,
    drawing: SwatchDrawing,
    replacing: opt.ForceSettings,
    telling: opt.JsonSettings,
) -> None:
    """Turn a measured swatch into the gauge option, and compare it with what the bead shapes give."""
    import typer

    from convert.cli.report import print_json
    from convert.making.frame import sizes_named
    from convert.weave.lattice import REPEAT_TWO_SIZES
    from convert.weave.spacing import GAUGE_LOOPS, gauge_spacing, model_spacing

    sizes = sizes_named(beads)
    ten_mm = swatch.measured_mm / swatch.loops * GAUGE_LOOPS
    spacing, model = gauge_spacing(*sizes, ten_mm), model_spacing(*sizes)
    if drawing.chart is not None:
        _draw_swatch(drawing.chart, sizes, spacing, replacing)
    low, high = (GAUGE_LOOPS * model.pitch_mm * factor for factor in (model.low, model.high))
    if telling.as_json:
        print_json(
            {
                "ten_loops_mm": round(ten_mm, 3),
                "model_ten_loops_mm": [round(low, 3), round(high, 3)],
                "core_mm": round(spacing.core_mm, 4),
                "connector_mm": round(spacing.connector_mm, 4),
                "off": round(spacing.pitch_mm / model.pitch_mm - 1, 4),
            }
        )
        return
    off = spacing.pitch_mm / model.pitch_mm - 1
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
        typer.echo(f"The side of a loop, a bead and its gaps, is {spacing.core_mm:.2f} mm.")
    else:
        typer.echo(
            f"The side of a core loop is {spacing.core_mm:.2f} mm, a connector with its gaps"
            f" {spacing.connector_mm:.2f} mm."
        )
    if sizes[0] != sizes[1] and swatch.loops % REPEAT_TWO_SIZES:
        typer.echo("In two sizes three loops are a repeat: nine or twelve loops are a surer measure.")
    pair = f" --connectors {beads.connectors}" if beads.connectors else ""
    typer.echo(f"Put this on the command line: --beads {beads.beads}{pair} --gauge {ten_mm:.1f}")


def _draw_swatch(
    chart: Path, sizes: "tuple[BeadSize, BeadSize]", spacing: "Spacing", replacing: opt.ForceSettings
) -> None:
    from convert.cli.inputs import checked_files
    from convert.drawing.png import write_png
    from convert.drawing.swatch import swatch_scene
    from convert.writing.output_folder import write_file

    checked_files([chart], replacing)
    write_file(chart, write_png(swatch_scene(sizes, spacing)), force=replacing.force)
