"""The outer tips of a piece, where an edge with points has its small beads."""

import numpy as np
from numpy.typing import NDArray

from convert.weave.model import RIM, IntArray, Weave

# Places are compared on a grid of this share of a loop's side; an odd shift keeps them off its lines.
_GRID, _SHIFT = 1e-3, 0.3183


def outer_tips(weave: Weave) -> IntArray:
    """Return the junctions of the outer rim that a small bead can be set on, shape (T,), ascending.

    Parameters
    ----------
    weave : Weave
        The piece.
    """
    meeting = np.bincount(weave.bead_junctions.ravel(), minlength=weave.junctions)
    tips = np.flatnonzero((meeting == 2) & outer_junctions(weave)).astype(np.int32)
    return tips[~_facing(weave, tips)]


def outer_junctions(weave: Weave) -> NDArray[np.bool_]:
    """Return which junctions lie on the outer rim, shape (J,); those round holes do not.

    Parameters
    ----------
    weave : Weave
        The piece, whose loops hang together.
    """
    sides = np.flatnonzero(weave.side_twin == RIM)
    place = np.full(weave.corners, RIM, np.int64)
    place[sides] = np.arange(len(sides))
    # The rim goes on in the next side of the loop, or if that is shared in the next of its neighbour.
    onward = weave.side_next[sides]
    twin = weave.side_twin[onward]
    following = place[np.where(twin == RIM, onward, weave.side_next[twin])]
    # Each round of the rim gets the least place in it, over ever longer steps.
    least = np.arange(len(sides))
    while True:
        lower = np.minimum(least, least[following])
        following = following[following]
        if (lower == least).all():
            break
        least = lower
    # Whatever lies furthest to the left is outside.
    junctions = weave.side_junction[sides]
    outermost = least[weave.junction_xy[junctions, 0].argmin()]
    outer = np.zeros(weave.junctions, bool)
    outer[junctions[least == outermost]] = True
    return outer


def outward(weave: Weave, tips: IntArray) -> NDArray[np.float64]:
    """Return the unit vectors that point away from the piece at junctions where two beads meet, shape (T, 2).

    Parameters
    ----------
    weave : Weave
        The piece.
    tips : ndarray of shape (T,), int32
        Junctions, ascending.
    """
    number = np.full(weave.junctions, -1)
    number[tips] = np.arange(len(tips))
    bead, end = np.nonzero(number[weave.bead_junctions] >= 0)
    into = weave.bead_direction[bead] * np.where(end == 0, 1.0, -1.0)[:, None]
    out = np.zeros((len(tips), 2))
    np.add.at(out, number[weave.bead_junctions[bead, end]], -into)
    return np.asarray(out / np.linalg.norm(out, axis=1, keepdims=True))


def _facing(weave: Weave, tips: IntArray) -> NDArray[np.bool_]:
    """Return which tips have another where a bead between them would end, shape (T,)."""
    xy, out = weave.junction_xy[tips], outward(weave, tips)
    facing = np.zeros(len(tips), bool)
    for side in {weave.spacing.core_mm, weave.spacing.connector_mm}:
        facing |= np.isin(_keys(weave, xy + side * out), _keys(weave, xy))
    return facing


def _keys(weave: Weave, xy: NDArray[np.float64]) -> NDArray[np.int64]:
    grid = np.rint(xy / (_GRID * weave.spacing.side_mm) + _SHIFT).astype(np.int64)
    return grid[:, 0] * (1 << 32) + grid[:, 1]
