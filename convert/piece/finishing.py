"""What is sewn to a piece once it is woven: through which beads, how often, and with how much thread.

All of it is common practice, without a source: fittings are sewn to two or three beads of the rim, up to four
times through each, with a thread of their own.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.piece.pattern import Pattern
from convert.thread.steps import TAIL_MM
from convert.weave.model import RIM, FloatArray, Weave
from convert.weave.tips import outer_junctions

NONE, CLASP, SEWN, BUTTON, HOOK, RING, CLOTH = FINISHES = (
    "none",
    "clasp",
    "sewn",
    "button",
    "hook",
    "ring",
    "cloth",
)
# What needs two ends.
AT_ENDS = (CLASP, SEWN, BUTTON)
# Common practice, no source: passes through a bead that a fitting hangs by, where its hole has room, and
# through one that is sewn to another or to cloth.
MOST_PASSES, LEAST_PASSES = 4, 2
# From a bead to a fitting or into cloth and back.
_REACH_MM, _STITCH_MM = 8.0, 4.0
# A button as bracelets have them, and its thickness with the shank. Common practice, no source.
BUTTON_MM, _BUTTON_THICK_MM = 12.0, 3.0
# Cosine of the angle up to which a bead of the rim faces an end; beads of a slanted end are 30 degrees off.
_FACING = 0.8
LEFT, RIGHT, TOP, BOTTOM = (-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0)


@dataclass(frozen=True, slots=True)
class Fastening:
    """One place that is sewn.

    Parameters
    ----------
    towards : tuple of float
        Where on the chart the fitting lies from the piece, a unit vector, y down.
    beads : tuple of int
        Beads that the thread goes through, in their order. Of ends sewn together a bead of the first end is
        followed by the one of the other end that it is sewn to.
    passes : int
        Passes through each of them.
    strung : int
        Beads that are picked up besides, for the loop of a button.
    thread_mm : float
        Thread for it, two tails counted in.
    """

    towards: tuple[float, float]
    beads: tuple[int, ...]
    passes: int
    strung: int
    thread_mm: float


@dataclass(frozen=True, slots=True)
class Finish:
    """How a piece is finished.

    Parameters
    ----------
    kind : str
        One of `FINISHES`, but for the first.
    fastenings : tuple of Fastening
        Where it is sewn, in the order of the work.
    tight : tuple of int
        Beads whose hole may not let the needle pass so often.
    """

    kind: str
    fastenings: tuple[Fastening, ...]
    tight: tuple[int, ...]

    @property
    def thread_mm(self) -> float:
        """Thread for all of it."""
        return sum(one.thread_mm for one in self.fastenings)


def finishing(pattern: Pattern) -> Finish | None:
    """Return how a piece is finished; None where nothing is sewn to it.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    """
    if pattern.finish == NONE:
        return None
    weave = pattern.weave
    room = _room(pattern)
    match pattern.finish:
        case "cloth":
            fastenings = [_on_cloth(weave)]
        case "sewn":
            fastenings = [_ends_together(weave)]
        case "hook" | "ring":
            fastenings = [_fitting(weave, TOP, room)]
        case kind:
            ends = (LEFT, RIGHT) if _lies_across(weave) else (TOP, BOTTOM)
            fastenings = [_fitting(weave, end, room) for end in ends]
            if kind == BUTTON:
                fastenings[1] = _loop_for_button(weave, fastenings[1])
    tight = [bead for one in fastenings for bead in one.beads if room[bead] < one.passes]
    return Finish(pattern.finish, tuple(fastenings), tuple(dict.fromkeys(tight)))


def _room(pattern: Pattern) -> NDArray[np.int64]:
    """Return how many more passes the hole of each bead has room for, shape (B,)."""
    weave, supplies = pattern.weave, pattern.supplies
    holes_mm = np.array([size.hole_mm for size in weave.sizes])[weave.bead_size]
    return np.asarray(np.maximum(supplies.most_passes(holes_mm) - pattern.thread.loads(weave.beads), 0))


def _lies_across(weave: Weave) -> bool:
    left, top, right, bottom = weave.extent_mm
    return right - left >= bottom - top


def _facing(weave: Weave, towards: tuple[float, float]) -> NDArray[np.intp]:
    """Return the beads of the rim that face an end of the piece, from one side of the end to the other."""
    rim = np.flatnonzero(weave.rim_beads)
    sides = weave.bead_sides[rim, 0]
    outward = weave.side_xy[sides] - weave.loop_xy[weave.side_loop[sides]]
    outward /= np.linalg.norm(outward, axis=1, keepdims=True)
    along = weave.bead_xy[rim] @ towards
    # Rows that begin half a loop further in belong to the end, too.
    at_end = along > (weave.bead_xy @ towards).max() - 0.75 * weave.spacing.pitch_mm
    found = rim[(outward @ towards > _FACING) & at_end]
    if not len(found):
        found = rim[[int(along.argmax())]]
    return np.asarray(found[np.argsort(weave.bead_xy[found] @ _sideways(towards), kind="stable")])


def _sideways(towards: tuple[float, float]) -> tuple[float, float]:
    """Return the direction along an end: down at the left and right, rightwards at the top and bottom."""
    return abs(towards[1]), abs(towards[0])


def _fitting(weave: Weave, towards: tuple[float, float], room: NDArray[np.int64]) -> Fastening:
    """Return the place of a fitting: two or three beads at the middle of an end, sooner such as have room."""
    end = _facing(weave, towards)
    if towards == TOP:
        end = _highest(weave, end)
    across = weave.bead_xy[end] @ _sideways(towards)
    aside = np.round(np.abs(across - (across.min() + across.max()) / 2), 6)
    # One bead alone would bear all the weight: two, or one in the middle and one on each side of it.
    order = np.lexsort((aside, room[end] < LEAST_PASSES))
    beads = end[np.sort(order[: 2 + len(end) % 2])]
    passes = int(np.clip(room[beads].min(), LEAST_PASSES, MOST_PASSES))
    thread_mm = passes * float((weave.bead_side_mm[beads] + _REACH_MM).sum()) + 2 * TAIL_MM
    return Fastening(towards, tuple(beads.tolist()), passes, 0, thread_mm)


def _highest(weave: Weave, beads: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return those of some beads that lie highest, so that the piece hangs by its top."""
    y = weave.bead_xy[beads, 1]
    return np.asarray(beads[y < y.min() + 0.25 * weave.spacing.pitch_mm])


def _loop_for_button(weave: Weave, place: Fastening) -> Fastening:
    """Return the place of a loop that slips over a button: as many beads as go round the button."""
    around_mm = 2 * (BUTTON_MM + _BUTTON_THICK_MM)
    strung = math.ceil(around_mm / weave.sizes[0].length_mm)
    thread_mm = place.passes * (around_mm + float(weave.bead_side_mm[list(place.beads)].sum())) + 2 * TAIL_MM
    return Fastening(place.towards, place.beads, place.passes, strung, thread_mm)


def _ends_together(weave: Weave) -> Fastening:
    """Return how the two ends are sewn together: each bead of one to that of the other it comes to lie at."""
    one_end, other_end = (LEFT, RIGHT) if _lies_across(weave) else (TOP, BOTTOM)
    first, second = _facing(weave, one_end), _facing(weave, other_end)
    aside = _sideways(one_end)
    places: FloatArray = weave.bead_xy[second] @ aside
    partners = [int(second[np.abs(places - weave.bead_xy[bead] @ aside).argmin()]) for bead in first]
    pairs = [bead for pair in zip(first.tolist(), partners, strict=True) for bead in pair]
    steps_mm = LEAST_PASSES * float((weave.bead_side_mm[pairs] + _STITCH_MM / 2).sum())
    thread_mm = steps_mm + float(np.ptp(weave.bead_xy[first] @ aside)) + 2 * TAIL_MM
    return Fastening(one_end, tuple(pairs), LEAST_PASSES, 0, thread_mm)


def _on_cloth(weave: Weave) -> Fastening:
    """Return the beads by which a piece is sewn on cloth: one for each loop of the rim, all the way round."""
    rim = _round_the_rim(weave)
    loops = weave.side_loop[rim]
    sides = rim[np.flatnonzero(loops != np.roll(loops, 1))] if len(np.unique(loops)) > 1 else rim[:1]
    beads = weave.side_bead[sides]
    thread_mm = float(weave.bead_side_mm[weave.side_bead[rim]].sum()) + _STITCH_MM * len(beads) + 2 * TAIL_MM
    return Fastening(TOP, tuple(beads.tolist()), 1, 0, thread_mm)


def _round_the_rim(weave: Weave) -> NDArray[np.intp]:
    """Return the sides of the outer rim, clockwise on the page from one at the top."""
    sides = np.flatnonzero(weave.side_twin == RIM)
    outer = sides[outer_junctions(weave)[weave.side_junction[sides]]]
    side = int(outer[weave.bead_xy[weave.side_bead[outer], 1].argmin()])
    walk: list[int] = []
    while side not in walk[:1]:
        walk.append(side)
        side = int(weave.side_next[side])
        # Round a junction to the next side of the rim.
        while (twin := int(weave.side_twin[side])) != RIM:
            side = int(weave.side_next[twin])
    return np.array(walk)
