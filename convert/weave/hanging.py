"""A loop of beads at the top of a piece to hang it by: part of the weave, as a larger loop.

It shares with the piece a bead that lies straight across at the top, or the two beads of a gap between two
loops; more where the piece rises beside them, for at no junction may more than three beads meet. Of the
places that are open to the top it takes the one nearest to being above the middle of all beads, so that the
piece hangs straight.
"""

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from convert.errors import SizeError
from convert.weave.model import RIM, FloatArray, Weave
from convert.weave.part import part_of

# What the loop is called.
HANGING = "H"
LEAST_BEADS, MOST_BEADS = 4, 99
# Sine of the angle up to which a bead counts as lying across.
_LEVEL = 0.2
_UP = np.array([0.0, -1.0])
# Of beads: ends of a loop that come closer leave no room between them.
_NARROW = 1.4
# Of a bead: with less to spare they lie in a straight line.
_STRAIGHT = 1e-3
# Steps of halving: far below a thousandth of a millimetre.
_HALVINGS = 60


@dataclass(frozen=True, slots=True)
class HangingPlace:
    """Where a piece can be hung.

    Parameters
    ----------
    sides : tuple of int
        Sides of the rim that the loop shares, clockwise, which is from left to right.
    off_mm : float
        How far to the right of the middle of all beads it lies.
    below_mm : float
        How far below it that middle lies.
    """

    sides: tuple[int, ...]
    off_mm: float
    below_mm: float

    @property
    def askew(self) -> float:
        """By how many degrees the piece hangs askew."""
        return math.degrees(math.atan2(abs(self.off_mm), max(self.below_mm, 1e-9)))


def check_hanging(beads: int) -> None:
    """Refuse a loop to hang a piece by that is none; 0 stands for no loop.

    Raises
    ------
    SizeError
        It has too few beads or too many.
    """
    if beads and not LEAST_BEADS <= beads <= MOST_BEADS:
        raise SizeError(
            f"a loop to hang the piece by takes {LEAST_BEADS} to {MOST_BEADS} beads, not {beads}",
            "10 beads let a cord or a ring through",
        )


def hanging_place(weave: Weave) -> HangingPlace:
    """Return the best place to hang a piece by.

    Raises
    ------
    SizeError
        No bead or gap of it is open to the top.
    """
    following = _rim(weave)
    before = {after: side for side, after in following.items()}
    meeting = np.bincount(weave.bead_junctions.ravel(), minlength=weave.junctions).tolist()
    ends = weave.side_junction.tolist()
    starts = weave.side_junction[weave.side_previous].tolist()
    way = weave.junction_xy[weave.side_junction] - weave.junction_xy[starts]
    rise = (way[:, 1] / np.hypot(*way.T)).tolist()
    rightward = (way[:, 0] > 0).tolist()
    middle = weave.bead_xy.mean(axis=0)
    found = []
    for side, after in following.items():
        if rightward[side] and abs(rise[side]) < _LEVEL:
            chain = [side]
        elif side != after and rightward[side] and rightward[after] and rise[side] > _LEVEL < -rise[after]:
            if meeting[ends[side]] < 3:
                continue
            chain = [side, after]
        else:
            continue
        while meeting[starts[chain[0]]] > 2 and len(chain) < len(following):
            chain.insert(0, before[chain[0]])
        while meeting[ends[chain[-1]]] > 2 and len(chain) < len(following):
            chain.append(following[chain[-1]])
        at = (weave.junction_xy[starts[chain[0]]] + weave.junction_xy[ends[chain[-1]]]) / 2
        if not _is_open(weave, at):
            continue
        found.append(HangingPlace(tuple(chain), float(at[0] - middle[0]), float(middle[1] - at[1])))
    if not found:
        raise SizeError(
            "there is no place at the top to hang the piece by", "leave out the loop, or turn the piece"
        )
    pitch_mm = weave.spacing.pitch_mm
    return min(found, key=lambda place: (round(abs(place.off_mm) / pitch_mm, 3), -place.below_mm))


def _rim(weave: Weave) -> dict[int, int]:
    """Return for each side at the rim the one that follows it clockwise."""
    sides = np.flatnonzero(weave.side_twin == RIM)
    onward = weave.side_next[sides]
    while (inner := weave.side_twin[onward] != RIM).any():
        onward = np.where(inner, weave.side_next[weave.side_twin[onward]], onward)
    return dict(zip(sides.tolist(), onward.tolist(), strict=True))


def _is_open(weave: Weave, at: FloatArray) -> bool:
    """Return whether nothing of the piece lies above a place."""
    pitch_mm = weave.spacing.pitch_mm
    above = np.abs(weave.bead_xy[:, 0] - at[0]) < pitch_mm / 2
    return bool(weave.bead_xy[above, 1].min(initial=np.inf) > at[1] - pitch_mm / 2)


def hung(weave: Weave, beads: int) -> Weave:
    """Return a piece with a loop to hang it by, whose beads and loop come last.

    Parameters
    ----------
    weave : Weave
        The piece.
    beads : int
        Beads of the loop besides those that it shares.

    Raises
    ------
    SizeError
        See `check_hanging` and `hanging_place`; or it is too short for its place.
    """
    check_hanging(beads)
    place = hanging_place(weave)
    chain = list(place.sides)
    first, last = weave.side_previous[chain[0]], chain[-1]
    left, right = int(weave.side_junction[first]), int(weave.side_junction[last])
    corners = _round(weave, left, right, beads)
    shared = chain[::-1]
    new_beads = np.arange(weave.beads, weave.beads + beads)
    new_junctions = np.arange(weave.junctions, weave.junctions + beads - 1)
    side_bead = np.concatenate([weave.side_bead[shared], new_beads])
    inner = [int(weave.side_junction[weave.side_previous[side]]) for side in shared]
    side_junction = np.concatenate([inner, new_junctions, [right]])
    beside = int(weave.side_loop[chain[len(chain) // 2]])
    core = bool((weave.bead_size[weave.side_bead[shared]] == 0).all())
    joined = {
        "bead_size": np.concatenate([weave.bead_size, np.zeros(beads, np.uint8)]),
        "bead_row": np.concatenate([weave.bead_row, np.full(beads, weave.bead_row.max() + 1)]),
        "junction_xy": np.concatenate([weave.junction_xy, corners]),
        "loop_xy": np.concatenate([weave.loop_xy, corners.mean(axis=0)[None]]),
        "loop_start": np.append(weave.loop_start, weave.corners + len(side_bead)),
        "loop_core": np.append(weave.loop_core, core),
        "loop_row": np.append(weave.loop_row, weave.loop_row[beside]),
        "loop_column": np.append(weave.loop_column, weave.loop_column[beside]),
        "side_bead": np.concatenate([weave.side_bead, side_bead]),
        "side_junction": np.concatenate([weave.side_junction, side_junction]),
    }
    typed: dict[str, Any] = {name: array.astype(getattr(weave, name).dtype) for name, array in joined.items()}
    return replace(weave, **typed, hanging=beads)


def unhung(weave: Weave) -> Weave:
    """Return a piece without the loop that it hangs by; its beads keep their numbers."""
    return part_of(replace(weave, hanging=0), np.arange(weave.loops) < weave.loops - (weave.hanging > 0))


def held_by(weave: Weave) -> int:
    """Return a bead that the piece shares with the loop that it hangs by."""
    return int(weave.side_bead[weave.loop_start[-2]])


def _round(weave: Weave, left: int, right: int, beads: int) -> FloatArray:
    """Return the junctions of the new beads of a loop but those where it begins and ends.

    The first bead and the last stand up midway between the beads there, so that none lies on another; where
    they would meet, as in a narrow hollow, more upright. Those between are chords of a circle.
    """
    side_mm, xy = weave.spacing.core_mm, weave.junction_xy
    first, last = (_free_way(weave, at) for at in (left, right))
    if np.hypot(*(xy[right] + side_mm * last - xy[left] - side_mm * first)) < _NARROW * side_mm:
        first, last = _unit(first + _UP), _unit(last + _UP)
    first, last = xy[left] + side_mm * first, xy[right] + side_mm * last
    return np.concatenate([first[None], _arc(first, last, side_mm, beads - 2), last[None]])


def _free_way(weave: Weave, junction: int) -> FloatArray:
    """Return the unit vector away from the two beads that meet at a junction."""
    bead, end = np.nonzero(weave.bead_junctions == junction)
    into = weave.bead_direction[bead] * np.where(end == 0, 1.0, -1.0)[:, None]
    return _unit(-into.sum(axis=0))


def _unit(way: FloatArray) -> FloatArray:
    return np.asarray(way / np.hypot(*way))


def _arc(start: FloatArray, end: FloatArray, side_mm: float, beads: int) -> FloatArray:
    """Return the points between beads that go from one point clockwise round to another.

    Raises
    ------
    SizeError
        They are too few to reach it.
    """
    across_mm = float(np.hypot(*(end - start)))
    sides = across_mm / side_mm
    if sides > beads - _STRAIGHT:
        raise SizeError(
            f"a loop of {beads + 2} beads is too short to hang the piece by there",
            f"give it {math.floor(sides + _STRAIGHT) + 3} or more",
        )
    # The chord over all of them is to that of one as the sines of half their angles are.
    low, high = 0.0, 2 * math.pi
    for _ in range(_HALVINGS):
        angle = (low + high) / 2
        longer = side_mm * math.sin(angle / 2) > across_mm * math.sin(angle / 2 / beads)
        low, high = (angle, high) if longer else (low, angle)
    radius_mm = side_mm / 2 / math.sin(angle / 2 / beads)
    along = (end - start) / across_mm
    up = np.array([along[1], -along[0]])
    centre = (start + end) / 2 - up * radius_mm * math.cos(angle / 2)
    turn = angle / beads * np.arange(1, beads)
    cosine, sine = np.cos(turn), np.sin(turn)
    x, y = start - centre
    # Clockwise on the page, where y points down.
    return np.asarray(centre + np.stack([cosine * x - sine * y, sine * x + cosine * y], axis=1))
