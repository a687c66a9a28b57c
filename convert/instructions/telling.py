"""The stitch order in words, for following with a needle in hand."""

import itertools
import textwrap
from collections.abc import Iterable, Sequence

import numpy as np

from convert.instructions.groups import Group, folded, groups
from convert.instructions.introduction import introduction
from convert.instructions.names import StitchNames
from convert.piece.pattern import Pattern
from convert.thread.steps import TAIL_MM
from convert.thread.stitches import LEFT, NO_LOOP, RIGHT, Stitches, stitches
from convert.thread.verifier import ThreadReport

_TURNS = {LEFT: ", to the left", RIGHT: ", to the right"}
_NUMBERS = ("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_WIDTH = 100
# A stitch in which a new row is begun after this many without one starts a new section of the text.
_SECTION_GAP = 3


def stitch_text(pattern: Pattern, report: ThreadReport) -> str:
    """Return the stitch order of a piece as text.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    report : ThreadReport
        The proof of its thread path.
    """
    lines = [*introduction(pattern, report), *stitch_lines(pattern), ""]
    return "\n".join(line if len(line) <= _WIDTH else _wrapped(line) for line in lines)


def stitch_lines(pattern: Pattern) -> list[str]:
    """Return the work alone, a line for each paragraph however long.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    """
    return _Telling(pattern).lines()


class _Telling:
    """Tells the stitches of one piece."""

    def __init__(self, pattern: Pattern) -> None:
        self.pattern = pattern
        self.names = StitchNames(pattern)
        self.stitches: Stitches = stitches(pattern.weave, pattern.thread)
        told = self.stitches
        self.passes = pattern.thread.passes.tolist()
        self.picked_up = told.picked_up.tolist()
        self.loop = told.loop.tolist()
        self.closes = told.closes.tolist()
        self.open_loops = told.open_loops.tolist()
        self.step_start = told.step_start.tolist()
        self.step_through = told.step_through.tolist()
        self.marks = pattern.thread.new_threads.tolist()

    def lines(self) -> list[str]:
        """Return the work, line by line."""
        found = groups(self.pattern, self.stitches)
        threads = {mark: number for number, mark in enumerate(self.marks, start=1)}
        sections = self._sections(found)
        breaks = {number for number, group in enumerate(found) if group.first in threads}
        lines: list[str] = []
        number = 0
        for start, period, repeats in folded([group.kind for group in found], breaks | set(sections)):
            for place in range(start, start + period):
                group = found[place]
                if place in sections:
                    lines += ["", sections[place], "-" * len(sections[place])]
                if group.first in threads:
                    lines.append(self._new_thread(threads[group.first], group.first))
                lines += self._stitch(number + place - start + 1, group)
            number += period
            if repeats > 1:
                lines.append(self._repeat(number, period, repeats, found[start : start + period * repeats]))
                number += period * (repeats - 1)
        return [*lines, "", *self._ending()]

    def _sections(self, found: Sequence[Group]) -> dict[int, str]:
        """Return the headings by the stitch before which they stand: the rows or rounds that begin there."""
        rows = self.pattern.weave.loop_row
        begins = self.stitches.begins
        seen = np.zeros(int(rows.max()) + 1, bool)
        sections: list[tuple[int, list[int]]] = []
        latest = -_SECTION_GAP - 1
        for number, group in enumerate(found):
            begun = begins[group.first : group.end]
            new = [row for row in rows[begun[begun != NO_LOOP]].tolist() if not seen[row]]
            if new:
                seen[new] = True
                if number - latest > _SECTION_GAP:
                    sections.append((number, []))
                sections[-1][1].extend(new)
                latest = number
        ends = [*(number for number, _ in sections[1:]), len(found)]
        headings = {
            number: self._heading(sorted(set(new))) + self._direction(found[number:end])
            for (number, new), end in zip(sections, ends, strict=True)
        }
        tips = np.flatnonzero(self.pattern.thread.passes >= self.pattern.weave.beads)
        if len(tips):
            first = next(number for number, group in enumerate(found) if group.end > tips[0])
            headings[first] = "Last round: a small bead on each tip"
        return headings

    def _direction(self, told: Sequence[Group]) -> str:
        """Return which way a section is worked, where it clearly goes one way."""
        weave = self.pattern.weave
        loops = [group.loops[0] for group in told if group.loops]
        if self.names.line != "row" or len(loops) < _SECTION_GAP:
            return ""
        right, down = weave.loop_xy[loops[-1]] - weave.loop_xy[loops[0]]
        if max(abs(right), abs(down)) < _SECTION_GAP * weave.spacing.pitch_mm:
            return ""
        if abs(right) > abs(down):
            return ", to the right" if right > 0 else ", to the left"
        return ", downwards" if down > 0 else ", upwards"

    def _heading(self, rows: Sequence[int]) -> str:
        """Return the rows in words; a piece made in rounds has its centre before the first."""
        in_rows = self.names.line == "row"
        told = [] if in_rows or rows[0] else ["centre"]
        numbers = [row + in_rows for row in rows if row + in_rows]
        if numbers:
            runs = [f"{run[0]} to {run[-1]}" if len(run) > 1 else f"{run[0]}" for run in _runs(numbers)]
            told.append(f"{self.names.line}{'s' * (len(numbers) > 1)} {_listed(runs)}")
        return _sentence(" and ".join(told))[:-1]

    def _new_thread(self, number: int, first: int) -> str:
        tail = f"{TAIL_MM / 10:g} cm"
        if number == 1:
            return f"      Thread 1 of {len(self.marks)}. Leave a tail of {tail}; sew it in at the end."
        old = self.names.bead(self.passes[first - 1])
        return (
            f"      Start a new thread here: thread {number} of {len(self.marks)}. Leave a tail of {tail} on"
            f" the old thread and on the new one. The new one comes out of {old}, as the old one did."
        )

    def _stitch(self, number: int, group: Group) -> list[str]:
        """Return the lines of one stitch: what it weaves and from where, then a line a step."""
        names, first = self.names, group.first
        what = self._what(group)
        from_bead = names.bead(self.passes[max(first - 1, 0)])
        begin = f", from {from_bead}" if first else f", beginning with {from_bead}"
        turn = _TURNS.get(group.turn, "")
        lines = [f"{number:4}. {_sentence(f'{what}{begin}{turn}')[:-1]}:"]
        lines += [f"      {self._step(step)}" for step in range(group.first_step, group.end_step)]
        lines[-1] += f" Out of {names.bead(self.passes[group.end - 1])}."
        return lines

    def _what(self, group: Group) -> str:
        """Return what a stitch weaves."""
        loops = [self.names.loops[loop] for loop in group.loops]
        goes_on = self.loop[group.first]
        tips = [bead for bead in self.passes[group.first : group.end] if bead >= self.pattern.weave.beads]
        if tips:
            return _listed([self.names.place(bead) for bead in tips])
        if not loops:
            return "sew on" if goes_on == NO_LOOP else f"go on round {self.names.loops[goes_on]}"
        if group.nested:
            what = f"loop {loops[0]}, with {_listed(loops[1:])} inside it"
        else:
            what = f"loop{'s' * (len(loops) > 1)} {_listed(loops)}"
        if group.first and goes_on != NO_LOOP and goes_on not in group.loops:
            return f"go on round {self.names.loops[goes_on]}; then {what}"
        return what

    def _step(self, step: int) -> str:
        start, through, end = self.step_start[step], self.step_through[step], self.step_start[step + 1]
        told = []
        if through > start:
            closing = self._closing(start, through)
            told.append(f"pick up {self._counted(start, through)}{closing}")
        last = end
        while last > through and self._travels(last - 1):
            last -= 1
        if last > through:
            told.append(f"pass through {self._passed(through, last, start)}")
        if end > last:
            told.append(self._sewn_through(last, end))
        return _sentence("; ".join(told))

    def _travels(self, at: int) -> bool:
        """Whether a pass only takes the thread on: no loop is open before it or after it."""
        return at > 0 and self.open_loops[at] == 0 and self.open_loops[at - 1] == 0

    def _closing(self, start: int, end: int) -> str:
        closed = [self.names.loops[loop] for loop in self.closes[start:end] if loop != NO_LOOP]
        return f" (closes {_listed(closed)})" if closed else ""

    def _runs(self, start: int, end: int) -> list[str]:
        return _folded_names(self.names.beads[bead] for bead in self.passes[start:end])

    def _counted(self, start: int, end: int) -> str:
        """Return beads in their order, with their number where it does not show."""
        runs = self._runs(start, end)
        return runs[0] if len(runs) == 1 else f"{end - start}: {', '.join(runs)}"

    def _passed(self, start: int, end: int, picked_from: int) -> str:
        """Return the beads passed through, each run with the loop it goes round.

        Parameters
        ----------
        start, end : int
            The passes.
        picked_from : int
            The first pass of the step, which picked up new beads up to `start`.
        """
        told: list[str] = []
        for at, last in self._loop_runs(start, end):
            beads = self._runs(at, last)
            again = self.passes[picked_from:start]
            # A bead of this very step: which of them it is says more than its code.
            if self.passes[last - 1] in again and (last == at + 1 or self.passes[last - 2] not in again):
                number = _ordinal(again.index(self.passes[last - 1]) + 1)
                beads = [*self._runs(at, last - 1), f"the {number} of them again"]
            loop, closed = self.loop[last - 1], self.closes[last - 1] != NO_LOOP
            way = "along the edge" if loop == NO_LOOP else f"round {self.names.loops[loop]}"
            beads[-1] += f" (closes {self.names.loops[self.closes[last - 1]]})" if closed else f" ({way})"
            told += beads
        return told[0] if len(told) == 1 else f"{end - start}: {', '.join(told)}"

    def _loop_runs(self, start: int, end: int) -> list[tuple[int, int]]:
        """Return runs of passes round the same loop, cut where a loop closes."""
        cuts = [
            at
            for at in range(start + 1, end)
            if self.loop[at] != self.loop[at - 1] or self.closes[at - 1] != NO_LOOP
        ]
        return list(itertools.pairwise([start, *cuts, end]))

    def _sewn_through(self, start: int, end: int) -> str:
        if end - start == 1:
            return "sew through 1"
        ways: list[str] = []
        single: list[str] = []
        runs = [(loop, len(list(run))) for loop, run in itertools.groupby(self.loop[start:end])]
        for loop, count in [*runs, (NO_LOOP, 0)]:
            if count == 1 and loop != NO_LOOP:
                single.append(self.names.loops[loop])
                continue
            if single:
                ways.append(f"1 {'each ' * (len(single) > 1)}round {_listed(single)}")
                single = []
            if count:
                ways.append(
                    f"{count} along the edge"
                    if loop == NO_LOOP
                    else f"{count} round {self.names.loops[loop]}"
                )
        return f"sew through {end - start}: {', '.join(ways)}"

    def _repeat(self, number: int, period: int, repeats: int, told: Sequence[Group]) -> str:
        steps = f"stitch{'es' * (period > 1)} {_span(number - period + 1, number)}"
        times = "once more" if repeats == 2 else f"{_number(repeats - 1)} more times"
        again = f"stitch{'es' * (period * repeats > 2)} {_span(number + 1, number + period * (repeats - 1))}"
        last = told[-period:]
        loops = [self.names.loops[loop] for group in last for loop in group.loops]
        end = self.names.bead(self.passes[last[-1].end - 1])
        until = f", the last time for loop{'s' * (len(loops) > 1)} {_listed(loops)}" if loops else ""
        return f"      Repeat {steps} {times}: {again}{until}. Out of {end}."

    def _ending(self) -> list[str]:
        return [
            "Finished. Sew each thread end on round two or three loops, pull it snug and cut it off close to"
            " the work. Turn your face away when you cut: ends fly."
        ]


def _wrapped(line: str) -> str:
    """Return a line broken to the width of a page, later lines indented a little more."""
    indent = " " * (len(line) - len(line.lstrip()) + 2)
    return textwrap.fill(
        line, _WIDTH, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )


def _folded_names(names: Iterable[str]) -> list[str]:
    """Return names in their order, a run of equal ones folded as in ``3 x WH``."""
    runs = [(name, len(list(run))) for name, run in itertools.groupby(names)]
    return [name if count == 1 else f"{count} x {name}" for name, count in runs]


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}."


def _number(count: int) -> str:
    return _NUMBERS[count - 2] if count - 2 < len(_NUMBERS) else str(count)


def _ordinal(count: int) -> str:
    ending = "th" if 10 < count % 100 < 14 else {1: "st", 2: "nd", 3: "rd"}.get(count % 10, "th")
    return f"{count}{ending}"


def _span(first: int, last: int) -> str:
    """Return a span of numbers in words."""
    if last - first < 2:
        return f"{first} and {last}" if last > first else f"{first}"
    return f"{first} to {last}"


def _listed(names: Sequence[str]) -> str:
    if len(names) < 3:
        return " and ".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def _runs(numbers: Sequence[int]) -> list[list[int]]:
    """Return ascending numbers in runs without gaps."""
    found: list[list[int]] = []
    for number in numbers:
        if found and number == found[-1][-1] + 1:
            found[-1].append(number)
        else:
            found.append([number])
    return found
