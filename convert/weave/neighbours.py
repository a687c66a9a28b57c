"""Which beads lie next to each other: those that meet at a junction."""

import numpy as np
from numpy.typing import NDArray

from convert.weave.model import IntArray, Weave

NONE = -1
_MOST_AT_JUNCTION = 3


def bead_neighbours(weave: Weave) -> IntArray:
    """Return the neighbours of each bead, shape (B, 4); -1 where there are fewer, as at the rim.

    A bead has up to two neighbours at each of its junctions: columns 0 and 1 are those at
    ``weave.bead_junctions[:, 0]``, columns 2 and 3 those at ``weave.bead_junctions[:, 1]``.
    """
    ends = weave.bead_junctions.ravel()
    order = np.argsort(ends, kind="stable")
    meeting = np.bincount(ends, minlength=weave.junctions)
    first = np.cumsum(meeting) - meeting
    place = np.empty(len(ends), np.intp)
    place[order] = np.arange(len(ends)) - np.repeat(first, meeting)

    at_junction = np.full((weave.junctions, _MOST_AT_JUNCTION), NONE, np.int32)
    at_junction[ends, place] = np.repeat(np.arange(weave.beads, dtype=np.int32), 2)
    # The two that follow the bead itself in the junction's circle of three.
    others = (place[:, None] + np.arange(1, _MOST_AT_JUNCTION)) % _MOST_AT_JUNCTION
    neighbours: IntArray = at_junction[ends[:, None], others].reshape(weave.beads, -1)
    return neighbours


def independent_classes(weave: Weave, neighbours: IntArray) -> NDArray[np.uint8]:
    """Return a class for each bead, shape (B,), such that no two neighbours are of one class.

    In a flat sheet these are the three directions of its beads, since the three beads of a junction point
    three ways. Where the loops do not lie like that, as in a motif about a loop of five, the beads are
    coloured greedily.

    Parameters
    ----------
    weave : Weave
        The piece.
    neighbours : ndarray of shape (B, 4), int32
        From `bead_neighbours`.
    """
    angle = np.arctan2(weave.bead_direction[:, 1], weave.bead_direction[:, 0])
    # Directions of a sheet are 60 degrees apart and may lie on 0, 60, 120 or on 30, 90, 150.
    start = angle[0] if len(angle) else 0.0
    direction = (np.rint((angle - start) / (np.pi / 3)) % 3).astype(np.uint8)
    beside = np.where(neighbours == NONE, 255, direction[neighbours])
    if not (beside == direction[:, None]).any():
        return direction
    return _greedy_classes(neighbours)


def _greedy_classes(neighbours: IntArray) -> NDArray[np.uint8]:
    """Return the least class free among the neighbours, by rounds of beads first among their neighbours.

    Which bead comes first is decided by a fixed scramble of the numbers, so that a few rounds suffice
    (Jones, Plassmann 1993, "A parallel graph coloring heuristic").
    """
    beads = len(neighbours)
    unset = np.uint8(255)
    scramble = np.arange(beads, dtype=np.uint64) * np.uint64(0x9E3779B97F4A7C15)
    priority = np.append(np.argsort(np.argsort(scramble, kind="stable"), kind="stable"), -1)
    classes = np.full(beads + 1, unset)  # the last stands for the neighbours that are not there
    left = np.arange(beads)
    while len(left):
        beside = neighbours[left]
        rivals = np.where(classes[beside] == unset, priority[beside], -1)
        first = priority[left] > rivals.max(axis=1)
        chosen = left[first]
        taken = classes[neighbours[chosen]][:, :, None] == np.arange(5, dtype=np.uint8)
        classes[chosen] = taken.any(axis=1).argmin(axis=1)
        left = left[~first]
    return classes[:-1]


def row_order(weave: Weave, classes: NDArray[np.uint8]) -> NDArray[np.int64]:
    """Return when each bead has its turn, row after row, shape (B,); neighbours never at the same time.

    Within a row one class goes after the other, and every other pair of rows the other way round, so that the
    order leans neither left nor right. Beads at the same time are far enough apart to be worked on together.

    Parameters
    ----------
    weave : Weave
        The piece.
    classes : ndarray of shape (B,), uint8
        From `independent_classes`.
    """
    count = int(classes.max()) + 1
    turned = weave.bead_row // 2 % 2 == 1
    within = np.where(turned, count - 1 - classes.astype(np.int64), classes)
    return np.asarray(weave.bead_row * count + within, np.int64)
