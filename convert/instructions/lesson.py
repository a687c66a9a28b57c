"""What a teacher needs besides: how long each row takes, and where a class usually needs help.

Where help is needed is common practice, no source; the stitches named are those of the piece.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from convert.instructions.order import OrderOfWork
from convert.instructions.turns import turning_steps
from convert.instructions.wording import section_heading
from convert.sentences import listed
from convert.thread.stitches import NO_LOOP

_MOST_NAMED = 16
_FIRST_STITCHES = 3


class Stage(NamedTuple):
    """A part of the work that is begun together, or as much of it as is woven within an hour.

    Parameters
    ----------
    heading : str
        Which rows or rounds, and which way they go, as the stitch order says; empty where they go on.
    first, last : int
        Its stitches, from 1.
    loop : str
        The last loop that is whole at its end.
    beads : int
        Beads picked up in it.
    """

    heading: str
    first: int
    last: int
    loop: str
    beads: int


def stages(order: OrderOfWork, most_beads: float) -> list[Stage]:
    """Return the parts of the work of one piece, in order.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    most_beads : float
        About so many beads a part may have, such as are woven within an hour.
    """
    _, picked_up = np.unique(order.pattern.thread.passes, return_index=True)
    by_stitch = np.bincount(order.stitch_of[picked_up], minlength=len(order.groups) + 1)
    found = []
    for section in order.sections:
        done = np.cumsum(by_stitch[section.first : section.end])
        parts = max(1, math.ceil(done[-1] / most_beads))
        ends = np.searchsorted(done, done[-1] * np.arange(1, parts + 1) / parts)
        first, heading, before = section.first, section_heading(order, section), 0
        for end in np.unique(ends).tolist():
            beads = int(done[end])
            last = section.first + end if end < ends[-1] else section.end - 1
            found.append(Stage(heading, first, last, _last_loop(order, last), beads - before))
            first, heading, before = last + 1, "", beads
    return found


def _last_loop(order: OrderOfWork, stitch: int) -> str:
    """Return the loop that is closed last by the end of a stitch."""
    closed = order.told.closes[: order.groups[stitch - 1].end]
    return order.names.loops[int(closed[np.flatnonzero(closed != NO_LOOP)[-1]])]


def hard_places(order: OrderOfWork) -> list[str]:
    """Return where a class usually needs help, a paragraph a place. Common practice, no source.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    """
    line = order.names.line
    last = min(_FIRST_STITCHES, len(order.groups))
    places = [
        f"The beginning, stitches 1 to {last}: nothing holds the first loop yet. Have everybody pinch the"
        " tail against the beads until the second loop is closed, and count the beads of the first loop"
        " aloud."
    ]
    turns = _turns(order)
    if turns:
        places.append(
            f"The end of the first {line}, {_stitches(turns[:2])}: the pattern of steps breaks for the first"
            " time. Stop the class there, let all lay their work as the chart lies, and look at every thread:"
            " it must come out of the bead that the stitch order names."
        )
    if turns[2:]:
        places.append(
            f"The turns, {_stitches(turns[2:])}: the next {line} begins, perhaps the other way. Work that was"
            " turned over by mistake does not lie as the chart does and has to come out again, so let"
            " neighbours look before the second loop."
        )
    joins = order.stitch_of[order.pattern.thread.new_threads[1:]].tolist()
    if joins:
        places.append(
            f"The joins, new threads at {_stitches(joins)}: the last loop must be whole and snug before"
            " the old thread is left. Both tails stay long and are sewn in at the end; no knot may sit in a"
            " bead that is passed again."
        )
    return places


def _turns(order: OrderOfWork) -> list[int]:
    """Return the stitches at which the work turns back, or of a piece in rounds goes on to the next one.

    The first two are the last before and the first after the first such place.
    """
    if order.names.line == "row":
        steps = turning_steps(order.pattern.weave, order.told)
        found: list[int] = np.unique(order.stitch_of[order.told.step_start[steps]]).tolist()
        return found
    rows, begins = order.pattern.weave.loop_row, order.told.begins
    at = np.flatnonzero(begins != NO_LOOP)
    _, first = np.unique(rows[begins[at]], return_index=True)
    # The centre and the first round about it are begun together.
    onward: list[int] = np.unique(order.stitch_of[at[first[2:]]]).tolist()
    return [onward[0] - 1, *onward] if onward else []


def _stitches(numbers: Sequence[int]) -> str:
    told = [f"{number:,}" for number in numbers[:_MOST_NAMED]]
    if len(numbers) > _MOST_NAMED:
        told.append(f"{len(numbers) - _MOST_NAMED:,} more")
    return f"stitch{'es' * (len(numbers) > 1)} {listed(told)}"
