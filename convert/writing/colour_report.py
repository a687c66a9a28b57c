"""A comparison of numbers of colours as words, as a table and as what stands on the sheet."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from convert.drawing.colour_sheet import ColourCell, lay_out_colours
from convert.drawing.sheet import Sheet, sheet_pdf, sheet_png
from convert.judging.colour_comparison import ColourComparison, InColours
from convert.palette.money import money
from convert.sentences import counted
from convert.units import A4, Paper
from convert.writing.csv_cells import csv_text

HEADINGS = ("Colours", "Packs", "Cost", "Look", "Lone beads")
CSV_HEADER = ("colours", "is_all", "recommended", "packs", "cost", "currency", "look", "lone_beads")
COLOURS_FILES = ("colours.png", "colours.pdf", "colours.csv")
MARK = "*"


def explained(comparison: ColourComparison) -> tuple[str, ...]:
    """Return what to choose, and what the figures mean."""
    chosen = f"Choose {comparison.reason}." if comparison.reason else "So few colours are all worth having."
    return (
        chosen,
        f"Look: how it looks from {comparison.distance_m:g} m; 0 is as the picture's own colours. Lone beads"
        " have no neighbour of their colour.",
    )


def table_rows(comparison: ColourComparison) -> list[tuple[str, ...]]:
    """Return the rows of the table, below `HEADINGS`."""
    return [
        (
            _name(one) + (f" {MARK}" if one.marked else ""),
            "" if one.rung.packs is None else f"{one.rung.packs:,}",
            "" if one.rung.cost is None else money(one.rung.cost, one.pattern.costs_in),
            f"{one.rung.seen:.2f}",
            f"{one.lone:,}",
        )
        for one in comparison.candidates
    ]


def colours_csv(comparison: ColourComparison) -> str:
    """Return the figures as CSV, cost with two decimals."""
    rows = [
        (
            one.rung.colours,
            int(one.is_all),
            int(one.marked),
            one.rung.packs,
            None if one.rung.cost is None else f"{one.rung.cost:.2f}",
            None if one.rung.cost is None else one.pattern.costs_in,
            f"{one.rung.seen:.4f}",
            one.lone,
        )
        for one in comparison.candidates
    ]
    return csv_text(CSV_HEADER, rows)


def colours_json(comparison: ColourComparison) -> dict[str, Any]:
    """Return the figures as plain values, the names those of the CSV."""
    return {
        "advice": comparison.reason,
        "view_distance_m": comparison.distance_m,
        "candidates": [
            {
                "colours": one.rung.colours,
                "is_all": one.is_all,
                "recommended": one.marked,
                "packs": one.rung.packs,
                "cost": None if one.rung.cost is None else round(one.rung.cost, 2),
                "currency": one.pattern.costs_in,
                "look": round(one.rung.seen, 4),
                "lone_beads": one.lone,
            }
            for one in comparison.candidates
        ],
    }


def colour_sheet(comparison: ColourComparison, paper: Paper = A4) -> Sheet:
    """Return the sheet of a comparison."""
    cells = [_cell(one) for one in comparison.candidates]
    axes = "number of colours", f"Look from {comparison.distance_m:g} m: the lower, the closer to the picture"
    return lay_out_colours(
        f"{comparison.picture.name}: how many colours", explained(comparison), cells, axes, paper
    )


def write_colour_comparison(
    comparison: ColourComparison,
    folder: Path,
    paper: Paper = A4,
    progress: Callable[[str], None] = lambda stage: None,
) -> None:
    """Write the sheet of a comparison, as a picture and for print, and its figures.

    Parameters
    ----------
    comparison : ColourComparison
        The pieces.
    folder : Path
        An existing folder, best a temporary one (see `convert.writing.output_folder`).
    paper : Paper
        What is printed on.
    progress : callable, optional
        Is told the name of each stage as it begins.
    """
    progress("Drawing the sheet")
    sheet = colour_sheet(comparison, paper)
    picture, booklet, table = COLOURS_FILES
    (folder / picture).write_bytes(sheet_png(sheet))
    progress("Writing the sheet for print")
    (folder / booklet).write_bytes(sheet_pdf(sheet, "Numbers of colours side by side"))
    (folder / table).write_text(colours_csv(comparison), encoding="utf-8")


def _name(one: InColours) -> str:
    return f"all {one.rung.colours}" if one.is_all else f"{one.rung.colours}"


def _cell(one: InColours) -> ColourCell:
    rung = one.rung
    figures = [] if rung.packs is None else [f"{counted(rung.packs, 'pack')} to buy"]
    if rung.cost is not None:
        figures.append(f"cost {money(rung.cost, one.pattern.costs_in)}")
    figures += [f"look {rung.seen:.2f}", counted(one.lone, "lone bead")]
    heading = f"{_name(one)} colours" if rung.colours != 1 else "1 colour"
    if one.marked:
        heading += ", to choose"
    return ColourCell(heading, one.pattern, tuple(figures), (rung.colours, rung.seen), one.marked)
