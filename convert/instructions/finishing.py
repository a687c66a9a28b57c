"""Words for what is sewn to a piece once it is woven. Common practice, no source."""

from collections.abc import Callable
from typing import NamedTuple

from convert.instructions.names import StitchNames
from convert.piece.finishing import (
    BOTTOM,
    BUTTON,
    BUTTON_MM,
    CLASP,
    CLOTH,
    HOOK,
    LEFT,
    RIGHT,
    RING,
    SEWN,
    TOP,
    Fastening,
    Finish,
)
from convert.sentences import listed
from convert.thread.steps import TAIL_MM

_ENDS = {LEFT: "left end", RIGHT: "right end", TOP: "top", BOTTOM: "bottom"}
_OPPOSITE = {LEFT: "right end", TOP: "bottom"}
_TITLES = {
    CLASP: "Finishing: sew on a clasp",
    SEWN: "Finishing: sew the ends together",
    BUTTON: "Finishing: a button and a loop",
    HOOK: "Finishing: an earring hook",
    RING: "Finishing: a ring to hang it by",
    CLOTH: "Finishing: sew it on cloth",
}
_MOST_PAIRS = 12
_THINGS = {
    CLASP: ("a clasp",),
    SEWN: (),
    BUTTON: (f"a button of about {BUTTON_MM:g} mm with a shank",),
    HOOK: ("an earring hook",),
    RING: ("a closed ring of 4 to 6 mm",),
    CLOTH: ("a piece of cloth larger than the work",),
}


class FinishStep(NamedTuple):
    """A step of finishing: its title, what to do, and where."""

    title: str
    words: str
    fastening: Fastening


def finishing_title(finish: Finish) -> str:
    """Return the heading over the steps."""
    return _TITLES[finish.kind]


def needed(finish: Finish) -> str:
    """Return what each piece takes besides its beads and the thread that weaves it."""
    return listed([*_THINGS[finish.kind], f"{finish.thread_mm / 10:.0f} cm of thread"])


def finishing_steps(finish: Finish, names: StitchNames) -> list[FinishStep]:
    """Return the steps, each with its words.

    Parameters
    ----------
    finish : Finish
        What is sewn, and where.
    names : StitchNames
        What beads are called.
    """
    return [
        FinishStep(_step_title(finish, one), _WORDS[finish.kind](one, number, names), one)
        for number, one in enumerate(finish.fastenings)
    ]


def finishing_remarks(finish: Finish, names: StitchNames) -> list[str]:
    """Return what holds for all steps: how a thread is begun and ended there, and tight beads."""
    told = [
        f"Each step has a thread of its own. Begin and end it in finished work: leave {TAIL_MM / 10:g} cm, go"
        " through the beads of two loops one after the other so that the thread turns back on itself, tie a"
        " half hitch round the thread between two beads, go on through a few more, and cut."
    ]
    if finish.tight:
        beads = listed([names.bead(bead) for bead in finish.tight[:_MOST_PAIRS]])
        more = len(finish.tight) - _MOST_PAIRS
        more_told = f" and {more} more" if more > 0 else ""
        told.append(
            f"The holes of {beads}{more_told} are nearly full by then: take a finer needle, never force it,"
            " and leave out a pass sooner than break a bead."
        )
    return told


def _step_title(finish: Finish, one: Fastening) -> str:
    if finish.kind == SEWN:
        return "Both ends"
    if finish.kind == CLOTH:
        return "All round"
    return _ENDS[one.towards].capitalize()


def _thread(one: Fastening) -> str:
    return f"Take {one.thread_mm / 10:.0f} cm of thread"


def _through(one: Fastening, names: StitchNames, fitting: str) -> str:
    beads = [names.bead(bead) for bead in one.beads]
    if len(beads) == 1:
        return (
            f"Out of {beads[0]}, through {fitting}, and back through the same bead, until the thread has gone"
            f" {one.passes} times through it."
        )
    return (
        f"Out of {beads[0]}, through {fitting}, into {listed(beads[1:])} one after the other, each time"
        f" through {fitting} between, and back in the same way, until the thread has gone {one.passes} times"
        " through each."
    )


def _clasp(one: Fastening, number: int, names: StitchNames) -> str:
    half = "the ring of one half of the clasp" if number == 0 else "the ring of the other half"
    again = "" if number == 0 else " Close the clasp first, so that both halves lie the same way up."
    return f"{_thread(one)}.{again} {_through(one, names, half)} The clasp sits close, and still turns."


def _button(one: Fastening, number: int, names: StitchNames) -> str:
    if number == 0:
        return (
            f"{_thread(one)}. {_through(one, names, 'the shank of the button')} Leave it as loose as a bead"
            " is thick, so that the loop finds room below."
        )
    first, last = names.bead(one.beads[0]), names.bead(one.beads[-1])
    into = "the same bead from its other side" if len(one.beads) == 1 else last
    return (
        f"{_thread(one)}. Out of {first}, string {one.strung} beads of the core's size from those to spare,"
        f" and go into {into}. The loop has to slip over the button, only just: try, and string more or"
        f" fewer. Then go round the loop and the end again, until the thread has gone {one.passes} times"
        f" through {listed([names.bead(bead) for bead in one.beads])}."
    )


def _hook(one: Fastening, number: int, names: StitchNames) -> str:
    return (
        f"{_thread(one)}. {_through(one, names, 'the ring of the hook')} See that the hook faces the way it"
        " is to hang; for a pair, that the second faces as the first does."
    )


def _ring(one: Fastening, number: int, names: StitchNames) -> str:
    return f"{_thread(one)}. {_through(one, names, 'the ring')} A cord or chain goes through the ring."


def _sewn(one: Fastening, number: int, names: StitchNames) -> str:
    pairs = [
        f"{names.bead(bead)} to {names.bead(other)}"
        for bead, other in zip(one.beads[::2], one.beads[1::2], strict=True)
    ]
    told = "; ".join(pairs[:_MOST_PAIRS]) + ("; and so on" if len(pairs) > _MOST_PAIRS else "")
    return (
        f"{_thread(one)}. Bring the {_ENDS[one.towards]} to the {_OPPOSITE[one.towards]}, not twisted, and"
        f" sew bead to bead, {one.passes} times through each: {told}."
    )


def _cloth(one: Fastening, number: int, names: StitchNames) -> str:
    return (
        f"{_thread(one)}, in lengths that you can handle, in the colour of the edge. Lay the work on the"
        f" cloth and pin it at its corners. Begin at {names.bead(one.beads[0])} and go round clockwise: up"
        " out of the cloth, through one bead of the edge, down close behind it; one bead of each loop,"
        f" {len(one.beads):,} in all. Sew large pieces down at every fifth loop inside, too."
    )


_WORDS: dict[str, Callable[[Fastening, int, StitchNames], str]] = {
    CLASP: _clasp,
    SEWN: _sewn,
    BUTTON: _button,
    HOOK: _hook,
    RING: _ring,
    CLOTH: _cloth,
}


def finishing_lines(finish: Finish, names: StitchNames) -> list[str]:
    """Return all of it as lines below a heading.

    Parameters
    ----------
    finish, names
        See `finishing_steps`.
    """
    title = finishing_title(finish)
    return [
        "",
        title,
        "-" * len(title),
        f"  You need {needed(finish)} for each piece.",
        *(f"  {remark}" for remark in finishing_remarks(finish, names)),
        *(f"  {step.title}: {step.words}" for step in finishing_steps(finish, names)),
    ]
