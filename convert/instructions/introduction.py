"""What stands before the stitch order: what is needed, how to read it, and cautions."""

import numpy as np

from convert.instructions.finishing import needed
from convert.instructions.names import SECOND
from convert.instructions.order import OrderOfWork
from convert.instructions.short import SHORT, kind_lines
from convert.piece.finishing import finishing
from convert.piece.materials import finished_size, materials
from convert.piece.pattern import Pattern
from convert.piece.repeats import repeat_told, seam_told
from convert.thread.steps import TAIL_MM
from convert.thread.verifier import ThreadReport
from convert.weave.hanging import HANGING
from convert.weave.model import Weave
from convert.weave.shapes import Sheet

_MOST_NAMED = 24


def introduction(order: OrderOfWork, report: ThreadReport, words: str = SHORT) -> list[str]:
    """Return the lines before the stitch order.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    report : ThreadReport
        The proof of its thread path.
    words : str
        In which words the work is told, see `convert.instructions.short.told_in`.
    """
    pattern = order.pattern
    title = f"{pattern.title}: stitch order"
    return [
        title,
        "=" * len(title),
        *([pattern.imprint.line] if pattern.imprint.line else []),
        "",
        *_needs(pattern, report),
        "",
        *how_to_read(order),
        *(kinds_of_loop(order) if words == SHORT else []),
        "",
        *cautions(report),
        *_tight(order, report),
    ]


def _needs(pattern: Pattern, report: ThreadReport) -> list[str]:
    supplies, rows = pattern.supplies, materials(pattern)
    finish = finishing(pattern)
    codes = max(len(row.colour.code) for row in rows)
    sizes = max(len(row.size.name) for row in rows)
    counts = max(len(f"{row.beads:,}") for row in rows)
    copies = pattern.pieces
    mirrored = ", of which every other is the mirror image and has an order of its own"
    pieces = f" For all {copies} pieces{mirrored * pattern.mirror_pair}." if copies > 1 else ""
    return [
        "You need",
        "--------",
        *(
            f"  {row.beads:{counts},} {row.colour.code:{codes}}  {row.size.name:{sizes}}  {row.colour.name}"
            for row in rows
        ),
        f"  Thread of {supplies.thread_mm:g} mm: {report.length_mm * copies / 1000:.1f} m, as"
        f" {report.threads * copies} working thread{'s' * (report.threads * copies > 1)} of up to"
        f" {report.longest_thread_mm / 1000:.1f} m, two tails of {TAIL_MM / 10:g} cm each counted in.",
        *([] if finish is None else [f"  To finish each piece: {needed(finish)}."]),
        f"  A needle of {supplies.needle_mm:g} mm.{pieces} Finished size {finished_size(pattern)}.",
    ]


def how_to_read(order: OrderOfWork) -> list[str]:
    """Return the lines that say how the stitch order is read, below their heading.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    """
    pattern = order.pattern
    code = pattern.palette.entries[int(pattern.used[0])].code
    if isinstance(pattern.shape, Sheet):
        one, other = "2.5", "3.4"
        counted = _set_in(pattern.weave, pattern.shape.direction)
        number = f"Loop 2.5 is loop 5 of row 2, as numbered on the chart.{counted}"
    else:
        one, other = "5", "12"
        number = "Loop 5 is the loop with that number on the chart."
    if pattern.weave.hanging:
        number += f" Loop {HANGING} is the large one at the top, to hang the piece by."
    tips = [
        "  Tip: a small bead that stands out between the two beads that meet at an outer corner of the loop"
        " named."
    ]
    return [
        "How to read it",
        "--------------",
        f"  {number} Start at the bead with the ring.",
        "  Hold the work as the chart lies before you, the same side up and the same edge at the top from the"
        " first bead to the last; do not turn it over. Where a row goes the other way the thread comes"
        " from the"
        " other side.",
        f"  A bead lies between two loops: {code} ({one}/{other}) is the bead {code} between loop {one} and"
        f" loop {other}.",
        "  Left and right: to which side the thread turns into the next bead, as seen along its way on the"
        " chart.",
        f"  Pick up: string new beads in the order given. 3 x {code} is three {code} one after the other.",
        "  Pass through: take the needle through beads that are woven already, one after the other. The bead"
        " that comes next at the end where the thread is is always the one named. The 2nd again, the same"
        " way:"
        " the second of the beads just strung, entered by the end where it was entered first.",
        f"  Closes {one}: the loop is whole; pull the thread snug before you go on.",
        "  Inside it: a second loop is closed on the way round the first; then the first goes on.",
        "  Sew through: take the needle through woven beads only to bring the thread to the next place.",
        "  Half hitch: go once round the thread between the two beads and through the ring this makes;"
        " pull it tight.",
        *(tips if pattern.edge == "points" else []),
        *_design(pattern),
        "  The last bead sewn through, or the one after Out of, is where the thread comes out. Look"
        " whether it does, and that"
        " every loop closed so far has its beads; if not, take the stitch back before you go on: pull the"
        " needle"
        " off and draw the thread out, bead by bead.",
    ]


def kinds_of_loop(order: OrderOfWork) -> list[str]:
    """Return the lines that explain the short form, with what each letter stands for; none without letters.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    """
    if not order.kinds.lettered:
        return []
    return [
        "",
        "Kinds of loop",
        "-------------",
        *(f"  {line}" for line in (*short_form(order), *kind_lines(order.kinds.lettered))),
    ]


def short_form(order: OrderOfWork) -> list[str]:
    """Return the paragraphs that explain the short form.

    Parameters
    ----------
    order : OrderOfWork
        The work, which has letters for kinds of loop.
    """
    pattern = order.pattern
    code = pattern.palette.entries[int(pattern.used[0])].code
    one, other = ("2.5", "3.4") if isinstance(pattern.shape, Sheet) else ("5", "12")
    letter = order.kinds.lettered[0].letter
    arrow, times = "\N{RIGHTWARDS ARROW}", "\N{MULTIPLICATION SIGN}"
    return [
        "Most stitches are told on one line: a loop, the letter of its kind, and the beads to pick up"
        " for it, in"
        " this order; after the arrow the beads to sew through.",
        f"{other} {letter} 3{times}{code} {arrow} {code} ({one}/{other}) is: weave loop {other} as"
        f" {letter} says,"
        f" picking up three {code}, then sew through the {code} between loops {one} and {other}.",
        *([_marks(pattern, code)] if order.names.marked else []),
        "A loop in square brackets is made inside the one before it: when the thread comes out of the"
        " bead that"
        " the two share, go round the inner loop and back through that bead, then go on round the outer one.",
        "Left and right say to which side of the thread the loop lies; through, the beads of the loop"
        " that are"
        " there already, last the bead you set out from: then the loop is closed, pull it snug. The first"
        " stitches, and the first of each letter, are told in whole sentences, too.",
    ]


def _marks(pattern: Pattern, code: str) -> str:
    """Return what the mark after a code means."""
    first, second = pattern.weave.sizes
    return f"{code}{SECOND} is {code} in {second.name}, and {code} alone in {first.name}; so for every code."


def _design(pattern: Pattern) -> list[str]:
    """Return what repeats, and how a ring closes."""
    told = []
    if repeat := repeat_told(pattern):
        told.append(f"  Repeat: {repeat}. The chart shows the first in full colour and the others pale.")
    if pattern.weave.seam is not None:
        last, first = pattern.weave.seam.loops, seam_told(pattern)
        told.append(
            f"  The piece is closed to a ring: bend it round, without a twist, until loop {last} of each row"
            f" meets loop 1 of the same row. The beads between them are drawn once, at {first}; the chart"
            f" outlines them again at the other end. Where the order says loop {last}, pass through them."
        )
    return told


def _set_in(weave: Weave, direction: str) -> str:
    """Return from where loops are counted, if a row does not begin with its loop 1."""
    rows, first_loops = np.unique(weave.loop_row, return_index=True)
    places = weave.loop_column[first_loops]
    if not places.any():
        return ""
    at = int(np.argmax(places > 0))
    row, place = int(rows[at]) + 1, int(places[at]) + 1
    edge = "top" if direction == "along" else "left"
    return (
        f" Loops are counted from the {edge} edge of the whole piece: row {row}, which begins further in,"
        f" begins with loop {row}.{place}."
    )


def _tight(order: OrderOfWork, report: ThreadReport) -> list[str]:
    """Return the lines that name the tight beads, each as the stitch order does."""
    if not len(report.tight_beads):
        return []
    listed = [order.names.bead(bead) for bead in report.tight_beads[:_MOST_NAMED].tolist()]
    more = len(report.tight_beads) - len(listed)
    told = ", ".join(listed) + (f" and {more:,} more" if more else "")
    return [f"  Tight: {told}."]


def cautions(report: ThreadReport) -> list[str]:
    """Return the lines that say what to take care of, below their heading."""
    return [
        "Take care",
        "---------",
        "  Keep beads, needles and thread ends from small children: they can choke on small parts.",
        "  Never force the needle: beads break and splinters fly. Wear glasses, and count your needles",
        "  before and after. Work in good light, and rest your hands and eyes every half hour.",
        *(f"  {warning[0].upper()}{warning[1:]}." for warning in report.warnings),
    ]
