"""The order of work in words: in full for the stitch order, in few for what stands below a picture.

Both are voices over the data of `convert.instructions.order`; nothing is known here that is not in it.
"""

from collections.abc import Callable, Iterator, Sequence
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
    number_word,
    ordinal,
    plural,
    sentence,
    span,
    spans,
)
from convert.sentences import listed
from convert.thread.steps import HITCHES
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
    SHORT = auto()
    REPEAT = auto()
    ENDING = auto()


class Paragraph(NamedTuple):
    """Words that belong together.

    Parameters
    ----------
    kind : Kind
        What they are about.
    lines : tuple of str
        The words, however long a line: of a stitch what it weaves, then a line a step; in short one line.
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
    words = FullWords(order.names)
    for section in order.sections:
        yield Paragraph(Kind.HEADING, (words.heading(section),))
        for entry in order.entries(section):
            yield words.entry(entry)


def section_heading(order: OrderOfWork, section: Section) -> str:
    """Return which rows or rounds a section begins, and which way it goes."""
    return FullWords(order.names).heading(section)


class FullWords:
    """Says each entry of the order of work in full.

    Parameters
    ----------
    names : StitchNames
        What beads and loops are called.
    letter : callable, optional
        Gives the letter of a loop's kind, empty if it has none; without it none is told.
    """

    def __init__(self, names: StitchNames, letter: Callable[[int], str] = lambda loop: "") -> None:
        self.names = names
        self._letter = letter

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
                # What is sewn through last says where the thread comes out.
                if not entry.steps[-1].sewn:
                    lines[-1] += f" Out of {self.names.bead(entry.out_of)}."
                return Paragraph(Kind.STITCH, tuple(lines), entry.number)
            case Repeat():
                return Paragraph(Kind.REPEAT, (self._repeat(entry),))
            case NewThread():
                return Paragraph(Kind.NEW_THREAD, self.new_thread(entry))
            case Ending():
                return Paragraph(Kind.ENDING, (self.ending(entry),))

    def new_thread(self, mark: NewThread) -> tuple[str, ...]:
        """Return how a working thread begins, and how the one before it ends: a heading, then a line each."""
        tail, which = f"{mark.tail_mm / 10:g} cm", f"{mark.number} of {mark.threads}"
        if mark.held:
            return (
                f"Thread {which}. Leave {tail} of its end hanging; the first loop is passed twice, so that it"
                " holds.",
            )
        if mark.comes_from == NO_BEAD:
            return (
                f"Thread {which}. {tail} from its end go twice through a spare bead, which keeps the beads on"
                " the thread and comes off at the end.",
            )
        head = f"New thread, {which}, where the old one comes out of {self.names.bead(mark.comes_from)}."
        if not mark.comes:
            return (head, f"Leave a tail of {tail} on both; the new one comes out as the old one did.")
        return (
            head,
            f"Sew in the old one through {self._tail(mark.leaves)}; cut it off close.",
            f"Bring in the new one, with {tail} to hold on to, through {self._tail(mark.comes)}; it comes out"
            " as the old one did. Cut its end off close.",
        )

    def ending(self, mark: Ending) -> str:
        """Return what is left to do when all is woven."""
        if not mark.last:
            return f"Finished. {_LAST_ENDS} {_CUT}"
        return (
            f"Finished. Sew in the thread through {self._tail(mark.last)}; cut it off close. Take off the"
            f" spare bead at the beginning, if there is one, and sew in that end through"
            f" {self._tail(mark.first)}. {_CUT}"
        )

    def _tail(self, beads: Sequence[int]) -> str:
        """Return the beads of a tail, with the half hitches on its way."""
        told = []
        for number, bead in enumerate(beads, start=1):
            told.append(self.names.bead(bead))
            if number in HITCHES and number < len(beads):
                told.append("half hitch")
        return ", ".join(told)

    def _weaves(self, stitch: Stitch) -> str:
        """Return what a stitch weaves, from which bead and to which side."""
        if stitch.comes_from == NO_BEAD:
            begin = f", beginning with {self.names.bead(stitch.steps[0].picked_up[0].beads[0])}"
        else:
            begin = f", from {self.names.bead(stitch.comes_from)}"
        return capitalised(f"{self._what(stitch)}{begin}{_TURNS.get(stitch.turn, '')}:")

    def _what(self, stitch: Stitch) -> str:
        loops = [self._with_letter(loop) for loop in stitch.loops]
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

    def _with_letter(self, loop: int) -> str:
        letter = self._letter(loop)
        return f"{self.names.loops[loop]} {letter}" if letter else self.names.loops[loop]

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
        """Return the beads passed through, each by its name, and the loops they go round or close."""
        told: list[str] = []
        for run in runs:
            beads = [self.names.bead(bead) for bead in run.beads]
            # A bead of this very step: which of them it is says more than its name.
            if run.again[-1] and not (len(run.again) > 1 and run.again[-2]):
                beads[-1] = f"the {ordinal(run.again[-1])} of them again, the same way"
            if run.closes != NO_LOOP:
                beads[-1] += f", which closes {self.names.loops[run.closes]}"
            told += beads
        return "; ".join(told) if any("," in bead for bead in told[:-1]) else ", ".join(told)

    def _sewn(self, runs: Sequence[Run]) -> str:
        """Return the beads sewn through, each by its name."""
        return ", ".join(self.names.bead(bead) for bead in _beads(runs))

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


_LAST_ENDS = "Sew each thread end on round two or three loops, pull it snug and cut it off close to the work."
_CUT = "Turn your face away when you cut: ends fly."


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
    """Return how often a kind of step comes, and whether the thread turns back here.

    Parameters
    ----------
    times : int
        How many steps are of the kind.
    turns_back : bool
        Whether the thread turns back at this one.
    """
    words = ["the thread turns back here"] if turns_back else []
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
