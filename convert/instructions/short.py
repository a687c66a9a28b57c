"""The order of work in the short form: each loop by its letter and the beads it picks up.

A stitch is one line: its loop with the letter of its kind and what is strung, a loop made inside it in square
brackets where the thread comes to it, and last the beads that are sewn through to come to the next place.
Nothing is lost: from the bead where the thread stands a letter says the whole way round the loop.
"""

from collections.abc import Iterator, Sequence

from convert.instructions.entries import Stitch
from convert.instructions.kinds import NO_KIND, LoopKind
from convert.instructions.order import OrderOfWork
from convert.instructions.phrases import folded_names, plural
from convert.instructions.wording import FullWords, Kind, Paragraph, paragraphs
from convert.thread.stitches import LEFT, NO_LOOP

SHORT, FULL = "short", "full"
# So many stitches at the beginning are told in full.
FIRST_IN_FULL = 10
ARROW = "\N{RIGHTWARDS ARROW}"
_TIMES = "\N{MULTIPLICATION SIGN}"


def told_in(order: OrderOfWork, words: str) -> Iterator[Paragraph]:
    """Return the order of work in words of one kind.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    words : str
        ``short``: a letter for each kind of loop; ``full``: every stitch in whole sentences.
    """
    return paragraphs(order) if words == FULL else short_paragraphs(order)


def short_paragraphs(order: OrderOfWork) -> Iterator[Paragraph]:
    """Yield the order of work in the short form.

    The first stitches, and the first loop of every kind, are told in full as well.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    """
    full, short = FullWords(order.names, order.kinds.letter), ShortWords(order)
    for section in order.sections:
        yield Paragraph(Kind.HEADING, (full.heading(section),))
        for entry in order.entries(section):
            if not isinstance(entry, Stitch) or short.is_full(entry):
                yield full.entry(entry)
            else:
                yield Paragraph(Kind.SHORT, (short.entry(entry),), entry.number)


def kind_lines(kinds: Sequence[LoopKind]) -> list[str]:
    """Return what letters stand for, a line each.

    Parameters
    ----------
    kinds : sequence of LoopKind
        Kinds that have a letter, one or more.
    """
    widest = max(len(kind.letter) for kind in kinds)
    most = max(len(f"{kind.times:,}") for kind in kinds)
    return [
        f"{kind.letter:{widest}}  {kind.times:{most},} {plural('loop', kind.times):5}  {kind_words(kind)}"
        for kind in kinds
    ]


def kind_words(kind: LoopKind) -> str:
    """Return what is done in a kind of loop: to which side it lies, and how many beads are picked up."""
    runs = ", ".join(f"{'pick up' if picked_up else 'through'} {beads}" for picked_up, beads in kind.runs)
    return f"{'left' if kind.turn == LEFT else 'right'}: {runs}"


class ShortWords:
    """Says each stitch in the short form.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    """

    def __init__(self, order: OrderOfWork) -> None:
        self._order, self._names, self._told = order, order.names, order.told
        self._known: set[int] = set()

    def is_full(self, stitch: Stitch) -> bool:
        """Return whether a stitch is told in full: a first one, or with a loop that is new or seldom.

        Parameters
        ----------
        stitch : Stitch
            The stitch; each is to be asked about once, in their order.
        """
        kinds = self._order.kinds
        own = {int(kinds.of_loop[loop]) for loop in stitch.loops}
        seldom = any(kind == NO_KIND or not kinds.kinds[kind].letter for kind in own)
        new = not own <= self._known
        self._known |= own
        # Of loops that stay open to the next stitch only whole sentences say how far they have come.
        last = self._order.groups[stitch.number - 1].end - 1
        open_after = int(self._told.open_loops[last]) > 0
        parted = stitch.goes_on != NO_LOOP or open_after
        return new or seldom or parted or stitch.number <= FIRST_IN_FULL

    def entry(self, stitch: Stitch) -> str:
        """Return a stitch on one line.

        Parameters
        ----------
        stitch : Stitch
            The stitch.
        """
        told, names = self._told, self._names
        passes = self._order.pattern.thread.passes
        group = self._order.groups[stitch.number - 1]
        words = [", ".join(map(names.place, stitch.tips))] if stitch.tips else []
        strung: list[str] = []
        inside = 0
        for at in range(group.first, group.end):
            begins, closes = int(told.begins[at]), int(told.closes[at])
            if begins != NO_LOOP:
                words += folded_names(strung, _TIMES)
                strung.clear()
                words.append(f"{'[' * (inside > 0)}{names.loops[begins]} {self._order.kinds.letter(begins)}")
                inside += 1
            if told.picked_up[at]:
                strung.append(names.in_short[passes[at]])
            if closes != NO_LOOP:
                words += folded_names(strung, _TIMES)
                strung.clear()
                inside -= 1
                words[-1] += "]" * (inside > 0)
        words += folded_names(strung, _TIMES)
        beads = [bead for step in stitch.steps for run in step.sewn for bead in run.beads]
        sewn = [f"{names.in_short[bead]} ({names.place(bead)})" for bead in beads]
        return " ".join([*words, ARROW, ", ".join(sewn)] if sewn else words)
