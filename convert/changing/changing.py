"""The order in which a piece is changed: its loops, its thread, its colours, its title."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from convert.changing.change_file import Recolour
from convert.changing.colours import asked_on_the_line, recoloured
from convert.changing.faults import Faults
from convert.changing.finding import Finder
from convert.changing.loops import Reshaped, reshaped
from convert.instructions.places import Places
from convert.piece.about import NO_WISHES, Imprint, Wishes
from convert.piece.pattern import Pattern
from convert.sentences import counted
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

    All names are those of the chart before the change; only beads of loops that are added come after it.

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
    wishes = NO_WISHES if options.leave_marked else pattern.wishes
    drop = _each("--drop", options.drop) + [(MARKED, loop) for loop in wishes.drop]
    add = _each("--add", options.add) + [(MARKED, loop) for loop in wishes.add]
    asked = (*listed, *asked_on_the_line(options.colours))
    notes: list[str] = []
    if options.swap or asked:
        progress("Changing colours")
    pattern, count, later = _coloured(pattern, options.swap, asked, may_come=bool(add))
    if drop or add:
        progress("Laying out loops")
        found = reshaped(pattern, drop, add)
        notes += _told(found, wishes)
        pattern, more, _ = _coloured(found.pattern, (), later, first=found.first)
        count += more
        progress("Planning the thread")
        pattern = _threaded(pattern)
    if options.swap or asked:
        beads = "no bead is" if not count else "1 bead is" if count == 1 else f"{count:,} beads are"
        notes.append(f"{beads} of another colour than before")
    if not options.leave_marked:
        pattern = replace(pattern, wishes=NO_WISHES)
    return _signed(pattern, options), tuple(notes)


def _each(flag: str, words: Sequence[str]) -> list[tuple[str, str]]:
    """Return each loop or block of lists with commas, after where it stands."""
    loops = (loop.strip() for word in words for loop in word.replace(";", ",").split(","))
    return [(flag, loop) for loop in loops if loop]


def _coloured(
    pattern: Pattern,
    swaps: Sequence[str],
    asked: Sequence[Recolour],
    *,
    may_come: bool = False,
    first: tuple[int, int] = (1, 1),
) -> tuple[Pattern, int, list[Recolour]]:
    """Return a piece with beads of other colours, how many these are, and which may come with new loops."""
    later: list[Recolour] = []
    if not (swaps or asked):
        return pattern, 0, later
    places = Places(pattern.weave, in_rows=isinstance(pattern.shape, Sheet), first=first)
    finder = Finder(places, pattern.weave, len(pattern.bead_colour))
    faults = Faults()
    colour = recoloured(pattern, swaps, asked, finder, faults, later if may_come else None)
    faults.raise_any()
    return replace(pattern, bead_colour=colour), int((colour != pattern.bead_colour).sum()), later


def _threaded(pattern: Pattern) -> Pattern:
    """Return a piece of a new shape with its thread, and without the figures that only its old shape had."""
    plan = plan_thread(
        pattern.weave,
        path=pattern.path,
        start=pattern.start,
        begin=pattern.begin,
        edge=pattern.edge,
        supplies=pattern.supplies,
    )
    figures = pattern.figures
    if figures is not None:
        figures = replace(figures, nearest=None, colours_gap=None, colours_reason=None)
    return replace(pattern, thread=plan, figures=figures)


def _told(found: Reshaped, wishes: Wishes) -> list[str]:
    """Say what has become of the loops."""
    done = [
        f"{counted(number, 'loop')} {what}"
        for number, what in ((found.dropped, "dropped"), (found.added, "added"))
        if number
    ]
    by = f", as {MARKED}" if wishes != NO_WISHES else ""
    notes = [f"{' and '.join(done)}{by}; the thread is planned and proven anew"]
    if found.added:
        notes.append(
            "beads of added loops have colours of those about them and are not judged by the picture"
        )
    for called, what in zip(found.first, ("row", "place"), strict=True):
        if called != 1:
            was = max(called, 1)
            now = was + 1 - called
            notes.append(f"{what}s are counted anew: {what} {was} of the chart before is {what} {now} now")
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
