"""Outlines that come along, our own drawings, and how a curve becomes a polygon.

They are written as path data of SVG 2 (W3C, chapter 9), so that they and those from files go one way.
"""

import numpy as np
from numpy.typing import NDArray
from svg.path import Arc, Close, CubicBezier, Line, Move, QuadraticBezier, parse_path

from convert.errors import ShapeError

# Points to each curve: a circle of two arcs is then within 0.3 % of its area.
CURVE_POINTS = 24
_STEPS = [step / CURVE_POINTS for step in range(1, CURVE_POINTS + 1)]
MOST_SEGMENTS = 20_000
# No page is larger; beyond it sums lose their digits.
MOST_UNITS = 1e9
_CLOSES = 1e-6

# The edges of hexagon and diamond lie along lines of loops, so that they come out straight.
DRAWN = {
    "circle": "M -50 0 A 50 50 0 0 1 50 0 A 50 50 0 0 1 -50 0 Z",
    "oval": "M -36 0 A 36 50 0 0 1 36 0 A 36 50 0 0 1 -36 0 Z",
    "drop": "M 0 0 C 4 20 32 42 32 68 A 32 32 0 0 1 -32 68 C -32 42 -4 20 0 0 Z",
    "heart": "M 0 30 L 14 6 C 24 -4 42 -2 49 12 C 58 32 40 52 0 100"
    " C -40 52 -58 32 -49 12 C -42 -2 -24 -4 -14 6 Z",
    "leaf": "M 0 0 C 34 26 34 74 0 100 C -34 74 -34 26 0 0 Z",
    "hexagon": "M -25 -43.30127 H 25 L 50 0 L 25 43.30127 H -25 L -50 0 Z",
    "diamond": "M 0 -50 L 28.86751 0 L 0 50 L -28.86751 0 Z",
}


def flattened(path_data: str, name: str) -> NDArray[np.float64]:
    """Return the first closed line of a path as a polygon, shape (N, 2).

    A line counts as closed if it is closed by its data, or ends where it began.

    Parameters
    ----------
    path_data : str
        As in the attribute ``d`` of SVG.
    name : str
        What it is called in errors.

    Raises
    ------
    ShapeError
        It cannot be read, or no line in it is closed.
    """
    hint = "save it again from a drawing program"
    if path_data.lstrip()[:1] not in ("M", "m"):
        # A path begins with a move (SVG 2, 9.3.3).
        raise ShapeError(f"{name}: the path cannot be read", hint)
    try:
        path = parse_path(path_data)
    except (ValueError, ArithmeticError, LookupError, AssertionError) as error:
        raise ShapeError(f"{name}: the path cannot be read", hint) from error
    if len(path) > MOST_SEGMENTS:
        raise ShapeError(f"{name}: a path of {len(path):,} pieces is too long", "simplify the outline")
    lines: list[list[complex]] = []
    for piece in path:
        if isinstance(piece, Move):
            lines.append([piece.end])
        elif isinstance(piece, Line | Close):
            lines[-1].append(piece.end)
        elif isinstance(piece, Arc | CubicBezier | QuadraticBezier):
            lines[-1] += [piece.point(step) for step in _STEPS]
        if isinstance(piece, Close):
            return _polygon(lines[-1], name)
    for line in lines:
        if len(line) > 2 and abs(line[-1] - line[0]) <= _CLOSES * max(map(abs, line)):
            return _polygon(line, name)
    raise ShapeError(f"{name}: no line of the path is closed", "close the outline in the drawing program")


def _polygon(line: list[complex], name: str) -> NDArray[np.float64]:
    points = np.array([(point.real, point.imag) for point in line])
    if not (np.abs(points) < MOST_UNITS).all():
        raise ShapeError(f"{name}: the path leaves the page", "save it again from a drawing program")
    # A point that is there twice has no edge.
    kept = np.abs(points - np.roll(points, 1, axis=0)).max(axis=1) > 0
    return np.asarray(points[kept])
