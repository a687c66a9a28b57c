"""A comparison of bead sizes as words, as plain values and as what stands on the sheet."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from convert.drawing.sheet import Sheet, sheet_pdf, sheet_png
from convert.drawing.size_sheet import SizeCell, lay_out_sizes
from convert.judging.detail import Surviving
from convert.judging.size_candidates import READINGS, SAME_LOOPS, SAME_WIDTH, Candidate, SizeComparison
from convert.making.over_picture import onto_picture
from convert.palette.money import money
from convert.picture.model import Picture
from convert.picture.part import Part, picture_part
from convert.piece.materials import COSTS_EXPLAINED, FinishedSize

HEADINGS = (
    "Beads", "Finished mm", "woven tight", "woven loose", "Loops", "Count", "Colours", "g", "Cost of packs",
    "Cost of beads", "Thread m", "Hours", "Edges kept", "Lines kept mm", "SSIM", "S-CIELAB",
)  # fmt: skip
SIZES_FILES = ("sizes.png", "sizes.pdf")
MARK = "*"
MARKS = {
    SAME_WIDTH: "fewest beads that keep the detail",
    SAME_LOOPS: "smallest piece that keeps the detail",
}


def _measures(size: FinishedSize) -> tuple[str, str, str]:
    """Return width and height to expect, and those of tight and of loose weaving."""
    pairs = (
        (size.width_mm, size.height_mm),
        (size.width_range_mm[0], size.height_range_mm[0]),
        (size.width_range_mm[1], size.height_range_mm[1]),
    )
    expected, tight, loose = (f"{width:.0f} x {height:.0f}" for width, height in pairs)
    return expected, tight, loose


def _hours(one: Candidate) -> str:
    return f"{one.hours:.0f}" if one.hours >= 10 else f"{one.hours:.1f}"


def _cost(cost: float | None, currency: str) -> str:
    return "" if cost is None else money(cost, currency)


def _share(surviving: Surviving | None) -> str:
    if surviving is None:
        return "outside"
    return "none there" if surviving.edges is None else f"{surviving.edges:.0%}"


def explained(comparison: SizeComparison) -> tuple[str, ...]:
    """Return what the figures mean."""
    whose = "the picture's" if comparison.part.is_whole else "the detail's"
    return (
        f"Edges kept: share of {whose} edges across which the beads keep half of the contrast. SSIM: 1"
        f" is no loss. S-CIELAB: colour difference seen from {comparison.distance_m:g} m; 0 is none.",
        "Lines kept: lines that repeat at this distance or more survive in every direction; those nearer than"
        " half of it no choice of beads can show.",
        *([COSTS_EXPLAINED] if any(one.cost is not None for one in comparison.candidates) else []),
        f"Hours at {comparison.beads_per_hour:g} beads an hour, which is common practice and no promise.",
    )


def table_rows(comparison: SizeComparison, reading: str) -> list[tuple[str, ...]]:
    """Return the rows of the table for one reading, below `HEADINGS`."""
    rows: list[tuple[str, ...]] = []
    for one in comparison.candidates:
        if one.reading == reading:
            judged = one.part
            rows.append(
                (
                    f"{one.name} {MARK}" if one.marked else one.name,
                    *_measures(one.finished),
                    f"{one.loops:,}",
                    f"{one.beads:,}",
                    f"{one.colours}",
                    f"{one.grams:.0f}",
                    _cost(one.cost, one.currency),
                    _cost(one.cost_used, one.currency),
                    f"{one.thread_m:.1f}",
                    _hours(one),
                    _share(judged),
                    f"{one.lines_kept_mm:.1f}",
                    "" if judged is None else f"{judged.ssim:.2f}",
                    "" if judged is None else f"{judged.seen:.1f}",
                )
            )
    return rows


def write_comparison(
    comparison: SizeComparison, folder: Path, progress: Callable[[str], None] = lambda stage: None
) -> None:
    """Write the sheet of a comparison into a folder, as a picture and for print.

    Parameters
    ----------
    comparison : SizeComparison
        The pieces.
    folder : Path
        An existing folder, best a temporary one (see `convert.writing.output_folder`).
    progress : callable, optional
        Is told the name of each stage as it begins.
    """
    progress("Drawing the sheet")
    sheet = size_sheet(comparison)
    picture, booklet = SIZES_FILES
    (folder / picture).write_bytes(sheet_png(sheet))
    progress("Writing the sheet for print")
    (folder / booklet).write_bytes(sheet_pdf(sheet, "Bead sizes side by side"))


def comparison_json(comparison: SizeComparison) -> dict[str, Any]:
    """Return a comparison as plain values."""

    def of(surviving: Surviving | None) -> dict[str, float | None] | None:
        if surviving is None:
            return None
        edges = None if surviving.edges is None else round(surviving.edges, 4)
        return {"edges_kept": edges, "ssim": round(surviving.ssim, 4), "scielab": round(surviving.seen, 3)}

    part = comparison.part
    return {
        "advice": comparison.advice,
        "detail": [part.left, part.top, part.width, part.height],
        "beads_needed": None if comparison.needs is None else round(comparison.needs, 1),
        "candidates": [
            {
                "beads_size": one.name,
                "reading": f"same_{one.reading}",
                "width_mm": round(one.finished.width_mm, 1),
                "height_mm": round(one.finished.height_mm, 1),
                "width_range_mm": [round(length, 1) for length in one.finished.width_range_mm],
                "height_range_mm": [round(length, 1) for length in one.finished.height_range_mm],
                "loops": one.loops,
                "beads": one.beads,
                "colours": one.colours,
                "grams": round(one.grams, 1),
                "cost": None if one.cost is None else round(one.cost, 2),
                "cost_of_beads_used": None if one.cost_used is None else round(one.cost_used, 2),
                "currency": one.currency,
                "thread_m": round(one.thread_m, 2),
                "hours": round(one.hours, 2),
                "lines_kept_mm": round(one.lines_kept_mm, 2),
                "detail_beads_wide": round(one.beads_wide, 1),
                "picture_kept": of(one.whole),
                "detail_kept": of(one.part),
                "survives": one.survives,
                "smallest": one.marked,
            }
            for one in comparison.candidates
        ],
    }


def size_sheet(comparison: SizeComparison) -> Sheet:
    """Return the sheet of a comparison."""
    picture, readings = comparison.picture, []
    for reading, heading in READINGS.items():
        cells = [
            _cell(picture, one, comparison.part) for one in comparison.candidates if one.reading == reading
        ]
        readings.append((heading, cells))
    detail: NDArray[np.uint8] | None = None
    if not comparison.part.is_whole:
        detail = picture_part(picture, comparison.part.box_px(picture))
    advice = (comparison.advice, *comparison.notes, *explained(comparison))
    return lay_out_sizes(f"{picture.name}: bead sizes", advice, readings, detail)


def _cell(picture: Picture, one: Candidate, part: Part) -> SizeCell:
    judged = one.part
    expected, tight, loose = _measures(one.finished)
    colours = "1 colour" if one.colours == 1 else f"{one.colours} colours"
    figures = [
        f"{expected} mm",
        f"woven tight {tight}, loose {loose}",
        f"{one.beads:,} beads in {one.loops:,} loops",
        f"{colours}, {one.grams:.0f} g",
        f"{one.thread_m:.1f} m of thread, {_hours(one)} hours",
    ]
    if one.cost is not None:
        figures.append(f"cost of packs {money(one.cost, one.currency)}")
    if one.cost_used is not None:
        figures.append(f"cost of beads {money(one.cost_used, one.currency)}")
    if judged is not None:
        what = "edges" if part.is_whole else "the detail's edges"
        figures.append("no edges to keep" if judged.edges is None else f"keeps {judged.edges:.0%} of {what}")
        figures.append(f"keeps lines {one.lines_kept_mm:.1f} mm apart")
        figures.append(f"SSIM {judged.ssim:.2f}, S-CIELAB {judged.seen:.1f}")
    mark = MARKS[one.reading] if one.marked else ""
    if not one.survives:
        figures.append("the detail lies outside" if judged is None else "detail is lost")
    close_up = None
    if not part.is_whole and judged is not None:
        scale, offset = onto_picture(picture, one.result.full)
        left, top, right, bottom = part.box_px(picture)
        low, high = (np.array([left, top]) - offset) / scale, (np.array([right, bottom]) - offset) / scale
        close_up = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    return SizeCell(one.name, one.result.pattern, tuple(figures), mark[:1].upper() + mark[1:], close_up)
