"""What a teacher needs besides: how long each row takes, and where a class usually needs help.

Where help is needed is common practice, no source; the stitches named are those of the piece.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from convert.instructions.order import OrderOfWork
from convert.instructions.phrases import listed
from convert.instructions.wording import section_heading
from convert.thread.stitches import NO_LOOP

_MOST_NAMED = 16
_FIRST_STITCHES = 3


class Stage(NamedTuple):
    """A part of the work that is begun together.

    Parameters
    ----------
    heading : str
        Which rows or rounds, and which way they go, as the stitch order says.
    first, last : int
        Its stitches, from 1.
    beads : int
        Beads picked up in it.
    """

    heading: str
    first: int
    last: int
    beads: int


def stages(order: OrderOfWork) -> list[Stage]:
    """Return the parts of the work of one piece, in order.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    """
    _, picked_up = np.unique(order.pattern.thread.passes, return_index=True)
    per_stitch = np.bincount(order.stitch_of[picked_up], minlength=len(order.groups) + 1)
    return [
        Stage(
            section_heading(order, section),
            section.first,
            section.end - 1,
            int(per_stitch[section.first : section.end].sum()),
        )
        for section in order.sections
    ]


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
    end = _end_of_first_line(order)
    if end < len(order.groups):
        places.append(
            f"The end of the first {line}, stitches {end:,} and {end + 1:,}: the pattern of steps breaks for"
            " the first time. Stop the class there, let all lay their work as the chart lies, and look at"
            " every thread: it must come out of the bead that the stitch order names."
        )
    turns = [section.first for section in order.sections[1:]]
    if turns:
        places.append(
            f"The turns, {_stitches(turns)}: a new {line} begins, perhaps the other way. Work that was"
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


def _end_of_first_line(order: OrderOfWork) -> int:
    """Return the stitch that closes the last loop of the first row, or round about the centre."""
    closes, rows = order.told.closes, order.pattern.weave.loop_row
    at = np.flatnonzero(closes != NO_LOOP)
    first = 0 if order.names.line == "row" else 1
    return int(order.stitch_of[at[rows[closes[at]] == first]].max(initial=1))


def _stitches(numbers: Sequence[int]) -> str:
    told = [f"{number:,}" for number in numbers[:_MOST_NAMED]]
    if len(numbers) > _MOST_NAMED:
        told.append(f"{len(numbers) - _MOST_NAMED:,} more")
    return f"stitch{'es' * (len(numbers) > 1)} {listed(told)}"
