"""A swatch to practise on before the piece, and what to know before the first stitch."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from convert.piece.pattern import Pattern
from convert.thread.planner import plan_thread
from convert.weave.shapes import Sheet

ROWS, PLACES = 3, 5
_NEEDLEFUL_MM = 1800.0
# All common practice, no source.
BEFORE_THE_FIRST_STITCH = (
    "Thread: cut a needleful no longer than your two arms reach. Draw it once over beeswax or thread"
    " conditioner"
    " if it frays or tangles, and stretch it between your hands, so that it does not curl.",
    "Tension: pull snug after each loop, until its beads touch and the loop lies flat, not until it"
    " buckles. Hold"
    " the finished loop between finger and thumb while you string the next beads.",
    "A wrong stitch: do not sew backwards, the needle would split the thread. Take the needle off, draw"
    " the thread"
    " out of the last beads one by one with the tip of a blunt needle, put the beads back, and thread the"
    " needle"
    " again.",
    "Rests: look up from the beads every few minutes, and every half hour rest eyes, neck and hands. Mark"
    " the row"
    " in the stitch order before you lay the work aside.",
)


def practice_swatch(pattern: Pattern) -> Pattern:
    """Return a swatch of three rows of five loops in the beads of a piece, in its two commonest colours.

    The beads of the middle row are of the second colour, so that it shows which bead belongs where.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    """
    shape = Sheet(np.ones((ROWS, PLACES), bool))
    weave = shape.build(pattern.weave.sizes, pattern.weave.spacing)
    two_of_size = [_two_commonest(pattern.counts[:, size]) for size in (0, 1)]
    in_middle = np.zeros(weave.beads, bool)
    in_middle[weave.side_bead[weave.loop_row[weave.side_loop] == ROWS // 2]] = True
    entries = np.array(two_of_size)[weave.bead_size, in_middle.astype(int)]
    # A swatch is woven with one thread, however short the needlefuls of the piece are.
    supplies = replace(pattern.supplies, needleful_mm=max(pattern.supplies.needleful_mm, _NEEDLEFUL_MM))
    plan = plan_thread(weave, supplies=supplies, begin=pattern.begin)
    return replace(
        pattern,
        title="Practice swatch",
        shape=shape,
        weave=weave,
        bead_colour=entries.astype(np.int32),
        thread=plan,
        supplies=supplies,
        wanted=None,
        unshown=(),
        finish="none",
    )


def _two_commonest(counts: NDArray[np.int64]) -> list[int]:
    """Return the two entries with most beads, twice the same where there is but one."""
    order = np.argsort(-counts, kind="stable")
    return [int(order[0]), int(order[int(counts[order[1:2]].any())])]
