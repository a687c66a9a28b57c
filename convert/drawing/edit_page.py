"""The page to paint the piece on by hand: it saves the pattern file, from which all else is made anew."""

import math
from itertools import cycle
from typing import Any

import numpy as np

from convert.drawing.piece import Outline, Piece
from convert.drawing.symbols import symbols
from convert.drawing.web_page import UNITS_IN_MM, units, web_page
from convert.instructions.names import StitchNames
from convert.piece.materials import finished_size
from convert.piece.pattern import Pattern
from convert.thread.moves import bead_loops
from convert.weave.mirrors import mirrors_of
from convert.weave.shapes import Sheet
from convert.weave.tips import tips_of

SCRIPTS = (
    "piece", "places", "colours", "work", "figures", "saving", "raster", "view", "loops", "tools",
    "pointing", "walking", "choosing", "tables", "begin",
)  # fmt: skip
# Digits after the point of a symbol's corners: a thousandth of its side.
_SYMBOL_DIGITS = 3


def edit_html(pattern: Pattern, names: StitchNames, piece: Piece, text: str) -> str:
    """Return the page as HTML.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    names : StitchNames
        What its loops are called.
    piece : Piece
        The piece as it is drawn.
    text : str
        Its pattern file, see `convert.piece.pattern_file.pattern_json`: what the page saves is this text with
        other beads in it.
    """
    scripts = [f"edit/{name}.js" for name in SCRIPTS]
    styles = ["theme.css", "edit/edit.css"]
    return web_page("edit/edit.html", styles, scripts, _data(pattern, names, piece, text), pattern.imprint)


def _data(pattern: Pattern, names: StitchNames, piece: Piece, text: str) -> dict[str, Any]:
    weave, size = pattern.weave, finished_size(pattern)
    tips = tips_of(weave)
    has_tips = len(pattern.bead_colour) > weave.beads
    ends, beside = weave.bead_junctions, bead_loops(weave)
    if has_tips:
        # A tip's bead meets those at its junction, and lies outside the loop there.
        of_junction = np.empty(weave.junctions, np.int32)
        of_junction[weave.side_junction] = weave.side_loop
        nothing = np.full(len(tips), -1, np.int32)
        ends = tips.extended(ends, np.stack([tips.junctions, nothing], axis=1))
        beside = tips.extended(beside, np.stack([of_junction[tips.junctions], nothing], axis=1))
    numbers, chosen = _symbols(pattern, piece)
    return {
        "pattern": text,
        "size": f"{size.width_mm:.0f} x {size.height_mm:.0f} mm",
        "line": names.line,
        "currency": pattern.costs_in,
        # The first bead of each row of beads, and where the tips begin.
        "row_start": [*np.flatnonzero(np.diff(weave.bead_row, prepend=-1)).tolist(), weave.beads],
        "size_of": "".join(map(str, pattern.bead_size.tolist())),
        "x": units(piece.bead_xy[:, 0]),
        "y": units(piece.bead_xy[:, 1]),
        "outline": piece.bead_outline.tolist(),
        "outlines": [_outline(outline) for outline in piece.outlines],
        "narrow": units(np.array(piece.narrowest_mm)),
        "extent": units(np.array(piece.extent_mm)),
        "pitch": weave.spacing.pitch_mm * UNITS_IN_MM,
        "ends": ends.ravel().tolist(),
        "beside": beside.ravel().tolist(),
        "loops": names.loops,
        "loop_x": units(weave.loop_xy[:, 0]),
        "loop_y": units(weave.loop_xy[:, 1]),
        "along": isinstance(pattern.shape, Sheet) and pattern.shape.direction == "along",
        "grid": _grid(pattern),
        "mirrors": _mirrors(pattern),
        # Entries of the palette that differ in their size only are one colour.
        "colour_of_entry": numbers,
        "symbol_of": chosen,
        "symbols": [
            [[[round(x, _SYMBOL_DIGITS), round(y, _SYMBOL_DIGITS)] for x, y in polygon] for polygon in mark]
            for mark in symbols()[: max(chosen) + 1]
        ],
    }


def _outline(outline: Outline) -> dict[str, Any]:
    """Return the shape of a bead as half its measures and the direction of its hole."""
    angle = math.radians(outline.degrees)
    return {
        "rounded": outline.size.rounded,
        "length": outline.size.length_mm / 2 * UNITS_IN_MM,
        "width": outline.size.diameter_mm / 2 * UNITS_IN_MM,
        "x": math.cos(angle),
        "y": math.sin(angle),
    }


def _symbols(pattern: Pattern, piece: Piece) -> tuple[list[int], list[int]]:
    """Return the colour each entry of the palette is, and the symbol of each colour.

    Colours in use have the symbols of the chart, the others what is left of them, in turn if need be.
    """
    numbers = pattern.palette.colour_numbers()
    marks = {id(symbol): number for number, symbol in enumerate(symbols())}
    chosen = np.full(int(numbers.max()) + 1, -1)
    for entry in np.flatnonzero(piece.colour_of_entry >= 0).tolist():
        chosen[numbers[entry]] = marks[id(piece.colours[piece.colour_of_entry[entry]].symbol)]
    used = set(chosen.tolist())
    others = [number for number in range(len(symbols())) if number not in used]
    free = np.flatnonzero(chosen < 0)
    rest = cycle(others or range(len(symbols())))
    chosen[free] = [next(rest) for _ in free]
    return numbers.tolist(), chosen.tolist()


def _grid(pattern: Pattern) -> dict[str, Any] | None:
    """Return where loop 1.1 of a sheet lies and whether its row is shifted; None where there are no rows.

    From that the page knows where a loop can be added.
    """
    if not isinstance(pattern.shape, Sheet):
        return None
    first = pattern.shape.woven.any(axis=1).argmax()
    weave = pattern.weave
    rows = {"row": weave.loop_row.tolist(), "place": weave.loop_column.tolist()}
    return {"shifted": int(first % 2), **rows}


def _mirrors(pattern: Pattern) -> dict[str, Any]:
    """Return what a bead and its partner add up to, in x and in y, and which mirrors are exact."""
    mirrors = mirrors_of(pattern.weave)
    sums = units(2 * np.array(mirrors.middle_mm))
    return {"sums": sums, "sides": mirrors.sides, "ends": mirrors.ends, "turned": mirrors.turned}
