"""The order of work in words: in full for the stitch order, in few for what stands below a picture.

Both are voices over the data of `convert.instructions.order`; nothing is known here that is not in it.
"""

import itertools
from collections.abc import Iterator, Sequence
from enum import Enum, auto
from typing import NamedTuple

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
from convert.instructions.names import StitchNames
from convert.instructions.order import OrderOfWork
from convert.instructions.phrases import (
    capitalised,
    counted,
    folded_names,
    listed,
    number_word,
    ordinal,
    plural,
    sentence,
    span,
    spans,
)
from convert.thread.stitches import LEFT, NO_LOOP, RIGHT

_TURNS = {LEFT: ", to the left", RIGHT: ", to the right"}
_DIRECTIONS = {
    "": "",
    "right": ", to the right",
    "left": ", to the left",
    "down": ", downwards",
    "up": ", upwards",
}
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


class Kind(Enum):
    """What a paragraph is about."""

    HEADING = auto()
    NEW_THREAD = auto()
    STITCH = auto()
    REPEAT = auto()
    ENDING = auto()


class Paragraph(NamedTuple):
    """Words that belong together.

    Parameters
    ----------
    kind : Kind
        What they are about.
    lines : tuple of str
        The words, however long a line: of a stitch what it weaves, then a line a step.
    number : int
        Number of a stitch; 0 for the rest.
    """

    kind: Kind
    lines: tuple[str, ...]
    number: int = 0


def paragraphs(order: OrderOfWork) -> Iterator[Paragraph]:
    """Yield the order of work in full words.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    """
    words = _FullWords(order.names)
    for section in order.sections:
        yield Paragraph(Kind.HEADING, (words.heading(section),))
        for entry in order.entries(section):
            yield words.entry(entry)


def section_heading(order: OrderOfWork, section: Section) -> str:
    """Return which rows or rounds a section begins, and which way it goes."""
    return _FullWords(order.names).heading(section)


class _FullWords:
    """Says each entry of the order of work in full."""

    def __init__(self, names: StitchNames) -> None:
        self.names = names

    def heading(self, section: Section) -> str:
        """Return which rows begin and which way; a piece made in rounds has its centre before the first."""
        if section.tips:
            return "Last round: a small bead on each tip"
        if section.closes:
            return capitalised(self.names.ring)
        line, in_rows = self.names.line, self.names.line == "row"
        told = [] if in_rows or section.lines[0] else ["centre"]
        numbers = [number + in_rows for number in section.lines if number + in_rows]
        if numbers:
            told.append(f"{plural(line, len(numbers))} {spans(numbers)}")
        return capitalised(" and ".join(told)) + _DIRECTIONS[section.direction]

    def entry(self, entry: Entry) -> Paragraph:
        """Return an entry in words."""
        match entry:
            case Stitch():
                lines = [self._weaves(entry), *map(self._step, entry.steps)]
                lines[-1] += f" Out of {self.names.bead(entry.out_of)}."
                return Paragraph(Kind.STITCH, tuple(lines), entry.number)
            case Repeat():
                return Paragraph(Kind.REPEAT, (self._repeat(entry),))
            case NewThread():
                return Paragraph(Kind.NEW_THREAD, (self._new_thread(entry),))
            case Ending():
                return Paragraph(Kind.ENDING, (_ENDING,))

    def _new_thread(self, mark: NewThread) -> str:
        tail = f"{mark.tail_mm / 10:g} cm"
        if mark.comes_from == NO_BEAD:
            return f"Thread 1 of {mark.threads}. Leave a tail of {tail}; sew it in at the end."
        return (
            f"Start a new thread here: thread {mark.number} of {mark.threads}. Leave a tail of {tail} on"
            f" the old thread and on the new one. The new one comes out of"
            f" {self.names.bead(mark.comes_from)}, as the old one did."
        )

    def _weaves(self, stitch: Stitch) -> str:
        """Return what a stitch weaves, from which bead and to which side."""
        if stitch.comes_from == NO_BEAD:
            begin = f", beginning with {self.names.bead(stitch.steps[0].picked_up[0].beads[0])}"
        else:
            begin = f", from {self.names.bead(stitch.comes_from)}"
        return capitalised(f"{self._what(stitch)}{begin}{_TURNS.get(stitch.turn, '')}:")

    def _what(self, stitch: Stitch) -> str:
        loops = self._loops(stitch.loops)
        goes_on = "" if stitch.goes_on == NO_LOOP else f"go on round {self.names.loops[stitch.goes_on]}"
        if stitch.tips:
            return listed([self.names.place(bead) for bead in stitch.tips])
        if not loops:
            return goes_on or "sew on"
        if stitch.nested:
            what = f"loop {loops[0]}, with {listed(loops[1:])} inside it"
        else:
            what = f"{plural('loop', len(loops))} {listed(loops)}"
        return f"{goes_on}; then {what}" if goes_on else what

    def _step(self, step: Step) -> str:
        told = []
        if step.picked_up:
            beads = _beads(step.picked_up)
            names = counted(folded_names(self._codes(beads)), len(beads))
            closed = self._loops(_closed(step.picked_up))
            told.append(f"pick up {names}{f' (closes {listed(closed)})' if closed else ''}")
        if step.passed:
            told.append(f"pass through {self._passed(step.passed)}")
        if step.sewn:
            told.append(f"sew through {self._sewn(step.sewn)}")
        return sentence("; ".join(told))

    def _passed(self, runs: Sequence[Run]) -> str:
        """Return the beads passed through, each run with the loop it goes round."""
        told: list[str] = []
        for run in runs:
            codes = self._codes(run.beads)
            # A bead of this very step: which of them it is says more than its code.
            if run.again[-1] and not (len(run.again) > 1 and run.again[-2]):
                beads = [*folded_names(codes[:-1]), f"the {ordinal(run.again[-1])} of them again"]
            else:
                beads = folded_names(codes)
            if run.closes != NO_LOOP:
                way = f"closes {self.names.loops[run.closes]}"
            else:
                way = "along the edge" if run.loop == NO_LOOP else f"round {self.names.loops[run.loop]}"
            beads[-1] += f" ({way})"
            told += beads
        return counted(told, _count(runs))

    def _sewn(self, runs: Sequence[Run]) -> str:
        """Return how many beads are sewn through round which loops."""
        count = _count(runs)
        if count == 1:
            return "1"
        ways: list[str] = []
        # Single beads round one loop after the other are told together.
        for single, group in itertools.groupby(runs, lambda run: len(run.beads) == 1 and run.loop != NO_LOOP):
            told = list(group)
            if single:
                each = "each " if len(told) > 1 else ""
                ways.append(f"1 {each}round {listed(self._loops([run.loop for run in told]))}")
                continue
            ways += [
                f"{len(run.beads)} along the edge"
                if run.loop == NO_LOOP
                else f"{len(run.beads)} round {self.names.loops[run.loop]}"
                for run in told
            ]
        return f"{count}: {', '.join(ways)}"

    def _repeat(self, repeat: Repeat) -> str:
        stitches = _stitches(repeat.first, repeat.last)
        times = "once more" if repeat.times == 1 else f"{number_word(repeat.times)} more times"
        again = _stitches(repeat.again_first, repeat.again_last)
        loops = self._loops(repeat.loops)
        until = f", the last time for {plural('loop', len(loops))} {listed(loops)}" if loops else ""
        return f"Repeat {stitches} {times}: {again}{until}. Out of {self.names.bead(repeat.out_of)}."

    def _loops(self, loops: Sequence[int]) -> list[str]:
        return [self.names.loops[loop] for loop in loops]

    def _codes(self, beads: Sequence[int]) -> list[str]:
        return [self.names.beads[bead] for bead in beads]


_ENDING = (
    "Finished. Sew each thread end on round two or three loops, pull it snug and cut it off close to"
    " the work. Turn your face away when you cut: ends fly."
)


def step_title(step: Step) -> str:
    """Return the number of a step's stitch, with a letter where the stitch has several steps.

    Parameters
    ----------
    step : Step
        The step.
    """
    if step.parts == 1:
        return f"{step.stitch}"
    letter = _LETTERS[step.part] if step.part < len(_LETTERS) else f".{step.part + 1}"
    return f"{step.stitch}{letter}"


def step_aside(times: int, *, turns_back: bool) -> str:
    """Return how often a kind of step comes, and whether the work turns here.

    Parameters
    ----------
    times : int
        How many steps are of the kind.
    turns_back : bool
        Whether the work turns back at this one.
    """
    words = ["the work turns here"] if turns_back else []
    if times > 1:
        words.append(f"{times:,} steps like this")
    return " · ".join(words)


def caption(order: OrderOfWork, step: Step) -> str:
    """Return what to do in a step, in few words.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    step : Step
        One of its steps.
    """
    names = order.names
    told = []
    if step.new_thread:
        told.append("Leave a tail." if step.comes_from == NO_BEAD else "Join a new thread.")
    of_tip = bool(step.picked_up) and order.is_tip(step.picked_up[0].beads[0])
    if step.picked_up:
        beads = _beads(step.picked_up)
        codes = counted(folded_names(names.beads[bead] for bead in beads), len(beads))
        told.append(f"Pick up {codes}{' for the tip' * of_tip}{_whole(names, step.picked_up)}.")
    if of_tip:
        return " ".join([*told, f"Pass through {_count((*step.passed, *step.sewn))} along the edge."])
    if step.passed:
        told.append(f"Pass through {_count(step.passed)}{_whole(names, step.passed)}.")
    if step.sewn:
        told.append(f"Sew through {_count(step.sewn)} to go on.")
    return " ".join(told)


def _whole(names: StitchNames, runs: Sequence[Run]) -> str:
    loops = [names.loops[loop] for loop in _closed(runs)]
    return f": {plural('loop', len(loops))} {listed(loops)} closed" if loops else ""


def _beads(runs: Sequence[Run]) -> list[int]:
    return [bead for run in runs for bead in run.beads]


def _count(runs: Sequence[Run]) -> int:
    return sum(len(run.beads) for run in runs)


def _closed(runs: Sequence[Run]) -> list[int]:
    return [run.closes for run in runs if run.closes != NO_LOOP]


def _stitches(first: int, last: int) -> str:
    return f"stitch{'es' * (last > first)} {span(first, last)}"
