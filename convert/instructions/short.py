"""The order of work in the short form: a letter for each kind of step, and the beads it picks up.

A stitch is one line: the loops it makes, then for each of its steps the letter and what is strung, and last
the beads that are sewn through to come to the next place. Nothing is lost: from the bead where the thread
stands a letter says the whole way (`convert.instructions.kinds`).
"""

from collections.abc import Iterator, Sequence

from convert.instructions.entries import Run, Step, Stitch
from convert.instructions.kinds import Move, StepKind
from convert.instructions.order import OrderOfWork
from convert.instructions.phrases import folded_codes, plural
from convert.instructions.wording import FullWords, Kind, Paragraph, paragraphs
from convert.thread.stitches import LEFT, RIGHT

# So many stitches at the beginning are told in full.
FIRST_IN_FULL = 10
SHORT, FULL = "short", "full"
_TURNS = {LEFT: "left", RIGHT: "right"}
CLOSED = "*"


def short_paragraphs(order: OrderOfWork) -> Iterator[Paragraph]:
    """Yield the order of work in the short form.

    The first stitches, and the first of every kind of step, are told in full as well.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    """
    full, short = FullWords(order.names), _ShortWords(order)
    for section in order.sections:
        yield Paragraph(Kind.HEADING, (full.heading(section),))
        for entry in order.entries(section):
            if not isinstance(entry, Stitch):
                yield full.entry(entry)
            elif short.is_full(entry):
                yield short.in_full(entry, full.entry(entry))
            else:
                yield Paragraph(Kind.SHORT, (short.entry(entry),), entry.number)


def told_in(order: OrderOfWork, words: str) -> Iterator[Paragraph]:
    """Return the order of work in words of one kind.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    words : str
        ``short``: a letter for each kind of step; ``full``: every stitch in whole sentences.
    """
    return paragraphs(order) if words == FULL else short_paragraphs(order)


def kind_lines(kinds: Sequence[StepKind]) -> list[str]:
    """Return what letters stand for, a line each.

    Parameters
    ----------
    kinds : sequence of StepKind
        Kinds that have a letter, one or more.
    """
    widest = max(len(kind.letter) for kind in kinds)
    most = max(len(f"{kind.times:,}") for kind in kinds)
    return [
        f"{kind.letter:{widest}}  {kind.times:{most},} {plural('time', kind.times):5}  {kind_words(kind)}"
        for kind in kinds
    ]


def kind_words(kind: StepKind) -> str:
    """Return what is done in a kind of step: to which side, how many beads, and where a loop is closed."""
    told: list[str] = []
    before: int | None = None
    for move in kind.moves:
        words = _move(move)
        if move.turn == before:
            told[-1] += f", {words}"
        else:
            turn = _TURNS.get(move.turn)
            told.append(words if turn is None else f"{turn}: {words}")
        before = move.turn
    return "; ".join(told)


def _move(move: Move) -> str:
    verb = "pick up" if move.picked_up else "through"
    return f"{verb} {move.beads}{CLOSED * move.closes}"


class _ShortWords:
    """Says each stitch in the short form."""

    def __init__(self, order: OrderOfWork) -> None:
        self._order, self._names = order, order.names
        self._known: set[int] = set()

    def is_full(self, stitch: Stitch) -> bool:
        """Return whether a stitch is told in full: one of the first, or with a step that is new or seldom."""
        kinds = self._order.kinds
        own = {int(kinds.of_step[step.step]) for step in stitch.steps}
        seldom = any(kinds.kinds[kind].moves and not kinds.kinds[kind].letter for kind in own)
        new = not own <= self._known
        self._known |= own
        return new or seldom or stitch.number <= FIRST_IN_FULL

    def in_full(self, stitch: Stitch, told: Paragraph) -> Paragraph:
        """Return a stitch that is told in full, with the letters of its steps."""
        first, *lines = told.lines
        letters = [self._letter(step) for step in stitch.steps]
        named = [f"{letter}: {line}" if letter else line for letter, line in zip(letters, lines, strict=True)]
        return Paragraph(told.kind, (first, *named), told.number)

    def entry(self, stitch: Stitch) -> str:
        """Return a stitch on one line."""
        steps = " / ".join(filter(None, map(self._step, stitch.steps)))
        return f"{self._makes(stitch)} {steps}".strip()

    def _makes(self, stitch: Stitch) -> str:
        """Return the loops that a stitch makes, or where it works."""
        if stitch.tips:
            return ", ".join(self._names.place(bead) for bead in stitch.tips)
        return "+".join(self._names.loops[loop] for loop in stitch.loops)

    def _step(self, step: Step) -> str:
        codes = folded_codes(self._names.beads[bead] for run in step.picked_up for bead in run.beads)
        told = [self._letter(step), *codes]
        if step.sewn:
            told += ["\N{RIGHTWARDS ARROW}", self._sewn(step.sewn)]
        return " ".join(filter(None, told))

    def _sewn(self, runs: Sequence[Run]) -> str:
        return ", ".join(self._names.bead(bead) for run in runs for bead in run.beads)

    def _letter(self, step: Step) -> str:
        kinds = self._order.kinds
        return kinds.kinds[int(kinds.of_step[step.step])].letter
