"""The order of work of a piece as data, made once for every output that tells it."""

import itertools
from collections.abc import Iterator, Sequence
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from convert.instructions.entries import (
    NO_BEAD,
    Ending,
    Entry,
    NewThread,
    Repeat,
    Run,
    Section,
    Step,
    Stitch,
)
from convert.instructions.groups import Group, folded, groups
from convert.instructions.kinds import LoopKinds, loop_kinds
from convert.instructions.names import StitchNames
from convert.piece.pattern import Pattern
from convert.thread.closing import closing_loops
from convert.thread.steps import TAIL_MM, pass_mm
from convert.thread.stitches import NO_LOOP, Stitches, stitches
from convert.weave.model import IntArray
from convert.weave.tips import Tips, tips_of

# A stitch in which a new row is begun after this many without one starts a new section.
_SECTION_GAP = 3


class OrderOfWork:
    """The order of work of a piece.

    It is kept as arrays, one item a pass; sections, stitches and steps are made from them when they are asked
    for, so that a large piece takes little memory.

    Parameters
    ----------
    pattern : Pattern
        The piece, its thread path proven.

    Attributes
    ----------
    pattern : Pattern
        The piece.
    told : Stitches
        What happens at each pass, and which passes make up a step.
    names : StitchNames
        What beads and loops are called, and where they lie.
    groups : list of Group
        Which steps make up a stitch.
    thread_of, stitch_of : ndarray of shape (P,), int32
        Numbers of the working thread and of the stitch of each pass, from 1.
    travels : ndarray of shape (P,), bool
        Whether a pass only takes the thread on: no loop is open before it or after it.
    pass_mm : ndarray of shape (P,), float64
        Thread that each pass takes.
    thread_left_mm : ndarray of shape (P,), float64
        Working thread that is still needed after each pass, with the tail that is sewn in at its end.
    """

    def __init__(self, pattern: Pattern) -> None:
        passes, new_threads = pattern.thread.passes, pattern.thread.new_threads
        self.pattern = pattern
        self.told: Stitches = stitches(pattern.weave, pattern.thread)
        self.names = StitchNames(pattern)
        self.groups: list[Group] = groups(pattern, self.told)
        told = self.told
        self.thread_of = _numbered(new_threads, len(passes))
        self.stitch_of = _numbered([group.first for group in self.groups], len(passes))
        self.travels = np.zeros(len(passes), bool)
        self.travels[1:] = (told.open_loops[1:] == 0) & (told.open_loops[:-1] == 0)
        self.pass_mm = pass_mm(pattern.weave, passes)
        used_mm = np.cumsum(self.pass_mm)
        last = np.append(new_threads[1:], len(passes)) - 1
        self.thread_left_mm = used_mm[last][self.thread_of - 1] - used_mm + TAIL_MM
        for array in (self.thread_of, self.stitch_of, self.travels, self.pass_mm, self.thread_left_mm):
            array.flags.writeable = False

    @cached_property
    def sections(self) -> tuple[Section, ...]:
        """The sections of the work, in order."""
        begun = _sections(self)
        new_threads = {int(self.stitch_of[at]) - 1 for at in self.pattern.thread.new_threads.tolist()}
        bounds = [*begun, len(self.groups)]
        folds = list(folded([group.kind for group in self.groups], new_threads | set(begun)))
        starts = [start for start, _, _ in folds]
        found = []
        for first, end in itertools.pairwise(bounds):
            lines, direction, tips, closes = begun[first]
            low, high = np.searchsorted(starts, (first, end)).tolist()
            own = tuple((start + 1, period, repeats) for start, period, repeats in folds[low:high])
            found.append(Section(first + 1, end + 1, lines, direction, tips, own, closes))
        return tuple(found)

    def entries(self, section: Section) -> Iterator[Entry]:
        """Yield what a section is made of: marks of new threads, stitches and repeats; at last the ending.

        Parameters
        ----------
        section : Section
            One of `sections`.
        """
        marks = self._marks
        for first, period, repeats in section.folds:
            for number in range(first, first + period):
                if (at := self.groups[number - 1].first) in marks:
                    yield self.new_thread(marks[at])
                yield self.stitch(number)
            if repeats > 1:
                yield self._repeat(first, period, repeats)
        if section.end > len(self.groups):
            yield self.ending

    def new_thread(self, number: int) -> NewThread:
        """Return the mark of a working thread.

        Parameters
        ----------
        number : int
            Its number, from 1.
        """
        thread = self.pattern.thread
        at = int(thread.new_threads[number - 1])
        comes_from, threads = self._bead_before(at), len(thread.new_threads)
        if at == 0:
            return NewThread(number, threads, comes_from, TAIL_MM, held=self._held)
        leaves, comes = [tail.beads for tail in thread.tails if tail.before == at] or [(), ()]
        return NewThread(number, threads, comes_from, TAIL_MM, leaves, comes)

    @property
    def _held(self) -> bool:
        """Whether the first stitch goes round its loop a second time, so that it holds."""
        lengths = np.diff(self.pattern.weave.loop_start)
        last = self.groups[0]
        return int(self.travels[last.first : last.end].sum()) >= int(lengths[self.told.loop[1]])

    @property
    def ending(self) -> Ending:
        """The end of the work."""
        thread = self.pattern.thread
        if not thread.tails:
            return Ending(2 * len(thread.new_threads))
        return Ending(2, thread.tails[-2].beads, thread.tails[-1].beads)

    def stitch(self, number: int) -> Stitch:
        """Return a stitch.

        Parameters
        ----------
        number : int
            Its number, from 1.
        """
        group = self.groups[number - 1]
        first, end = group.first, group.end
        goes_on = int(self.told.loop[first])
        return Stitch(
            number,
            int(self.thread_of[first]),
            self._bead_before(first),
            group.turn,
            NO_LOOP if goes_on in group.loops else goes_on,
            group.loops,
            group.nested,
            self._tips(first, end),
            tuple(self._step(step, number, group) for step in range(group.first_step, group.end_step)),
            self._bead(end - 1),
            float(self.thread_left_mm[end - 1]),
        )

    def step(self, step: int) -> Step:
        """Return a step.

        Parameters
        ----------
        step : int
            The step of the piece, from 0.
        """
        number = int(self.stitch_of[self.told.step_start[step]])
        return self._step(step, number, self.groups[number - 1])

    def is_tip(self, bead: int) -> bool:
        """Return whether a bead is the small bead at a tip.

        Parameters
        ----------
        bead : int
            The bead.
        """
        return bool(self._at_tips.are(bead))

    def _step(self, step: int, number: int, group: Group) -> Step:
        picked_up, passed, sewn = self._runs.of(step)
        first, last = int(self.told.step_start[step]), int(self.told.step_start[step + 1]) - 1
        return Step(
            step,
            number,
            step - group.first_step,
            group.end_step - group.first_step,
            self._marks.get(first, 0),
            self._bead_before(first),
            picked_up,
            passed,
            sewn,
            self._bead(last),
            float(self.thread_left_mm[last]),
        )

    def _repeat(self, first: int, period: int, repeats: int) -> Repeat:
        end = first + period * repeats
        last = self.groups[end - 1 - period : end - 1]
        return Repeat(
            first,
            first + period - 1,
            repeats - 1,
            first + period,
            end - 1,
            tuple(loop for group in last for loop in group.loops),
            self._bead(last[-1].end - 1),
            float(self.thread_left_mm[last[-1].end - 1]),
        )

    def _bead_before(self, at: int) -> int:
        return self._bead(at - 1) if at else NO_BEAD

    def _bead(self, at: int) -> int:
        return int(self.pattern.thread.passes[at])

    def _tips(self, first: int, end: int) -> tuple[int, ...]:
        if self.pattern.edge != "points":
            return ()
        return tuple(bead for bead in self.pattern.thread.passes[first:end].tolist() if self.is_tip(bead))

    @cached_property
    def kinds(self) -> LoopKinds:
        """The kinds of loop, each with its letter."""
        return loop_kinds(self.pattern.weave, self.told)

    @cached_property
    def _at_tips(self) -> Tips:
        return tips_of(self.pattern.weave)

    @cached_property
    def _marks(self) -> dict[int, int]:
        """The number of each working thread, by its first pass."""
        return {at: number for number, at in enumerate(self.pattern.thread.new_threads.tolist(), start=1)}

    @cached_property
    def _runs(self) -> "_Runs":
        return _Runs(self)


class _Runs:
    """The passes of an order of work cut into runs."""

    def __init__(self, order: OrderOfWork) -> None:
        told, passes = order.told, order.pattern.thread.passes
        self.told, self.passes = told, passes
        self.again = _again(told, passes)
        travel = _step_travels(told, order.travels)
        cut = np.zeros(len(passes) + 1, bool)
        cut[1:-1] = (told.loop[1:] != told.loop[:-1]) | (told.closes[:-1] != NO_LOOP)
        bounds = np.stack([told.step_start[:-1], told.step_through, travel, told.step_start[1:]], axis=1)
        cut[bounds] = True
        self.start = np.flatnonzero(cut).astype(np.int32)
        # Of each step: the runs with which picking up, passing through and sewing through begin, and the end.
        self.of_step = np.searchsorted(self.start, bounds).astype(np.int32)

    def of(self, step: int) -> tuple[tuple[Run, ...], tuple[Run, ...], tuple[Run, ...]]:
        """Return the runs of a step: picked up, passed through, sewn through to go on."""
        low, through, travel, high = self.of_step[step].tolist()
        runs = tuple(itertools.starmap(self._run, itertools.pairwise(self.start[low : high + 1].tolist())))
        return runs[: through - low], runs[through - low : travel - low], runs[travel - low :]

    def _run(self, first: int, end: int) -> Run:
        told = self.told
        return Run(
            first,
            tuple(self.passes[first:end].tolist()),
            tuple(told.turn[first:end].tolist()),
            int(told.loop[first]),
            int(told.closes[end - 1]),
            tuple(self.again[first:end].tolist()),
        )


def _numbered(starts: ArrayLike, passes: int) -> IntArray:
    """Return for each pass how many of some ascending passes have come by then."""
    return np.searchsorted(starts, np.arange(passes), side="right").astype(np.int32)


def _again(told: Stitches, passes: IntArray) -> IntArray:
    """Return which bead of its own step each pass goes through again, from 1, 0 if it is none of them."""
    first = np.zeros(int(passes.max()) + 1, np.int32)
    picked = np.flatnonzero(told.picked_up)
    first[passes[picked]] = picked
    start = np.repeat(told.step_start[:-1], np.diff(told.step_start))
    return np.where(told.picked_up, 0, np.maximum(first[passes] - start + 1, 0)).astype(np.int32)


def _step_travels(told: Stitches, travels: NDArray[np.bool_]) -> IntArray:
    """Return the pass from which each step only takes the thread on, the end of the step if it never does."""
    works = np.where(travels & ~told.picked_up, -1, np.arange(len(travels)))
    last = np.maximum.accumulate(works)[told.step_start[1:] - 1]
    return np.asarray(np.maximum(last + 1, told.step_through), np.int32)


def _sections(order: OrderOfWork) -> dict[int, tuple[tuple[int, ...], str, bool, bool]]:
    """Return the lines and the direction of each section, by its first group.

    Then whether it is of tips, and whether it closes a ring.
    """
    told, rows = order.told, order.pattern.weave.loop_row
    at = np.flatnonzero(told.begins != NO_LOOP)
    new, first = np.unique(rows[told.begins[at]], return_index=True)
    begun: list[tuple[int, list[int]]] = []
    latest = -_SECTION_GAP - 1
    for number, line in sorted(zip((order.stitch_of[at[first]] - 1).tolist(), new.tolist(), strict=True)):
        if number - latest > _SECTION_GAP:
            begun.append((number, []))
        begun[-1][1].append(line)
        latest = number
    ends = [*(number for number, _ in begun[1:]), len(order.groups)]
    sections = {
        number: (tuple(sorted(lines)), _direction(order, order.groups[number:end]), False, False)
        for (number, lines), end in zip(begun, ends, strict=True)
    }
    tips = np.flatnonzero(tips_of(order.pattern.weave).are(order.pattern.thread.passes))
    if len(tips):
        # They come when every loop is closed, in a stitch of their own.
        sections[int(order.stitch_of[tips[0]]) - 1] = ((), "", True, False)
    if (closing := _closing_group(order)) is not None:
        sections[closing] = ((), "", False, True)
    return dict(sorted(sections.items()))


def _closing_group(order: OrderOfWork) -> int | None:
    """Return the group with which a ring begins to be closed, None where that is not done at the end."""
    weave = order.pattern.weave
    if weave.seam is None:
        return None
    begun = order.told.begins[order.told.begins != NO_LOOP]
    closing = closing_loops(weave)
    if not np.isin(begun[-len(closing) :], closing).all():
        return None
    at = np.flatnonzero(order.told.begins == begun[-len(closing)])
    return int(order.stitch_of[at[0]]) - 1


def _direction(order: OrderOfWork, told: Sequence[Group]) -> str:
    """Return which way a section is worked, where it clearly goes one way."""
    weave = order.pattern.weave
    loops = [group.loops[0] for group in told if group.loops]
    if order.names.line != "row" or len(loops) < _SECTION_GAP:
        return ""
    right, down = weave.loop_xy[loops[-1]] - weave.loop_xy[loops[0]]
    if max(abs(right), abs(down)) < _SECTION_GAP * weave.spacing.pitch_mm:
        return ""
    if abs(right) > abs(down):
        return "right" if right > 0 else "left"
    return "down" if down > 0 else "up"
