"""The outer tips of a piece, and the small beads that an edge with points has on them.

A tip's bead lies in no loop: it is strung between the two rim beads that meet at its junction. It is numbered
after the beads of the weave, tip after tip; that is known here alone, all else asks `Tips`.
"""

from dataclasses import dataclass
from typing import Any, TypeVar
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import ArrayLike, NDArray

from convert.weave.beads import BeadSize
from convert.weave.model import RIM, FloatArray, IntArray, Weave

# Places are compared on a grid of this share of a loop's side; an odd shift keeps them off its lines.
_GRID, _SHIFT = 1e-3, 0.3183
Of = TypeVar("Of", bound=np.generic)


@dataclass(frozen=True, eq=False)
class Tips:
    """The small beads at the outer tips of a piece, as far as it is given an edge with points.

    Parameters
    ----------
    junctions : ndarray of shape (T,), int32
        Where only two beads meet, on the outer rim and not in a hole, unless two such junctions face each
        other across a gap one bead wide: there is no room for a bead between them. Ascending.
    size_index : int
        Index into the sizes of the weave: that of the smaller.
    size : BeadSize
        That size.
    first : int
        Number of the first of these beads.
    """

    junctions: IntArray
    size_index: int
    size: BeadSize
    first: int

    def __len__(self) -> int:
        """Return how many tips there are."""
        return len(self.junctions)

    @property
    def numbers(self) -> range:
        """Numbers of the beads, in the order of `junctions`."""
        return range(self.first, self.first + len(self))

    def are(self, beads: ArrayLike) -> NDArray[np.bool_]:
        """Return which beads are such small ones."""
        return np.asarray(np.asarray(beads) >= self.first)

    def place(self, bead: int) -> int:
        """Return the place in `junctions` of a bead that is such a small one."""
        return bead - self.first

    def junction_of(self, beads: NDArray[np.integer[Any]]) -> IntArray:
        """Return the junctions of beads that are such small ones."""
        return np.asarray(self.junctions[beads - self.first])

    def extended(self, of_beads: NDArray[Of], of_tips: ArrayLike) -> NDArray[Of]:
        """Return values of the beads of the weave and, after them, of all small beads or one for them all."""
        ends = np.broadcast_to(np.asarray(of_tips, of_beads.dtype), (len(self), *of_beads.shape[1:]))
        return np.concatenate([of_beads, ends])

    def parted(self, of_all: NDArray[Of]) -> tuple[NDArray[Of], NDArray[Of]]:
        """Return values of the beads of the weave, and of the small beads, of which there may be none."""
        return of_all[: self.first], of_all[self.first :]


_KNOWN: "WeakKeyDictionary[Weave, Tips]" = WeakKeyDictionary()


def tips_of(weave: Weave) -> Tips:
    """Return the small beads that fit on the outer tips of a piece."""
    if weave not in _KNOWN:
        core, connector = weave.sizes
        smaller = int(connector.diameter_mm < core.diameter_mm)
        _KNOWN[weave] = Tips(outer_tips(weave), smaller, weave.sizes[smaller], weave.beads)
    return _KNOWN[weave]


def woven_only(weave: Weave, of_all: NDArray[Of]) -> NDArray[Of]:
    """Return values of the beads of the weave, without those of small beads at its tips."""
    return of_all[: weave.beads]


def outer_tips(weave: Weave) -> IntArray:
    """Return the junctions of the outer rim that a small bead can be set on, shape (T,), ascending.

    Parameters
    ----------
    weave : Weave
        The piece.
    """
    meeting = np.bincount(weave.bead_junctions.ravel(), minlength=weave.junctions)
    outer = (meeting == 2) & outer_junctions(weave)
    # The loop that a piece hangs by stays smooth.
    outer[weave.junctions - max(0, weave.hanging - 1) :] = False
    tips = np.flatnonzero(outer).astype(np.int32)
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
    junctions = weave.side_junction[sides]
    outer = np.zeros(weave.junctions, bool)
    if weave.seam is not None:
        # A ring has two: those that come out a round further on than they began.
        along = weave.corner_xy[sides] - weave.corner_xy[weave.side_previous[sides]]
        way = np.zeros((len(sides), 2))
        np.add.at(way, least, along)
        outer[junctions[np.hypot(*way.T)[least] > weave.spacing.side_mm]] = True
        return outer
    # Whatever lies furthest to the left is outside.
    outermost = least[weave.junction_xy[junctions, 0].argmin()]
    outer[junctions[least == outermost]] = True
    return outer


def outward(weave: Weave, tips: IntArray) -> FloatArray:
    """Return the unit vectors that point away from the piece at junctions where two beads meet, shape (T, 2).

    Parameters
    ----------
    weave : Weave
        The piece.
    tips : ndarray of shape (T,), int32
        Junctions, ascending.
    """
    _, tip, into, _ = _beads_at(weave, tips)
    out = np.zeros((len(tips), 2))
    np.add.at(out, tip, -into)
    return np.asarray(out / np.linalg.norm(out, axis=1, keepdims=True))


def tip_places(weave: Weave) -> tuple[FloatArray, FloatArray]:
    """Return the centre of the small bead at each outer tip and the unit vector along its hole, (T, 2) each.

    It is pushed in until it touches one of its two rim beads. Two convex outlines are apart if along some
    direction their centres are at least the sum of their reaches apart, see `convert.weave.spacing`.

    Parameters
    ----------
    weave : Weave
        The piece.
    """
    tips = tips_of(weave).junctions
    bead, tip, into, end_xy = _beads_at(weave, tips)
    out = outward(weave, tips)
    hole = np.stack([out[:, 1], -out[:, 0]], axis=1)

    angles = np.linspace(-np.pi / 2, np.pi / 2, 361)[1:-1]
    cosine, sine = np.cos(angles), np.sin(angles)

    def along(vector: FloatArray) -> FloatArray:
        # A direction has a cosine along the tip's way out and a sine along its hole.
        return np.asarray(
            np.outer((vector * out[tip]).sum(axis=1), cosine)
            + np.outer((vector * hole[tip]).sum(axis=1), sine)
        )

    distance, along_bead = along(end_xy - weave.bead_xy[bead]), along(into)
    across_bead = np.sqrt(np.maximum(0, 1 - along_bead**2))
    reach = np.broadcast_to(tips_of(weave).size.reach_mm(sine, cosine), distance.shape).copy()
    for index, size in enumerate(weave.sizes):
        of_size = weave.bead_size[bead] == index
        reach[of_size] += size.reach_mm(along_bead[of_size], across_bead[of_size])
    push = ((reach - distance) / cosine).min(axis=1)
    # Where beads are drawn further apart than they are, nothing holds the tip back: it stays at its junction.
    furthest = np.zeros(len(tips))
    np.maximum.at(furthest, tip, push)
    return weave.junction_xy[tips] + furthest[:, None] * out, hole


def _beads_at(
    weave: Weave, tips: IntArray
) -> tuple[NDArray[np.intp], NDArray[np.intp], FloatArray, FloatArray]:
    """Return the beads that meet at some junctions, each with the junction's place in the list.

    Then come the way into the bead from there, and where the junction lies as the bead has it.
    """
    number = np.full(weave.junctions, -1)
    number[tips] = np.arange(len(tips))
    bead, end = np.nonzero(number[weave.bead_junctions] >= 0)
    into = weave.bead_direction[bead] * np.where(end == 0, 1.0, -1.0)[:, None]
    return bead, number[weave.bead_junctions[bead, end]], into, weave.bead_ends[bead, end]


def _facing(weave: Weave, tips: IntArray) -> NDArray[np.bool_]:
    """Return which tips have another where a bead between them would end, shape (T,)."""
    xy, out = weave.junction_xy[tips], outward(weave, tips)
    facing = np.zeros(len(tips), bool)
    for side in {weave.spacing.core_mm, weave.spacing.connector_mm}:
        facing |= np.isin(_keys(weave, xy + side * out), _keys(weave, xy))
    return facing


def _keys(weave: Weave, xy: FloatArray) -> NDArray[np.int64]:
    if weave.seam is not None:
        # Off the lattice, so that no point lies half a round from it.
        xy = weave.seam.near(xy, weave.loop_xy[0] + _SHIFT * weave.spacing.side_mm)
    grid = np.rint(xy / (_GRID * weave.spacing.side_mm) + _SHIFT).astype(np.int64)
    return grid[:, 0] * (1 << 32) + grid[:, 1]
