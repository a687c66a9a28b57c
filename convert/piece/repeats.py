"""Which part of a piece is its first repeat, and how its repeats are told."""

import numpy as np
from numpy.typing import NDArray

from convert.piece.pattern import Pattern
from convert.weave.shapes import Sheet
from convert.weave.tips import tips_of


def times_repeated(pattern: Pattern) -> tuple[int, int]:
    """Return how often a piece repeats along its rows and across them, 1 and 1 where it does not."""
    found = pattern.repeats
    if found is None:
        return 1, 1
    weave = pattern.weave
    loops, rows = int(weave.loop_column.max()) + 1, int(weave.loop_row.max()) + 1
    return -(-loops // (found.repeat_loops or loops)), -(-rows // (found.repeat_rows or rows))


def repeated_beads(pattern: Pattern) -> NDArray[np.bool_]:
    """Return the beads that lie in no loop of the first repeat, shape (B,) or (B + T,); none without repeats.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    """
    weave, found = pattern.weave, pattern.repeats
    pale = np.zeros(len(pattern.bead_colour), bool)
    if found is None or times_repeated(pattern) == (1, 1):
        return pale
    first = np.ones(weave.loops, bool)
    if found.repeat_loops is not None:
        first &= weave.loop_column < found.repeat_loops
    if found.repeat_rows is not None:
        first &= weave.loop_row < found.repeat_rows
    own = np.zeros(weave.beads, bool)
    own[weave.side_bead[first[weave.side_loop]]] = True
    pale[: weave.beads] = ~own
    if len(pale) > weave.beads:
        at = np.zeros(weave.junctions, bool)
        at[weave.bead_junctions[own & weave.rim_beads]] = True
        pale[weave.beads :] = ~at[tips_of(weave).junctions]
    return pale


def repeat_told(pattern: Pattern) -> str:
    """Return what of a piece repeats how often, such as ``columns 1 to 12, five times``; empty without."""
    along, across = times_repeated(pattern)
    found = pattern.repeats
    told = []
    if along > 1 and found is not None:
        upright = isinstance(pattern.shape, Sheet) and pattern.shape.direction == "along"
        what = f"1 to {found.repeat_loops}" if found.repeat_loops != 1 else "1"
        told.append(
            f"loops {what} of each row, {_times(along)}" if upright else f"columns {what}, {_times(along)}"
        )
    if across > 1 and found is not None:
        told.append(f"rows 1 to {found.repeat_rows}, {_times(across)}")
    return " and ".join(told)


def _times(count: int) -> str:
    words = ("twice", "three times", "four times", "five times", "six times")
    return words[count - 2] if count - 2 < len(words) else f"{count} times"


def seam_told(pattern: Pattern) -> str:
    """Return what a ring is closed to: the first loop of each row."""
    upright = isinstance(pattern.shape, Sheet) and pattern.shape.direction == "along"
    return "loop 1 of its row" if upright else "column 1"
