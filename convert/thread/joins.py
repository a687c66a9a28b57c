"""Where to start a new thread: at the end of a loop, at most one needleful after the last."""

import math
from collections.abc import Callable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from convert.errors import ThreadPathError
from convert.thread.steps import TAIL_MM, Supplies
from convert.weave.model import IntArray

# Share of a thread that may be left over to end it at a better place.
MOST_WASTE = 0.1
# Places of a kind that are tried where the holes at the last of them have no room.
MOST_TRIED = 12


def join_threads(
    pass_mm: NDArray[np.float64],
    ends: Sequence[NDArray[np.int64]],
    supplies: Supplies,
    fits: Callable[[int], bool] = lambda last: True,
) -> IntArray:
    """Return the passes before which a new thread is joined, the first of them 0.

    Each thread is used as far as it goes: to the last of the best places within its reach, or if that wastes
    too much of it, to the last of the next best. A place where holes have room for the tails goes before one
    where they have none. Two tails to be sewn in are taken off every needleful.

    Parameters
    ----------
    pass_mm : ndarray of shape (P,)
        Thread that each pass takes, in mm.
    ends : sequence of ndarray of int
        Passes after which a thread can end, ascending: the best places, the next best and so on, the last of
        them the passes with which a loop closes.
    supplies : Supplies
        Thread and needle.
    fits : callable, optional
        Tells whether holes have room for the tails where a thread ends with a pass.

    Raises
    ------
    ThreadPathError
        A needleful does not reach from one place to the next.
    """
    used = np.cumsum(pass_mm)
    within = supplies.needleful_mm - 2 * TAIL_MM
    marks, spent = [0], 0.0
    while used[-1] - spent > within:
        # Passes within reach are those before this one.
        reach = int(np.searchsorted(used, spent + within, side="right"))
        found = [place for places in ends if (place := _last_before(places, reach)) >= marks[-1]]
        if not found:
            later = np.concatenate([places[places >= marks[-1]] for places in ends])
            raise _too_short(used, spent, int(later.min()), supplies)
        least_mm = used[max(found)] - MOST_WASTE * within
        last = next(place for place in found if used[place] >= least_mm)
        if not fits(last):
            others = _before(ends, reach, int(np.searchsorted(used, least_mm)), marks[-1])
            last = next((place for place in others if fits(place)), last)
        marks.append(last + 1)
        spent = float(used[last])
    return np.array(marks, np.int32)


def _before(ends: Sequence[NDArray[np.int64]], reach: int, least: int, begun: int) -> Iterator[int]:
    """Yield some places from the best to the last resort, of each kind the last ones within reach first."""
    for places in ends:
        low, high = np.searchsorted(places, (max(least, begun), reach)).tolist()
        yield from places[low:high][::-1][:MOST_TRIED].tolist()


def _last_before(places: NDArray[np.int64], limit: int) -> int:
    """Return the last of ascending places before a limit, -1 if there is none."""
    number = int(np.searchsorted(places, limit))
    return int(places[number - 1]) if number else -1


def _too_short(used: NDArray[np.float64], spent: float, place: int, supplies: Supplies) -> ThreadPathError:
    needed_cm = math.ceil((used[place] - spent + 2 * TAIL_MM) / 10)
    return ThreadPathError(
        f"a needleful of {supplies.needleful_mm / 1000:g} m is too short: with two tails of"
        f" {TAIL_MM / 10:g} cm the thread needs {needed_cm / 100:.2f} m to the next place where it can end",
        "allow a longer needleful with --needleful",
    )
