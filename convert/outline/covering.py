"""How much of each loop an outline covers, exactly.

Seen from the centre of a hexagon, the area that a polygon shares with it is the signed sum over the polygon's
edges of what lies between the edge and the centre: where the edge runs inside the hexagon a triangle, where
it runs outside a sector of the hexagon.
"""

import math

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
_SIDES = 6
_SIXTH = math.pi / 3
_COS30 = math.sqrt(3) / 2
# Loops that are compared with all edges at a time.
_AT_ONCE = 4096


def shares(centres: FloatArray, pitch: float, turned: float, points: FloatArray) -> FloatArray:
    """Return the share of each hexagon that a polygon covers, shape (L,).

    Parameters
    ----------
    centres : ndarray of shape (L, 2)
        Centres of regular hexagons.
    pitch : float
        Distance between two opposite sides.
    turned : float
        Angle from the x axis at which the middle of a side lies, in radians.
    points : ndarray of shape (N, 2)
        Corners of the polygon in turn; it does not cross itself.
    """
    found = [
        _shared(centres[start : start + _AT_ONCE], pitch / 2, turned, points)
        for start in range(0, len(centres), _AT_ONCE)
    ]
    area = _SIDES * math.tan(_SIXTH / 2) * (pitch / 2) ** 2
    return np.abs(np.concatenate(found)) / area


def _shared(centres: FloatArray, apothem: float, turned: float, points: FloatArray) -> FloatArray:
    """Return the signed area that each hexagon shares with a polygon, shape (L,)."""
    start = points[None] - centres[:, None]
    end = np.roll(start, -1, axis=1)
    outside = _sector(start, end, apothem, turned)
    # Only an edge that begins within its own length of a hexagon can run inside it.
    length = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
    loop, edge = np.nonzero(np.hypot(start[..., 0], start[..., 1]) <= apothem / _COS30 + length)
    near = _near(start[loop, edge], end[loop, edge], apothem, turned) - outside[loop, edge]
    return np.asarray(outside.sum(axis=1) + np.bincount(loop, near, len(centres)))


def _near(start: FloatArray, end: FloatArray, apothem: float, turned: float) -> FloatArray:
    """Return the signed area of a hexagon about the origin between it and each of some edges, shape (P,)."""
    normals = turned + _SIXTH * np.arange(_SIDES)
    normals = np.stack([np.cos(normals), np.sin(normals)])
    out_start, out_end = start @ normals - apothem, end @ normals - apothem
    # Where along the edge it comes inside each side of the hexagon and where it leaves (Cyrus, Beck 1978).
    change = out_end - out_start
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = np.where(change == 0, 0.0, -out_start / change)
    enters = np.where(change < 0, crossing, np.where((change == 0) & (out_start > 0), 2.0, 0.0))
    leaves = np.where(change > 0, crossing, 1.0)
    first = np.clip(enters.max(axis=1), 0, 1)
    last = np.clip(leaves.min(axis=1), 0, 1)
    misses = first >= last
    first, last = np.where(misses, 1.0, first), np.where(misses, 1.0, last)
    step = end - start
    comes, goes = start + first[:, None] * step, start + last[:, None] * step
    within = (comes[:, 0] * goes[:, 1] - comes[:, 1] * goes[:, 0]) / 2
    return np.asarray(within + _sector(start, comes, apothem, turned) + _sector(goes, end, apothem, turned))


def _sector(one: FloatArray, other: FloatArray, apothem: float, turned: float) -> FloatArray:
    """Return the signed area of the hexagon between the directions of two points."""
    angle = np.arctan2(one[..., 1], one[..., 0]) - turned
    turn = np.arctan2(one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0], (one * other).sum(axis=-1))
    return _up_to(angle + turn, apothem) - _up_to(angle, apothem)


def _up_to(angle: FloatArray, apothem: float) -> FloatArray:
    """Return the area of the hexagon from the middle of its first side to an angle."""
    side = np.rint(angle / _SIXTH)
    return np.asarray(apothem**2 * (side * math.tan(_SIXTH / 2) + np.tan(angle - side * _SIXTH) / 2))
