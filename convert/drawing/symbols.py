"""Symbols that tell the colours of beads apart in print without colour: our own plain geometric marks.

A symbol is a set of closed polygons in the square from -0.5 to 0.5, y down, filled by the even-odd rule, so
that every writer can draw it. The plain marks come first; with a bar below, above or beside them they make up
the rest.
"""

import math
from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from convert.drawing.raster import coverage

Polygon = tuple[tuple[float, float], ...]
Symbol = tuple[Polygon, ...]


def _turned(polygon: Polygon, degrees: float) -> Polygon:
    cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return tuple((x * cosine - y * sine, x * sine + y * cosine) for x, y in polygon)


def _moved(polygon: Polygon, dx: float, dy: float) -> Polygon:
    return tuple((x + dx, y + dy) for x, y in polygon)


def _scaled(symbol: Symbol, factor: float) -> Symbol:
    return tuple(tuple((x * factor, y * factor) for x, y in polygon) for polygon in symbol)


def _regular(corners: int, radius: float, start: float = -90.0) -> Polygon:
    """Return a regular polygon whose first corner lies at an angle, -90 degrees being the top."""
    angles = (math.radians(start + 360 * corner / corners) for corner in range(corners))
    return tuple((radius * math.cos(angle), radius * math.sin(angle)) for angle in angles)


def _star(points: int, outer: float, inner: float, start: float = -90.0) -> Polygon:
    radii = (outer, inner) * points
    angles = (math.radians(start + 180 * corner / points) for corner in range(2 * points))
    return tuple((r * math.cos(angle), r * math.sin(angle)) for r, angle in zip(radii, angles, strict=True))


def _circle(radius: float, x: float = 0.0, y: float = 0.0) -> Polygon:
    return _moved(_regular(24, radius), x, y)


def _box(left: float, top: float, right: float, bottom: float) -> Polygon:
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def _half_disc(degrees: float) -> Polygon:
    """Return the lower half of a disc, turned."""
    arc = tuple((0.46 * math.cos(math.pi * i / 16), 0.46 * math.sin(math.pi * i / 16)) for i in range(17))
    return _turned(_moved(arc, 0, -0.2), degrees)


def _bar(width: float, degrees: float = 0.0, offset: float = 0.0, length: float = 1.0) -> Polygon:
    half = length / 2
    return _turned(_box(-half, offset - width / 2, half, offset + width / 2), degrees)


def _chevron(degrees: float, offset: float = 0.0) -> Polygon:
    """Return a bent bar that points up, turned."""
    shape = ((-0.46, 0.12), (0, -0.34), (0.46, 0.12), (0.46, 0.40), (0, -0.06), (-0.46, 0.40))
    return _turned(_moved(shape, 0, offset), degrees)


def _thin_chevron(degrees: float, offset: float) -> Polygon:
    shape = ((-0.44, 0.10), (0, -0.24), (0.44, 0.10), (0.44, 0.28), (0, -0.06), (-0.44, 0.28))
    return _turned(_moved(shape, 0, offset), degrees)


_PLUS_ARM, _PLUS_HALF = 0.48, 0.14
_PLUS: Polygon = (
    (-_PLUS_HALF, -_PLUS_ARM),
    (_PLUS_HALF, -_PLUS_ARM),
    (_PLUS_HALF, -_PLUS_HALF),
    (_PLUS_ARM, -_PLUS_HALF),
    (_PLUS_ARM, _PLUS_HALF),
    (_PLUS_HALF, _PLUS_HALF),
    (_PLUS_HALF, _PLUS_ARM),
    (-_PLUS_HALF, _PLUS_ARM),
    (-_PLUS_HALF, _PLUS_HALF),
    (-_PLUS_ARM, _PLUS_HALF),
    (-_PLUS_ARM, -_PLUS_HALF),
    (-_PLUS_HALF, -_PLUS_HALF),
)
_TRIANGLE: Polygon = ((0, -0.46), (0.5, 0.40), (-0.5, 0.40))
_HOLE: Polygon = ((0, -0.16), (0.26, 0.25), (-0.26, 0.25))
_CORNER_TRIANGLE: Polygon = ((-0.44, -0.44), (0.44, 0.44), (-0.44, 0.44))
_HOURGLASS: Polygon = ((-0.44, -0.46), (0.44, -0.46), (0.06, 0), (0.44, 0.46), (-0.44, 0.46), (-0.06, 0))
_ELBOW: Polygon = ((-0.44, -0.44), (-0.14, -0.44), (-0.14, 0.14), (0.44, 0.14), (0.44, 0.44), (-0.44, 0.44))
_STEP: Polygon = ((-0.46, -0.46), (0, -0.46), (0, 0), (0.46, 0), (0.46, 0.46), (-0.46, 0.46))
_SQUARE = _box(-0.42, -0.42, 0.42, 0.42)
_DIAMOND = _regular(4, 0.5)
_DISC = _circle(0.46)
_DOT = 0.17


def _plain() -> list[Symbol]:
    """Return the plain marks, those that are read most easily first."""
    diagonal = _turned(_PLUS, 45)
    return [
        (_PLUS,),
        (_circle(0.22),),
        (_bar(0.3),),
        (_DISC, _circle(0.26)),
        (diagonal,),
        (_turned(_TRIANGLE, 180),),
        (_bar(0.3, 90),),
        (_DIAMOND,),
        (_TRIANGLE,),
        (_bar(0.26, -45, length=1.15),),
        (_SQUARE, _box(-0.22, -0.22, 0.22, 0.22)),
        (_bar(0.22, 0, -0.24), _bar(0.22, 0, 0.24)),
        (_chevron(0),),
        (_star(5, 0.52, 0.2),),
        (_bar(0.26, 45, length=1.15),),
        (_DIAMOND, _regular(4, 0.24)),
        (_bar(0.22, 90, -0.24), _bar(0.22, 90, 0.24)),
        (_DISC,),
        (_half_disc(180),),
        (_turned(_TRIANGLE, -90),),
        (_circle(_DOT, -0.29), _circle(_DOT, 0.29)),
        (_CORNER_TRIANGLE,),
        (_chevron(180),),
        (_half_disc(0),),
        (_turned(_TRIANGLE, 90),),
        (_circle(_DOT, 0, -0.29), _circle(_DOT, 0, 0.29)),
        (_turned(_CORNER_TRIANGLE, 180),),
        (_chevron(90),),
        (_half_disc(90),),
        (_HOURGLASS,),
        (_circle(_DOT, -0.29, 0.25), _circle(_DOT, 0.29, 0.25), _circle(_DOT, 0, -0.26)),
        (_chevron(-90),),
        (_half_disc(-90),),
        (_turned(_HOURGLASS, 90),),
        tuple(_circle(_DOT, x, y) for x in (-0.28, 0.28) for y in (-0.28, 0.28)),
        (_turned(_ELBOW, -90),),
        (_TRIANGLE, _HOLE),
        (_star(4, 0.54, 0.16),),
        (_bar(0.15, 0, -0.36), _bar(0.15), _bar(0.15, 0, 0.36)),
        (_turned(_ELBOW, 180),),
        (_box(-0.44, -0.44, 0, 0), _box(0, 0, 0.44, 0.44)),
        (_DISC, _circle(0.32), _circle(0.15)),
        (_bar(0.15, 90, -0.36), _bar(0.15, 90), _bar(0.15, 90, 0.36)),
        (_thin_chevron(0, -0.2), _thin_chevron(0, 0.18)),
        (_turned(_STEP, -90),),
        (_turned(_TRIANGLE, 180), _turned(_HOLE, 180)),
        (_thin_chevron(90, -0.2), _thin_chevron(90, 0.18)),
        (_bar(0.18, -45, -0.2, 0.9), _bar(0.18, -45, 0.2, 0.9)),
        (_bar(0.18, 45, -0.2, 0.9), _bar(0.18, 45, 0.2, 0.9)),
        (*(_circle(0.14, x, y) for x in (-0.34, 0.34) for y in (-0.34, 0.34)), _circle(0.14)),
        (_DISC, _bar(0.25, length=0.66)),
        (_star(6, 0.52, 0.26, -60),),
        (_DISC, _bar(0.25, 90, length=0.66)),
    ]


def _with_bar(symbol: Symbol, degrees: float) -> Symbol:
    """Return a smaller mark with a bar beside it: below at 0 degrees, and on turned clockwise."""
    small = _scaled(symbol, 0.66)
    angle = math.radians(degrees)
    away_x, away_y = 0.17 * math.sin(angle), -0.17 * math.cos(angle)
    return (
        *(_moved(polygon, away_x, away_y) for polygon in small),
        _turned(_box(-0.46, 0.34, 0.46, 0.5), degrees),
    )


@cache
def symbols() -> tuple[Symbol, ...]:
    """Return all symbols, the plain ones first."""
    plain = _plain()
    return (*plain, *(_with_bar(symbol, degrees) for degrees in (0, 180, 90, 270) for symbol in plain))


PLAIN = len(_plain())


@cache
def similarity() -> NDArray[np.float64]:
    """Return how alike any two symbols look, shape (S, S), from 0 (nothing in common) to 1 (the same).

    Measured on rasters of 16 x 16 pixels, about what a print at 5 pt leaves to the eye, slightly blurred: the
    ink that two symbols share, divided by the ink that either has.
    """
    side = 16
    points = [[np.array(polygon) * (side - 4) + side / 2 for polygon in symbol] for symbol in symbols()]
    shapes = np.stack([coverage(polygons, (side, side)) for polygons in points])
    for axis in (1, 2):
        shapes = np.asarray((np.roll(shapes, 1, axis) + 2 * shapes + np.roll(shapes, -1, axis)) / 4)
    flat = shapes.reshape(len(shapes), -1)
    shared = np.stack([np.minimum(flat, one).sum(axis=1) for one in flat])
    either = np.stack([np.maximum(flat, one).sum(axis=1) for one in flat])
    return np.asarray(shared / either, np.float64)


def choose_symbols(touching: NDArray[np.int64], counts: Sequence[int]) -> list[int]:
    """Return a symbol for each colour, so that colours that lie next to each other get unlike ones.

    Greedy, the colour with most beads first: of the symbols that are left, each takes the one least like
    those of its neighbours, weighed by how often they touch.

    Parameters
    ----------
    touching : ndarray of shape (K, K), int64
        How many pairs of neighbouring beads have colours k and l; symmetric.
    counts : sequence of int
        Beads of each colour.

    Returns
    -------
    list of int
        Indices into `symbols`. Beyond that many colours symbols are used again.
    """
    colours, available = len(counts), len(symbols())
    # Plain marks as long as they last, since the others are read less easily.
    pool = np.arange(min(max(PLAIN, colours), available))
    alike = similarity()[np.ix_(pool, pool)] ** 2
    beside = touching * (1 - np.eye(colours))
    beside = beside / np.maximum(beside.sum(axis=1, keepdims=True), 1)
    chosen = np.full(colours, -1)
    uses = np.zeros(len(pool))
    for colour in sorted(range(colours), key=lambda colour: -counts[colour]):
        done = chosen >= 0
        clash = beside[colour, done] @ alike[chosen[done]]
        # The order of the list decides between equals, marks with bars come after the plain ones, and a
        # symbol is used again only when all are used.
        cost = clash + 3e-3 * np.arange(len(pool)) + 0.2 * (pool >= PLAIN) + 1e3 * uses
        chosen[colour] = int(cost.argmin())
        uses[chosen[colour]] += 1
    return [int(symbol) for symbol in chosen]
