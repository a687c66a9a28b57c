"""The stitch order for machines: one row a pass of the thread."""

from convert.instructions.order import OrderOfWork
from convert.thread.stitches import LEFT, NO_LOOP, RIGHT, STRAIGHT
from convert.writing.csv_cells import csv_text

HEADER = ("pass", "thread", "stitch", "action", "bead", "code", "size", "place", "turn", "loop", "closes")
_TURNS = {LEFT: "left", STRAIGHT: "", RIGHT: "right"}


def stitch_csv(order: OrderOfWork) -> str:
    """Return the thread path of a piece as CSV, one row each time the thread goes through a bead.

    ``pass`` counts from 1, ``thread`` is the number of the working thread, ``stitch`` that of the stitch in
    ``stitches.txt``. ``action`` is ``pick up`` the first time and ``pass through`` later. ``bead`` is the
    number of the bead in ``pattern.json``, from 0 and row by row, the small beads at the tips last; ``code``
    and ``size`` say which it is, ``place`` the loops it lies between. ``turn`` is the way the thread turns to
    come into the bead, ``loop`` the loop it goes round on the way, ``closes`` the loop that is whole with it.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    """
    pattern, told, names = order.pattern, order.told, order.names
    entries, sizes = pattern.palette.entries, pattern.weave.sizes
    colours, bead_sizes = pattern.bead_colour.tolist(), pattern.bead_size.tolist()
    rows = (
        (
            number,
            of_thread,
            of_stitch,
            "pick up" if picked else "pass through",
            bead,
            entries[colours[bead]].code,
            sizes[bead_sizes[bead]].name,
            names.place(bead),
            _TURNS[turn],
            "" if loop == NO_LOOP else names.loops[loop],
            "" if closes == NO_LOOP else names.loops[closes],
        )
        for number, (of_thread, of_stitch, picked, bead, turn, loop, closes) in enumerate(
            zip(
                order.thread_of.tolist(),
                order.stitch_of.tolist(),
                told.picked_up.tolist(),
                pattern.thread.passes.tolist(),
                told.turn.tolist(),
                told.loop.tolist(),
                told.closes.tolist(),
                strict=True,
            ),
            start=1,
        )
    )
    return csv_text(HEADER, rows)
