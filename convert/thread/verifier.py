"""Proof of a thread path: replays it on the weave and counts, sharing no code with the planner.

Every step of the thread, from one bead into the next, turns one corner of one loop. A piece is soundly woven
when every bead is strung and every corner is sewn. Only when all are may the thread also run along the rim,
from one loop's rim bead to the next loop's, as in a last round that sets a small bead on each outer tip.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from convert.errors import SizeError, ThreadPathError
from convert.thread.steps import TAIL_MM, Supplies, ThreadPlan
from convert.thread.tail_proof import check_tails
from convert.weave.model import RIM, IntArray, Weave
from convert.weave.tips import tips_of

NO_CORNER = -1
_LEAST_PASSES = 2


@dataclass(frozen=True, eq=False, slots=True)
class ThreadReport:
    """What the proof of a thread path counted.

    Parameters
    ----------
    passes : int
        Trips of the thread through a bead.
    bound : int
        The least number of passes that can weave the piece: one to start, one for each corner and tip.
    extra_passes : int
        Passes above the bound.
    corners, loops : int
        Corners sewn and loops closed: all there are.
    most_passes : int
        Most passes in one bead, those of tails counted in.
    most_passes_bead : int
        The first bead with that many.
    tight_beads : ndarray of shape (N,), int32
        Beads whose hole the needle may not pass on the last trip. Read-only.
    most_open : int
        Most loops begun and not yet closed at the same time.
    threads : int
        Working threads.
    longest_thread_mm : float
        The longest of them, its two tails counted.
    length_mm : float
        All of them.
    steps : int
        Steps of work: a run of beads picked up, then a run of beads passed through.
    step_kinds : int
        Different steps, by the number of beads picked up and passed through.
    warnings : tuple of str
        What the weaver should know.
    """

    passes: int
    bound: int
    extra_passes: int
    corners: int
    loops: int
    most_passes: int
    most_passes_bead: int
    tight_beads: IntArray
    most_open: int
    threads: int
    longest_thread_mm: float
    length_mm: float
    steps: int
    step_kinds: int
    warnings: tuple[str, ...]

    def __post_init__(self) -> None:
        self.tight_beads.flags.writeable = False


class _Fault(NamedTuple):
    """A place where the thread goes wrong, by its pass, and what to say about it."""

    at: int
    message: str


def verify(weave: Weave, plan: ThreadPlan, supplies: Supplies) -> ThreadReport:
    """Prove a thread path and count what it takes.

    Parameters
    ----------
    weave : Weave
        The piece.
    plan : ThreadPlan
        The path; small beads at tips are numbered as `convert.weave.tips.Tips` says.
    supplies : Supplies
        Thread and needle.

    Raises
    ------
    ThreadPathError
        The first fault of the path.
    SizeError
        Needle or thread do not go through a bead at all.
    """
    _check_supplies(weave, supplies)
    passes = np.asarray(plan.passes, np.int64)
    _check_beads(weave, passes)
    corner, faults = _corners_turned(weave, passes)
    _raise_first(faults)
    first_sewn = _first_steps(corner, weave.corners)
    _check_complete(weave, passes, first_sewn)
    opened, closed = _loop_spans(weave, first_sewn)
    is_open = _open_loops(opened, closed, len(passes))
    lengths_mm = _check_threads(weave, passes, plan.new_threads, supplies, closed, is_open)

    tips = tips_of(weave)
    pointed = bool(tips.are(passes).any())
    bound = weave.corners + 1 + len(tips) * pointed
    check_tails(weave, plan, np.flatnonzero(~tips.are(passes)))
    in_tails = np.array([bead for tail in plan.tails for bead in tail.beads], np.int64)
    per_bead = np.bincount(np.concatenate([passes, in_tails]), minlength=weave.beads)
    holes_mm = _holes(weave)[: len(per_bead)]
    tight = np.flatnonzero(supplies.filled(per_bead, holes_mm) > 1).astype(np.int32)
    steps, kinds = _step_kinds(passes)
    most = int(per_bead.max())
    return ThreadReport(
        passes=len(passes),
        bound=bound,
        extra_passes=len(passes) - bound,
        corners=weave.corners,
        loops=weave.loops,
        most_passes=most,
        most_passes_bead=int(per_bead.argmax()),
        tight_beads=tight,
        most_open=int(is_open.max()),
        threads=len(lengths_mm),
        longest_thread_mm=float(lengths_mm.max()),
        length_mm=float(lengths_mm.sum()),
        steps=steps,
        step_kinds=kinds,
        warnings=_warnings(per_bead, holes_mm, tight, supplies),
    )


def _check_supplies(weave: Weave, supplies: Supplies) -> None:
    for size in weave.sizes:
        for what, thick_mm in (("needle", supplies.needle_mm), ("thread", supplies.thread_mm)):
            if thick_mm >= size.hole_mm:
                raise SizeError(
                    f"a {what} of {thick_mm:g} mm does not go through beads {size.name},"
                    f" hole {size.hole_mm:g} mm",
                    f"use a thinner {what}, --{what}, or larger beads",
                )


def _check_beads(weave: Weave, passes: NDArray[np.int64]) -> None:
    if passes.ndim != 1 or len(passes) < _LEAST_PASSES:
        raise ThreadPathError("the thread passes no loop: there are fewer than two passes")
    known = weave.beads + len(tips_of(weave))
    wrong = np.flatnonzero((passes < 0) | (passes >= known))
    if len(wrong):
        at = int(wrong[0])
        raise ThreadPathError(
            f"pass {at + 1}: there is no bead {passes[at]}",
            f"beads of this piece are numbered 0 to {known - 1}",
        )


def _corners_turned(weave: Weave, passes: NDArray[np.int64]) -> tuple[IntArray, list[_Fault]]:
    """Return the corner each pass was reached by, -1 for the first pass and for a tip, and what is wrong.

    A tip is taken out of the path before the turns are looked at: the thread turns the same corner with it
    as without.
    """
    is_tip = tips_of(weave).are(passes)
    kept = np.flatnonzero(~is_tip)
    beads = passes[kept]
    faults = _tip_faults(weave, passes, is_tip)
    corner = np.full(len(passes), NO_CORNER, np.int32)
    if len(beads) < _LEAST_PASSES:
        return corner, [*faults, _Fault(0, "the thread passes no loop")]

    before, after = beads[:-1], beads[1:]
    left, right = weave.bead_junctions[before], weave.bead_junctions[after]
    first_shared = (left[:, 0] == right[:, 0]) | (left[:, 0] == right[:, 1])
    meet = first_shared | (left[:, 1] == right[:, 0]) | (left[:, 1] == right[:, 1])
    junction = np.where(first_shared, left[:, 0], left[:, 1])
    same = before == after
    for at in np.flatnonzero(same)[:1]:
        faults.append(_Fault(int(kept[at + 1]), f"the thread turns back through bead {before[at]}"))
    for at in np.flatnonzero(~meet)[:1]:
        faults.append(
            _Fault(int(kept[at + 1]), f"bead {before[at]} and bead {after[at]} do not meet: the thread jumps")
        )
    back = (junction[1:] == junction[:-1]) & meet[1:] & meet[:-1] & ~same[1:] & ~same[:-1]
    for at in np.flatnonzero(back)[:1]:
        bead = after[at]
        faults.append(
            _Fault(int(kept[at + 2]), f"the thread leaves bead {bead} by the end at which it entered")
        )

    turned = _corner_between(weave, before, after, junction)
    sewn = np.zeros(weave.corners, bool)
    sewn[turned[turned != NO_CORNER]] = True
    first = _first_steps(turned, weave.corners)
    complete = int(first.max()) if sewn.all() else len(beads)
    steps = np.arange(len(turned))
    no_loop = (turned == NO_CORNER) & meet & ~same & (steps <= complete)
    for at in np.flatnonzero(no_loop)[:1]:
        faults.append(
            _Fault(
                int(kept[at + 1]),
                f"no loop lies between bead {before[at]} and bead {after[at]}, and the piece is not yet"
                " woven whole",
            )
        )
    corner[kept[1:]] = turned
    return corner, faults


def _tip_faults(weave: Weave, passes: NDArray[np.int64], is_tip: NDArray[np.bool_]) -> list[_Fault]:
    """Return the first tip that the thread does not cross from one of its two rim beads to the other."""
    at = np.flatnonzero(is_tip)
    if not len(at):
        return []
    if at[0] == 0 or at[-1] == len(passes) - 1:
        end = 0 if at[0] == 0 else len(passes) - 1
        return [_Fault(end, f"the thread cannot {'end' if end else 'start'} in the tip bead {passes[end]}")]
    tips = tips_of(weave)
    junction = tips.junction_of(passes[at])
    before, after = passes[at - 1], passes[at + 1]
    rim = ~tips.are(before) & ~tips.are(after) & (before != after)
    for beside in (before, after):
        ends = weave.bead_junctions[np.where(tips.are(beside), 0, beside)]
        rim &= (ends == junction[:, None]).any(axis=1)
    return [
        _Fault(int(at[wrong]), f"tip bead {passes[at[wrong]]} is not strung between its two rim beads")
        for wrong in np.flatnonzero(~rim)[:1]
    ]


def _corner_between(
    weave: Weave, before: NDArray[np.int64], after: NDArray[np.int64], junction: IntArray
) -> IntArray:
    """Return the corner turned from one bead into the next at a junction, -1 where no loop lies there."""
    corner = np.full(len(before), NO_CORNER, np.int32)
    for sides in weave.bead_sides[before].T:
        # A loop meets the next bead after the side or before it.
        for turn, other in ((sides, weave.side_next[sides]), (weave.side_previous[sides],) * 2):
            fits = (sides != RIM) & (weave.side_junction[turn] == junction)
            fits &= weave.side_bead[other] == after
            corner = np.where(fits, turn, corner)
    return corner


def _raise_first(faults: list[_Fault]) -> None:
    if faults:
        first = min(faults)
        raise ThreadPathError(
            f"pass {first.at + 1}: {first.message}",
            "the thread runs from bead to bead round the loops; let the program plan it again",
        )


def _first_steps(corner: IntArray, corners: int) -> IntArray:
    """Return the first place at which each corner is turned, -1 for none."""
    first = np.full(corners, NO_CORNER, np.int32)
    # Written backwards, the first stays.
    at = np.flatnonzero(corner != NO_CORNER)[::-1]
    first[corner[at]] = at
    return first


def _check_complete(weave: Weave, passes: NDArray[np.int64], first_sewn: IntArray) -> None:
    tips = tips_of(weave)
    strung = np.zeros(weave.beads + len(tips), bool)
    strung[passes] = True
    woven, at_tips = tips.parted(strung)
    if not at_tips.any():
        strung = woven
    missing = np.flatnonzero(~strung)
    if len(missing):
        what = "tip bead" if tips.are(missing[0]) else "bead"
        raise ThreadPathError(
            f"{what} {missing[0]} is never strung" + (f", and {len(missing) - 1} more" * (len(missing) > 1)),
            "let the program plan the thread again",
        )
    unsewn = np.flatnonzero(first_sewn == NO_CORNER)
    if len(unsewn):
        side = int(unsewn[0])
        beads = weave.side_bead[[side, weave.side_next[side]]]
        loop = int(weave.side_loop[side])
        raise ThreadPathError(
            f"loop {weave.loop_column[loop] + 1} of row {weave.loop_row[loop] + 1} never closes:"
            f" the thread does not run from bead {beads[0]} to bead {beads[1]}"
            + (f", and {len(unsewn) - 1} more corners are not sewn" * (len(unsewn) > 1)),
            "let the program plan the thread again",
        )


def _loop_spans(weave: Weave, first_sewn: IntArray) -> tuple[IntArray, IntArray]:
    """Return the pass at which each loop's first corner is sewn and the pass at which its last one is."""
    starts = weave.loop_start[:-1]
    return np.minimum.reduceat(first_sewn, starts), np.maximum.reduceat(first_sewn, starts)


def _open_loops(opened: IntArray, closed: IntArray, passes: int) -> NDArray[np.int64]:
    """Return the number of loops begun and not closed after each pass."""
    change = np.bincount(opened, minlength=passes) - np.bincount(closed, minlength=passes)
    return np.cumsum(change)


def _check_threads(
    weave: Weave,
    passes: NDArray[np.int64],
    new_threads: IntArray,
    supplies: Supplies,
    closed: IntArray,
    is_open: NDArray[np.int64],
) -> NDArray[np.float64]:
    """Return the length of each working thread in mm, after checking where each begins."""
    marks = np.asarray(new_threads, np.int64)
    if not len(marks) or marks[0] != 0:
        raise ThreadPathError("the first working thread does not start at the first pass")
    wrong = np.flatnonzero((np.diff(marks) <= 0) | (marks[1:] >= len(passes)))
    if len(wrong):
        raise ThreadPathError(f"working thread {wrong[0] + 2} has no pass of its own")
    # The old thread ends with the pass before the mark: a loop has just closed there, or none is open.
    loop_end = is_open == 0
    loop_end[: closed.min()] = False
    loop_end[closed] = True
    wrong = np.flatnonzero(~loop_end[marks[1:] - 1])
    if len(wrong):
        raise ThreadPathError(
            f"pass {marks[wrong[0] + 1] + 1}: working thread {wrong[0] + 2} starts in the middle of a loop",
            "a new thread is joined where a loop has just been closed",
        )
    tips = tips_of(weave)
    per_pass = tips.extended(weave.bead_side_mm, tips.size.length_mm)[passes]
    lengths = np.add.reduceat(per_pass, marks) + 2 * TAIL_MM
    # Half a thousandth of a millimetre for sums taken in another order.
    wrong = np.flatnonzero(lengths > supplies.needleful_mm + 5e-4)
    if len(wrong):
        raise ThreadPathError(
            f"working thread {wrong[0] + 1} takes {lengths[wrong[0]] / 1000:.2f} m with its tails,"
            f" more than a needleful of {supplies.needleful_mm / 1000:g} m",
            "let the program plan the thread again, or allow a longer needleful",
        )
    return np.asarray(lengths)


def _holes(weave: Weave) -> NDArray[np.float64]:
    """Return the hole of each bead in mm, and those of small beads at tips."""
    tips = tips_of(weave)
    return tips.extended(np.array([size.hole_mm for size in weave.sizes])[weave.bead_size], tips.size.hole_mm)


def _step_kinds(passes: NDArray[np.int64]) -> tuple[int, int]:
    """Return the number of steps (beads picked up, then beads passed through) and of different ones."""
    picked = np.zeros(len(passes), bool)
    first = np.full(int(passes.max()) + 1, -1)
    first[passes[::-1]] = np.arange(len(passes))[::-1]
    picked[first[first >= 0]] = True
    starts = np.flatnonzero(picked & ~np.append(False, picked[:-1]))
    up = np.add.reduceat(picked.astype(np.int64), starts)
    through = np.diff(np.append(starts, len(passes))) - up
    return len(starts), len(np.unique(up * (int(through.max()) + 1) + through))


def _warnings(
    per_bead: NDArray[np.int64], holes_mm: NDArray[np.float64], tight: IntArray, supplies: Supplies
) -> tuple[str, ...]:
    if not len(tight):
        return ()
    worst = int(tight[supplies.filled(per_bead[tight], holes_mm[tight]).argmax()])
    times = int(per_bead[worst])
    return (
        f"{len(tight):,} {'bead is' if len(tight) == 1 else 'beads are'} tight: the fullest is passed"
        f" {times} time{'s' * (times > 1)} with thread of {supplies.thread_mm:g} mm and a needle of"
        f" {supplies.needle_mm:g} mm through a hole of {holes_mm[worst]:g} mm; take thinner"
        " thread or needle, and never force a needle",
    )
