"""The flower: rounds of loops about a centre loop of three to eight beads.

Cut the flat sheet into sectors of 60 degrees about a core loop and put k of them together: six lie flat,
fewer close into a cup, more ruffle. Loop (sector, round j, place b) lies j steps out along the sector's axis
and b steps, 0 <= b < j, towards the next axis. Where a step leaves the sector it enters the one beside it, so
every loop but the centre has six sides, whatever k is.

The three-colouring of the sheet is that of (j + b) mod 3 with its sign changed from sector to sector. Class
0, the cores, is the same in all of them, and two sectors side by side are a part of the sheet; so every inner
junction lies on exactly one core for odd k, too, though the other two classes then meet each other.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.errors import SizeError
from convert.weave.beads import BeadSize
from convert.weave.lattice import SIDES
from convert.weave.model import RIM, FloatArray, IntArray, Weave
from convert.weave.spacing import Spacing

CENTRES = range(3, 9)
FLAT = 6
MOST_ROUNDS = 500
# Room for beads that meet at other angles than in a sheet; by trial with all sizes of bead, see the tests.
_ROOM = 0.22
# Steps to the neighbour that each side faces, clockwise from the sector's axis, as (round, place).
_STEP_ROUND = np.array([1, 1, 0, -1, -1, 0])
_STEP_PLACE = np.array([0, 1, 1, 0, -1, -1])
_BEADS_OUTWARD = np.array([0, 1, 0, 0, 0, -1])


def flower_beads(rounds: int, centre: int) -> int:
    """Return the number of beads of a flower."""
    return centre * (1 + rounds + 3 * rounds * (rounds + 1) // 2)


def check_flower(rounds: int, centre: int) -> None:
    """Refuse a flower that cannot be woven.

    Raises
    ------
    SizeError
        There is no round, there are far too many, or the centre has too few beads or too many.
    """
    if rounds < 1:
        raise SizeError(
            f"a flower has at least 1 round about its centre, not {rounds}", "give --rounds 1 or more"
        )
    if rounds > MOST_ROUNDS:
        raise SizeError(f"{rounds} rounds are more than can be woven", f"give at most {MOST_ROUNDS}")
    if centre not in CENTRES:
        raise SizeError(
            f"a centre loop has {CENTRES[0]} to {CENTRES[-1]} beads, not {centre}",
            "3 to 5 close into a cup, 6 lies flat, 7 and 8 ruffle",
        )


def drawn_scale(centre: int) -> float:
    """Return how much larger than life a flower is drawn along its radius, 1 where it lies flat by itself."""
    turn = FLAT / centre
    return max(1.0, 1 / turn) * (1 + _ROOM * abs(turn - 1))


@dataclass(frozen=True, slots=True)
class _Places:
    """Loops but the centre, by sector, round from 1 and place from 0, each of shape (L - 1,)."""

    sectors: int
    sector: NDArray[np.int64]
    round: NDArray[np.int64]
    place: NDArray[np.int64]

    @classmethod
    def of(cls, rounds: int, sectors: int) -> "_Places":
        """Return the places in the order of the loops: round by round, clockwise from the first axis."""
        in_round = sectors * np.arange(1, rounds + 1)
        number = np.repeat(np.arange(1, rounds + 1), in_round)
        along = np.arange(len(number)) - np.repeat(np.cumsum(in_round) - in_round, in_round)
        return cls(sectors, along // number, number, along % number)

    def loop(
        self, sector: NDArray[np.int64], number: NDArray[np.int64], place: NDArray[np.int64]
    ) -> IntArray:
        """Return the number of the loop at each place."""
        before = 1 + self.sectors * number * (number - 1) // 2
        return np.where(number == 0, 0, before + sector % self.sectors * number + place).astype(np.int32)


def flower(rounds: int, centre: int, sizes: tuple[BeadSize, BeadSize], spacing: Spacing) -> Weave:
    """Return the weave of a flower.

    It is laid flat for the chart by squeezing or stretching the angle about the centre by 6 / centre, and
    drawn larger by `drawn_scale` along its radius, so that no beads are squeezed into each other.

    Parameters
    ----------
    rounds : int
        Rounds of loops about the centre loop.
    centre : int
        Beads of the centre loop; all other loops have six.
    sizes : tuple of BeadSize
        Core and connector; the centre is a core.
    spacing : Spacing
        Sides of the loops.

    Raises
    ------
    SizeError
        See `check_flower`.
    """
    check_flower(rounds, centre)
    at = _Places.of(rounds, centre)
    loops = 1 + len(at.round)
    loop_start = np.append(0, centre + SIDES * np.arange(loops, dtype=np.int64)).astype(np.int32)
    twin = _twins(at, rounds)
    side_bead = _beads(at, twin)
    side_junction = _junctions(loop_start, twin)

    core_class = np.append(0, (at.round + at.place) % 3)
    beyond = (at.round + at.place)[:, None] + _STEP_ROUND + _STEP_PLACE
    on_core = np.append(np.ones(centre, bool), ((core_class[1:, None] == 0) | (beyond % 3 == 0)).ravel())
    bead_size = np.zeros(flower_beads(rounds, centre), np.uint8)
    one_size = sizes[0] == sizes[1]
    if not one_size:
        bead_size[side_bead] = ~on_core
    loop_xy, corner_xy = _positions(at, spacing)
    junction_xy = np.empty((int(side_junction.max()) + 1, 2))
    junction_xy[side_junction] = corner_xy
    return Weave(
        sizes=sizes,
        spacing=spacing,
        bead_size=bead_size,
        bead_row=np.repeat(np.arange(2 * rounds + 1, dtype=np.int32), _beads_in_row(rounds, centre)),
        junction_xy=junction_xy,
        loop_xy=loop_xy,
        loop_start=loop_start,
        loop_core=np.ones(loops, bool) if one_size else core_class == 0,
        loop_row=np.append(0, at.round).astype(np.int32),
        loop_column=np.append(0, at.sector * at.round + at.place).astype(np.int32),
        side_bead=side_bead,
        side_junction=side_junction,
    )


def _twins(at: _Places, rounds: int) -> IntArray:
    """Return the side on the other side of each side's bead, -1 at the rim, shape (C,)."""
    sectors = at.sectors
    facing = np.broadcast_to((np.arange(SIDES) + SIDES // 2) % SIDES, (len(at.round), SIDES)).copy()
    sector = np.repeat(at.sector[:, None], SIDES, axis=1)
    number = at.round[:, None] + _STEP_ROUND
    place = at.place[:, None] + _STEP_PLACE
    # Beyond the last place of a round lies the first of the next sector, whose axis is turned by one side.
    ahead = (place == number) & (number > 0)
    behind = place < 0
    sector = sector + ahead - behind
    facing = np.where(ahead, (facing - 1) % SIDES, np.where(behind, (facing + 1) % SIDES, facing))
    number, place = np.where(behind, number + 1, number), np.where(ahead, 0, np.where(behind, number, place))
    neighbour = at.loop(sector, number, place)
    twin = np.where(neighbour == 0, at.sector[:, None], sectors + SIDES * (neighbour - 1) + facing)
    twin = np.where(number > rounds, RIM, twin)
    # Side s of the centre faces the first loop of sector s, which has the centre behind it.
    first = sectors + SIDES * np.arange(sectors) + SIDES // 2
    return np.append(first, twin.ravel()).astype(np.int32)


def _beads_in_row(rounds: int, sectors: int) -> NDArray[np.int64]:
    """Return the number of beads of each row: the centre's, then those within a round and those around it."""
    number = np.arange(1, rounds + 1)
    return np.append(sectors, np.stack([sectors * number, sectors * (2 * number + 1)], axis=1).ravel())


def _beads(at: _Places, twin: IntArray) -> IntArray:
    """Return the bead of each side, numbered row by row and clockwise in each, shape (C,)."""
    rounds = int(at.round.max())
    in_row = _beads_in_row(rounds, at.sectors)
    first = np.cumsum(in_row) - in_row
    bead = np.full((len(at.round), SIDES), -1, np.int64)
    # A loop numbers the bead towards the next loop of its round, and those that face outward.
    bead[:, 2] = first[2 * at.round - 1] + at.sector * at.round + at.place
    around = at.sector * (2 * at.round + 1) + 2 * at.place + 1
    for side in (5, 0, 1):
        bead[:, side] = first[2 * at.round] + around + _BEADS_OUTWARD[side]
    bead[at.place > 0, 5] = -1
    of_side = np.append(np.arange(at.sectors), bead.ravel())
    return np.where(of_side < 0, of_side[twin], of_side).astype(np.int32)


def _junctions(loop_start: IntArray, twin: IntArray) -> IntArray:
    """Return the junction after each side, shape (C,): the corners that meet there share its number."""
    sides = np.arange(len(twin))
    after = sides + 1
    after[loop_start[1:] - 1] = loop_start[:-1]
    before = np.empty_like(sides)
    before[after] = sides
    # The corner of the loop across the side, and of the loop across the next side.
    here = np.where(twin == RIM, sides, before[twin])
    there = np.where(twin[after] == RIM, sides, twin[after])
    _, number = np.unique(np.minimum(sides, np.minimum(here, there)), return_inverse=True)
    return number.astype(np.int32)


def _positions(at: _Places, spacing: Spacing) -> tuple[FloatArray, FloatArray]:
    """Return the centres of all loops and the place of each corner in mm."""
    axis = np.deg2rad(60 * np.arange(SIDES))
    steps = spacing.pitch_mm * np.stack([np.cos(axis), np.sin(axis)], axis=1)
    corners = spacing.side_mm * np.stack([np.cos(axis + np.pi / 6), np.sin(axis + np.pi / 6)], axis=1)
    centres = at.round[:, None] * steps[0] + at.place[:, None] * steps[2]
    # The core among the loop and its neighbours across sides i and i + 1 places corner i.
    classes = ((at.round + at.place)[:, None] + _STEP_ROUND + _STEP_PLACE) % 3
    following = np.roll(np.arange(SIDES), -1)
    to_core = np.where(classes == 0, np.arange(SIDES), np.where(classes[:, following] == 0, following, SIDES))
    core = centres[:, None] + np.concatenate([steps, np.zeros((1, 2))])[to_core]
    shrink = spacing.core_mm / spacing.side_mm
    corner = core + (centres[:, None] + corners - core) * shrink

    sector = np.concatenate([np.arange(at.sectors), np.repeat(at.sector, SIDES)])
    flat = np.concatenate([np.repeat(corners[:1] * shrink, at.sectors, axis=0), corner.reshape(-1, 2)])
    loop_xy = np.concatenate([np.zeros((1, 2)), _turned(centres, at.sector, at.sectors)])
    return loop_xy, _turned(flat, sector, at.sectors)


def _turned(flat: FloatArray, sector: NDArray[np.int64], sectors: int) -> FloatArray:
    """Return points given in the frame of their sector where they lie in the drawing, shape (N, 2)."""
    turn = FLAT / sectors
    angle = (np.arctan2(flat[:, 1], flat[:, 0]) + sector * (np.pi / 3)) * turn
    radius = np.hypot(flat[:, 0], flat[:, 1]) * drawn_scale(sectors)
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)
