"""A fixed order of the beads of a sheet in which the first n are always spread evenly: blue noise.

The centres of the beads of a sheet are the points of a triangular lattice of half a pitch, without every
point that is even in both of its oblique coordinates (u, v): those are the centres of the loops. One patch
of that lattice, closed to a torus, is ordered by the void-and-cluster method (Ulichney 1993, "The
void-and-cluster method for dither array generation", Proc. SPIE 1913, 332-343) and shipped as
``blue_noise.csv``; the sheet is tiled with it.
"""

import math
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

PATCH_LOOPS = 32
# Ulichney's width of 1.5 distances of points, for evenly spread beads: three in a loop's hexagon of area
# 2 sqrt(3) in units of half a pitch.
_WIDTH = 1.5 * math.sqrt(2 * math.sqrt(3) / 3)
_FIRST = 0.1  # share of points in the pattern that the method starts from
# Whole numbers, so that every machine finds the same order.
_KERNEL_UNIT = 1 << 24


def void_and_cluster(loops: int = PATCH_LOOPS) -> NDArray[np.int32]:
    """Return the order of the beads of a torus of loops x loops.

    Parameters
    ----------
    loops : int
        Loops on a side of the patch.

    Returns
    -------
    ndarray of shape (2 * loops, 2 * loops), int32
        At [v, u] the place of that bead in the order, from 0 to 3 * loops ** 2 - 1; -1 at loop centres.
    """
    side = 2 * loops
    v, u = np.mgrid[:side, :side]
    bead = ((u % 2 == 1) | (v % 2 == 1)).ravel()
    beads = int(bead.sum())

    # The kernel over two periods, so that a window of it is the kernel about any point of the torus.
    steps = np.arange(-side, side)
    images = np.zeros((2 * side, 2 * side))
    for down in (-side, 0, side):
        for right in (-side, 0, side):
            dv, du = np.mod(steps, side)[:, None] + down, np.mod(steps, side)[None] + right
            images += np.exp(-(du * du + du * dv + dv * dv) / (2 * _WIDTH**2))
    kernel = np.rint(images * _KERNEL_UNIT).astype(np.int64)
    crowding = np.zeros((side, side), np.int64)
    placed = np.zeros(side * side, bool)

    def put(point: int, sign: int) -> None:
        row, column = divmod(point, side)
        crowding[...] += sign * kernel[side - row : 2 * side - row, side - column : 2 * side - column]
        placed[point] = sign > 0

    def tightest() -> int:
        return int(np.where(placed, crowding.ravel(), -1).argmax())

    def emptiest() -> int:
        return int(np.where(bead & ~placed, crowding.ravel(), np.iinfo(np.int64).max).argmin())

    scramble = np.arange(side * side, dtype=np.uint64) * np.uint64(0x9E3779B97F4A7C15)
    start = np.argsort(np.where(bead, scramble, np.iinfo(np.uint64).max), kind="stable")
    for point in start[: round(beads * _FIRST)].tolist():
        put(point, 1)
    while True:
        crowded = tightest()
        put(crowded, -1)
        empty = emptiest()
        put(empty, 1)
        if empty == crowded:
            break

    order = np.full(side * side, -1, np.int32)
    first = placed.copy()
    for place in range(int(first.sum()) - 1, -1, -1):
        crowded = tightest()
        put(crowded, -1)
        order[crowded] = place
    for point in np.flatnonzero(first).tolist():
        put(point, 1)
    # Every point of the torus has the same surroundings, so the emptiest place is to the last also the most
    # crowded of those left over, which Ulichney seeks in his third phase.
    for place in range(int(first.sum()), beads):
        empty = emptiest()
        put(empty, 1)
        order[empty] = place
    return order.reshape(side, side)


@cache
def _patch() -> NDArray[np.int32]:
    text = (files("convert.choice") / "blue_noise.csv").read_text(encoding="ascii")
    return np.array([line.split(",") for line in text.split()], np.int32)


def thresholds(bead_xy: NDArray[np.float64], pitch: float) -> NDArray[np.float64]:
    """Return a threshold for each bead, evenly spread over (0, 1) and over the sheet.

    Parameters
    ----------
    bead_xy : ndarray of shape (B, 2)
        Centres of the beads, from the centre of a loop, with rows of loops along x. Beads that lie
        elsewhere, as in a motif, take the threshold of a place of the sheet beside them.
    pitch : float
        Distance between the centres of neighbouring loops.

    Returns
    -------
    ndarray of shape (B,), float64
    """
    half = pitch / 2
    row = bead_xy[:, 1] / (half * math.sqrt(3) / 2)
    v = np.rint(row).astype(np.int64)
    u = np.rint(bead_xy[:, 0] / half - v / 2).astype(np.int64)
    u += (u % 2 == 0) & (v % 2 == 0)
    patch = _patch()
    order = patch[v % len(patch), u % len(patch)]
    beads = 3 * (len(patch) // 2) ** 2
    spread: NDArray[np.float64] = (order + 0.5) / beads
    return spread
