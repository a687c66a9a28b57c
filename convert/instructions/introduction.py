"""What stands before the stitch order: what is needed, how to read it, and cautions."""

import numpy as np

from convert.instructions.finishing import needed
from convert.instructions.order import OrderOfWork
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


def introduction(order: OrderOfWork, report: ThreadReport) -> list[str]:
    """Return the lines before the stitch order.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    report : ThreadReport
        The proof of its thread path.
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
        *how_to_read(pattern),
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


def how_to_read(pattern: Pattern) -> list[str]:
    """Return the lines that say how the stitch order is read, below their heading."""
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
        f"  {number} Lay the chart before you as it is printed, and start at the bead with the ring.",
        f"  A bead lies between two loops: {code} ({one}/{other}) is the bead {code} between loop {one} and"
        f" loop {other}.",
        "  Each stitch says which bead the thread comes out of, and whether it turns right or left there.",
        f"  Pick up: string new beads in the order given. 3 x {code} is three {code} one after the other.",
        "  Pass through: take the needle through beads that are woven already, one after the other round the"
        f" loop named. Closes {one}: the loop is whole; pull the thread snug before you go on.",
        "  Inside it: a second loop is closed on the way round the first; then the first goes on.",
        "  Sew through: take the needle through woven beads only to bring the thread to the next place.",
        *(tips if pattern.edge == "points" else []),
        *_design(pattern),
        "  Out of: the bead the thread comes out of when the stitch is done. Look whether it does, and that"
        " every loop closed so far has its beads; if not, take the stitch back before you go on.",
    ]


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
