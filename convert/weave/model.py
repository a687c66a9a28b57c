"""The weave as a planar map: beads are its edges, loops its faces, junctions its vertices.

The map is kept by SIDES: a side is one bead seen from one of its loops. A loop's sides follow each other
clockwise as seen on the page (y points down), and the corner after a side, where the thread turns into the
next bead of the loop, has the same number as the side.
"""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from convert.weave.beads import BeadSize
from convert.weave.spacing import Spacing

IntArray = NDArray[np.int32]
FloatArray = NDArray[np.float64]
RIM = -1


@dataclass(frozen=True, eq=False, slots=True)
class Seam:
    """Where a piece that is closed to a ring is laid open, so that it lies flat.

    Each bead and junction has one place on the page. Loops at one end have some of theirs at the other: for
    them these lie a round further on.

    Parameters
    ----------
    loops : int
        Loops in a round.
    round_mm : tuple of (float, float)
        Way from a place on the page to the same place a round further on.
    side_round : ndarray of shape (C,), int8
        By how many rounds the bead of each side is to be moved to lie at its loop.
    corner_round : ndarray of shape (C,), int8
        The same of the junction after each side.
    """

    loops: int
    round_mm: tuple[float, float]
    side_round: NDArray[np.int8]
    corner_round: NDArray[np.int8]

    def __post_init__(self) -> None:
        self.side_round.flags.writeable = False
        self.corner_round.flags.writeable = False

    def near(self, points: FloatArray, place: FloatArray) -> FloatArray:
        """Return points of shape (..., 2), each moved by whole rounds to where it lies nearest to a place."""
        once = np.array(self.round_mm)
        rounds = np.rint((points - place) @ once / (once @ once))
        return np.asarray(points - rounds[..., None] * once)

    def middle(self, walk: FloatArray) -> FloatArray:
        """Return the middle of the box about a walk from place to place, shape (N, 2), without jumps."""
        once = np.array(self.round_mm)
        jumps = np.rint(np.diff(walk, axis=0) @ once / (once @ once))
        straight = walk - np.append(0, np.cumsum(jumps))[:, None] * once
        return np.asarray((straight.min(axis=0) + straight.max(axis=0)) / 2)


@dataclass(frozen=True, eq=False)
class Weave:
    """Beads, loops and junctions of one piece. Arrays are read-only.

    Parameters
    ----------
    sizes : tuple of BeadSize
        Size of the core beads and of the connectors; equal in the one-size weave.
    spacing : Spacing
        Sides of the loops.
    bead_size : ndarray of shape (B,), uint8
        Index into `sizes` of each bead; all 0 in the one-size weave.
    bead_row : ndarray of shape (B,), int32
        Row of beads, for listing; beads are numbered row by row in reading order.
    junction_xy : ndarray of shape (J, 2), float64
        Positions in mm, y down.
    loop_xy : ndarray of shape (L, 2), float64
        Centres of the loops in mm.
    loop_start : ndarray of shape (L + 1,), int32
        The sides of loop l are ``loop_start[l]:loop_start[l + 1]``.
    loop_core : ndarray of shape (L,), bool
        Whether all beads of the loop are core beads.
    loop_row, loop_column : ndarray of shape (L,), int32
        Row (or round) and place in it, from 0.
    side_bead : ndarray of shape (C,), int32
        Bead of each side.
    side_junction : ndarray of shape (C,), int32
        Junction between each side and the next side of its loop.
    seam : Seam or None
        Where a piece that is closed to a ring is laid open.
    hanging : int
        Beads of the loop that the piece hangs by, see `convert.weave.hanging`: it is the last loop, and they
        are the last beads. 0 where there is none.
    """

    sizes: tuple[BeadSize, BeadSize]
    spacing: Spacing
    bead_size: NDArray[np.uint8]
    bead_row: IntArray
    junction_xy: FloatArray
    loop_xy: FloatArray
    loop_start: IntArray
    loop_core: NDArray[np.bool_]
    loop_row: IntArray
    loop_column: IntArray
    side_bead: IntArray
    side_junction: IntArray
    seam: Seam | None = None
    hanging: int = 0
    side_loop: IntArray = field(init=False)
    side_next: IntArray = field(init=False)
    side_previous: IntArray = field(init=False)
    side_twin: IntArray = field(init=False)
    bead_sides: IntArray = field(init=False)
    bead_junctions: IntArray = field(init=False)

    def __post_init__(self) -> None:
        corners, beads = len(self.side_bead), len(self.bead_size)
        sides = np.arange(corners, dtype=np.int32)
        lengths = np.diff(self.loop_start)
        side_next = sides + 1
        side_next[self.loop_start[1:] - 1] = self.loop_start[:-1]
        side_previous = np.empty_like(sides)
        side_previous[side_next] = sides

        # Writing the sides backwards and then forwards leaves each bead's first and last side.
        first = np.full(beads, RIM, np.int32)
        last = np.full(beads, RIM, np.int32)
        first[self.side_bead[::-1]] = sides[::-1]
        last[self.side_bead] = sides
        last[last == first] = RIM
        twin = np.full(corners, RIM, np.int32)
        shared = last != RIM
        twin[first[shared]] = last[shared]
        twin[last[shared]] = first[shared]

        derived = {
            "side_loop": np.repeat(np.arange(len(lengths), dtype=np.int32), lengths),
            "side_next": side_next,
            "side_previous": side_previous,
            "side_twin": twin,
            "bead_sides": np.stack([first, last], axis=1),
            "bead_junctions": np.stack(
                [self.side_junction[side_previous[first]], self.side_junction[first]], axis=1
            ),
        }
        for name, array in derived.items():
            object.__setattr__(self, name, array)
        for array in vars(self).values():
            if isinstance(array, np.ndarray):
                array.flags.writeable = False

    @property
    def beads(self) -> int:
        """Number of beads."""
        return len(self.bead_size)

    @property
    def loops(self) -> int:
        """Number of loops."""
        return len(self.loop_xy)

    @property
    def junctions(self) -> int:
        """Number of junctions."""
        return len(self.junction_xy)

    @property
    def corners(self) -> int:
        """Number of corners, the least number of passes that sews them all."""
        return len(self.side_bead)

    @property
    def one_size(self) -> bool:
        """Whether core beads and connectors are of one size."""
        return self.sizes[0] == self.sizes[1]

    @cached_property
    def rim_beads(self) -> NDArray[np.bool_]:
        """Return which beads belong to one loop only, shape (B,)."""
        return np.asarray(self.bead_sides[:, 1] == RIM)

    @cached_property
    def corner_xy(self) -> FloatArray:
        """Return where the junction after each side lies as its loop has it, shape (C, 2), in mm."""
        xy = self.junction_xy[self.side_junction]
        return xy if self.seam is None else xy + _moved(self.seam, self.seam.corner_round)

    @cached_property
    def side_xy(self) -> FloatArray:
        """Return where the middle of each side's bead lies as its loop has it, shape (C, 2), in mm."""
        xy = self.bead_xy[self.side_bead]
        return xy if self.seam is None else xy + _moved(self.seam, self.seam.side_round)

    @cached_property
    def bead_ends(self) -> FloatArray:
        """Return where the two junctions of each bead lie as the bead has them, shape (B, 2, 2), in mm."""
        if self.seam is None:
            return np.asarray(self.junction_xy[self.bead_junctions])
        side = self.bead_sides[:, 0]
        ends = np.stack([self.corner_xy[self.side_previous[side]], self.corner_xy[side]], axis=1)
        return np.asarray(ends - _moved(self.seam, self.seam.side_round[side])[:, None])

    @cached_property
    def bead_xy(self) -> FloatArray:
        """Return the centres of the beads in mm, shape (B, 2)."""
        return np.asarray(self.bead_ends.mean(axis=1))

    @cached_property
    def bead_side_mm(self) -> FloatArray:
        """Return the distance between the two junctions of each bead in the finished piece, shape (B,)."""
        return np.where(self.bead_size == 0, self.spacing.core_mm, self.spacing.connector_mm)

    @cached_property
    def bead_span_mm(self) -> FloatArray:
        """Return the distance between the two junctions of each bead as laid flat here, shape (B,).

        It differs from `bead_side_mm` in a piece that does not lie flat by itself.
        """
        ends = self.bead_ends
        return np.asarray(np.hypot(*(ends[:, 1] - ends[:, 0]).T))

    @cached_property
    def bead_direction(self) -> FloatArray:
        """Return unit vectors along the holes of the beads, shape (B, 2)."""
        ends = self.bead_ends
        return np.asarray((ends[:, 1] - ends[:, 0]) / self.bead_span_mm[:, None])

    @cached_property
    def loop_corners(self) -> FloatArray:
        """Return the outline of each loop, shape (L, K, 2), in mm, K being the most sides a loop has.

        A loop with fewer sides repeats its last corner.
        """
        sides = np.diff(self.loop_start)
        place = np.minimum(np.arange(sides.max()), sides[:, None] - 1)
        return np.asarray(self.corner_xy[self.loop_start[:-1, None] + place])

    @cached_property
    def cells(self) -> FloatArray:
        """Return the part of the plane each bead stands for, shape (B, 4, 2), in mm.

        The quadrilateral of a bead's two junctions and the centres of the two loops beside it. At the rim the
        missing centre is put where a sheet would have its next loop, one pitch from the centre that is there.
        """
        ends = self.bead_ends
        near, far = (self._beside(sides) for sides in self.bead_sides.T)
        outward = np.stack([self.bead_direction[:, 1], -self.bead_direction[:, 0]], axis=1)
        beyond = near + self.spacing.pitch_mm * outward
        far = np.where(self.rim_beads[:, None], beyond, far)
        return np.stack([ends[:, 0], near, ends[:, 1], far], axis=1)

    def _beside(self, sides: IntArray) -> FloatArray:
        """Return the centres of the loops of some sides as the beads of these have them, shape (N, 2)."""
        xy = self.loop_xy[self.side_loop[sides]]
        return xy if self.seam is None else xy - _moved(self.seam, self.seam.side_round[sides])

    @cached_property
    def bead_reach(self) -> FloatArray:
        """Return how far each bead's outline reaches from its centre along x and along y, shape (B, 2)."""
        along = np.abs(self.bead_direction)
        reach = np.empty((self.beads, 2))
        for index, size in enumerate(self.sizes):
            of_size = self.bead_size == index
            reach[of_size] = size.reach_mm(along[of_size], along[of_size, ::-1])
        return reach

    @cached_property
    def cell_mm2(self) -> FloatArray:
        """Return the area of each bead's cell, shape (B,)."""
        across = self.cells[:, 2] - self.cells[:, 0]
        along = self.cells[:, 3] - self.cells[:, 1]
        return np.abs(across[:, 0] * along[:, 1] - across[:, 1] * along[:, 0]) / 2

    @property
    def extent_mm(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of the finished piece, over the outlines of its beads."""
        left, top = (self.bead_xy - self.bead_reach).min(axis=0)
        right, bottom = (self.bead_xy + self.bead_reach).max(axis=0)
        return float(left), float(top), float(right), float(bottom)


def _moved(seam: Seam, rounds: NDArray[np.int8]) -> FloatArray:
    return np.asarray(rounds[:, None] * np.array(seam.round_mm))
