"""Where to start a new thread: at the end of a loop, at most one needleful after the last."""

import numpy as np
from numpy.typing import NDArray

from convert.errors import ThreadPathError
from convert.thread.steps import TAIL_MM, Supplies
from convert.weave.model import IntArray


def join_threads(
    pass_mm: NDArray[np.float64], loop_ends: NDArray[np.int64], rests: NDArray[np.int64], supplies: Supplies
) -> IntArray:
    """Return the passes before which a new thread is joined, the first of them 0.

    Each thread is used as far as it goes: to the last rest within its reach, or if there is none, to the last
    loop end. Two tails to be sewn in are taken off every needleful.

    Parameters
    ----------
    pass_mm : ndarray of shape (P,)
        Thread that each pass takes, in mm.
    loop_ends : ndarray of int
        Passes with which a loop closes, ascending.
    rests : ndarray of int
        Passes after which no loop is open, ascending.
    supplies : Supplies
        Thread and needle.

    Raises
    ------
    ThreadPathError
        A needleful does not reach from one loop end to the next.
    """
    used = np.cumsum(pass_mm)
    within = supplies.needleful_mm - 2 * TAIL_MM
    marks, spent = [0], 0.0
    while used[-1] - spent > within:
        reach = int(np.searchsorted(used, spent + within, side="right"))
        for ends in (rests, loop_ends):
            place = int(np.searchsorted(ends, reach)) - 1
            if place >= 0 and ends[place] >= marks[-1]:
                break
        else:
            later = loop_ends[loop_ends >= marks[-1]]
            needed = (used[later[0]] - spent + 2 * TAIL_MM) / 1000
            raise ThreadPathError(
                f"a needleful of {supplies.needleful_mm / 1000:g} m is too short: the thread needs"
                f" {np.ceil(needed * 100) / 100:.2f} m to the next place where it can end, two tails of"
                f" {TAIL_MM / 10:g} cm counted",
                "allow a longer needleful with --needleful",
            )
        marks.append(int(ends[place]) + 1)
        spent = float(used[ends[place]])
    return np.array(marks, np.int32)
