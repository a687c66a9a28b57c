"""The order in which a piece is changed: its loops, its thread, its colours, its title."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from convert.changing.change_file import Recolour
from convert.changing.colours import asked_on_the_line, recoloured
from convert.changing.faults import Faults
from convert.changing.finding import Finder
from convert.changing.loops import Reshaped, reshaped
from convert.instructions.places import Places
from convert.piece.about import NO_WISHES, Figures, Imprint, Wishes
from convert.piece.pattern import Pattern
from convert.settings.changes import ChangeOptions
from convert.settings.imprint import ImprintSettings
from convert.thread.planner import plan_thread
from convert.weave.shapes import Sheet

MARKED = "marked on the page"


def changed(
    pattern: Pattern,
    options: ChangeOptions,
    listed: Sequence[Recolour] = (),
    progress: Callable[[str], None] = lambda stage: None,
) -> tuple[Pattern, tuple[str, ...]]:
    """Return a piece as somebody wants it changed, and what was done, in words.

    All names are those of the chart before the change.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    options : ChangeOptions
        What is to be changed.
    listed : sequence of Recolour
        Beads of other colours, as a file lists them; those of the options come after them.
    progress : callable, optional
        Is told the name of each stage as it begins.

    Raises
    ------
    ChangeError, SizeError, ThreadPathError
        It cannot be changed so.
    """
    notes: list[str] = []
    first = (1, 1)
    wishes = NO_WISHES if options.leave_marked else pattern.wishes
    drop = _each("--drop", options.drop) + [(MARKED, loop) for loop in wishes.drop]
    add = _each("--add", options.add) + [(MARKED, loop) for loop in wishes.add]
    if drop or add:
        progress("Laying out loops")
        found = reshaped(pattern, drop, add)
        notes += _told(found, wishes)
        first, pattern = found.first, found.pattern
        progress("Planning the thread")
        plan = plan_thread(
            pattern.weave,
            path=pattern.path,
            start=pattern.start,
            edge=pattern.edge,
            supplies=pattern.supplies,
        )
        pattern = replace(pattern, thread=plan, figures=_of_another_shape(pattern))
    if not options.leave_marked:
        pattern = replace(pattern, wishes=NO_WISHES)
    if options.swap or listed or options.colours:
        progress("Changing colours")
        pattern, note = _coloured(pattern, options, listed, first)
        notes.append(note)
    return _signed(pattern, options), tuple(notes)


def _each(flag: str, words: Sequence[str]) -> list[tuple[str, str]]:
    """Return each loop or block of lists with commas, after where it stands."""
    loops = (loop.strip() for word in words for loop in word.replace(";", ",").split(","))
    return [(flag, loop) for loop in loops if loop]


def _coloured(
    pattern: Pattern, options: ChangeOptions, listed: Sequence[Recolour], first: tuple[int, int]
) -> tuple[Pattern, str]:
    places = Places(pattern.weave, in_rows=isinstance(pattern.shape, Sheet), first=first)
    finder = Finder(places, pattern.weave, len(pattern.bead_colour))
    faults = Faults()
    asked = (*listed, *asked_on_the_line(options.colours))
    colour = recoloured(pattern, options.swap, asked, finder, faults)
    faults.raise_any()
    count = int((colour != pattern.bead_colour).sum())
    beads = "no bead is" if not count else "1 bead is" if count == 1 else f"{count:,} beads are"
    return replace(pattern, bead_colour=colour), f"{beads} of another colour than before"


def _of_another_shape(pattern: Pattern) -> Figures | None:
    """Return the figures of a piece from before its shape changed, but for what only that shape had."""
    if pattern.figures is None:
        return None
    return replace(pattern.figures, nearest=None, colours_gap=None, colours_reason=None)


def _told(found: Reshaped, wishes: Wishes) -> list[str]:
    """Say what has become of the loops."""
    done = [
        f"{number:,} loop{'s' * (number > 1)} {what}"
        for number, what in ((found.dropped, "dropped"), (found.added, "added"))
        if number
    ]
    by = f", as {MARKED}" if wishes != NO_WISHES else ""
    notes = [f"{' and '.join(done)}{by}; the thread is planned and proven anew"]
    if found.added:
        notes.append(
            "beads of added loops have colours of those about them and are not judged by the picture"
        )
    for called, what in zip(found.first, ("row {}", "loop {} of a row"), strict=True):
        if called != 1:
            before = max(called, 1)
            now = what.format(before + 1 - called)
            notes.append(f"loops are counted anew: {what.format(before)} of the chart before is {now} now")
    return notes


def _signed(pattern: Pattern, options: ImprintSettings) -> Pattern:
    """Return a piece with the title, maker, licence and year that are given; the others stay."""
    had = pattern.imprint
    imprint = Imprint(
        had.maker if options.maker is None else options.maker,
        had.licence if options.licence is None else options.licence,
        had.year if options.year is None else options.year,
    )
    return replace(pattern, imprint=imprint, title=options.title or pattern.title)
