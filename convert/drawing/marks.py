"""Marks that stand on a page besides the beads of the piece: lines, arrows, rings and single beads."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.drawing import style
from convert.drawing.piece import Outline
from convert.drawing.style import RGB
from convert.weave.beads import BeadSize

Point = tuple[float, float]
ARROW_MM = 3.6
_HEAD_MM, _HEAD_HALF_MM = 1.5, 0.62


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line, or a filled polygon where `width_mm` is 0.

    Parameters
    ----------
    points : tuple of (float, float)
        Corners in mm on the page.
    width_mm : float
        Width of the line, which has butt ends; 0 fills the polygon instead.
    colour : tuple of int
        sRGB bytes.
    layer : str
        Part of the drawing it belongs to.
    closed : bool
        Whether the line returns to its first point.
    """

    points: tuple[Point, ...]
    width_mm: float
    colour: RGB
    layer: str
    closed: bool = False


@dataclass(frozen=True, slots=True)
class KeyBead:
    """A single bead outside the piece, as in the key.

    Parameters
    ----------
    outline : Outline
        Shape of the bead.
    colour : int
        Index into ``piece.colours``.
    x_mm, y_mm : float
        Centre on the page.
    scale : float
        Millimetres on the page for a millimetre of the bead.
    """

    outline: Outline
    colour: int
    x_mm: float
    y_mm: float
    scale: float


def plain_bead(size: BeadSize, colour: RGB, x_mm: float, y_mm: float, longer_mm: float) -> list[Stroke]:
    """Return a bead without a symbol, its hole upright and its longer side of a length, about a point."""
    outline = Outline(size, 90.0, size.length_mm)
    scale = longer_mm / size.longer_mm
    strokes = []
    for inset, fill in ((0.0, style.rim_colour(colour)), (style.RIM_SHARE * size.shorter_mm, colour)):
        corners = (outline.polygon(inset) * scale + (x_mm, y_mm)).tolist()
        strokes.append(Stroke(tuple((x, y) for x, y in corners), 0.0, fill, "legend"))
    return strokes


def line(start: Point, end: Point, width_mm: float, colour: RGB, layer: str) -> Stroke:
    """Return a straight line."""
    return Stroke((start, end), width_mm, colour, layer)


def arrow(start: Point, end: Point, colour: RGB, layer: str, size: float = 1.0) -> list[Stroke]:
    """Return an arrow, its head `size` times the usual."""
    length = math.dist(start, end)
    x, y = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    head, half = _HEAD_MM * size, _HEAD_HALF_MM * size
    neck = end[0] - x * head, end[1] - y * head
    corners = end, (neck[0] - y * half, neck[1] + x * half), (neck[0] + y * half, neck[1] - x * half)
    return [
        line(start, neck, style.STRONG_MM * size, colour, layer),
        Stroke(corners, 0.0, colour, layer),
    ]


def ring(centre: Point, radius_mm: float, width_mm: float, colour: RGB, layer: str) -> Stroke:
    """Return a circle drawn as a line."""
    corners = 48
    angles = (2 * math.pi * corner / corners for corner in range(corners))
    points = tuple(
        (centre[0] + radius_mm * math.cos(angle), centre[1] + radius_mm * math.sin(angle)) for angle in angles
    )
    return Stroke(points, width_mm, colour, layer, closed=True)


def scale_bar(left_mm: float, y_mm: float, length_mm: float, layer: str) -> list[Stroke]:
    """Return a bar with upright ends, whose ticks are `length_mm` apart."""
    right, tick = left_mm + length_mm, 1.1
    return [
        line((left_mm, y_mm), (right, y_mm), style.STRONG_MM, style.INK, layer),
        *(
            line((x, y_mm - tick), (x, y_mm + tick), style.STRONG_MM, style.INK, layer)
            for x in (left_mm, right)
        ),
    ]


def stroke_polygons(stroke: Stroke) -> list[NDArray[np.float64]]:
    """Return what a stroke covers, as polygons under the even-odd rule, corners in mm of shape (N, 2)."""
    points = np.array(stroke.points)
    if stroke.width_mm == 0:
        return [points]
    steps = np.roll(points, -1, axis=0) - points
    normals = np.stack([-steps[:, 1], steps[:, 0]], axis=1) / np.linalg.norm(steps, axis=1, keepdims=True)
    before = np.roll(normals, 1, axis=0)
    if not stroke.closed:
        normals[-1], before[0] = normals[-2], normals[0]
    # The mitre at a corner lies along the sum of the normals of its two segments.
    mitre = normals + before
    mitre *= stroke.width_mm / np.sum(mitre**2, axis=1, keepdims=True)
    if stroke.closed:
        return [points + mitre, points - mitre]
    return [np.concatenate([points + mitre, (points - mitre)[::-1]])]
