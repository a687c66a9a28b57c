"""Which steps of a piece get a picture: the first loops, the turns of the work, and every other kind."""

import itertools
from dataclasses import dataclass

import numpy as np

from convert.instructions.turns import turning_steps
from convert.thread.stitches import NO_LOOP, Stitches
from convert.weave.model import IntArray, Weave

FIRST_LOOPS = 6
MOST_PICTURES = 24


@dataclass(frozen=True, slots=True)
class ChosenStep:
    """A step that gets a picture.

    Parameters
    ----------
    step : int
        The step, see `convert.thread.stitches.Stitches`.
    times : int
        How many steps of the piece are of its kind.
    turn : bool
        Whether the work turns back there.
    """

    step: int
    times: int
    turn: bool


def choose_steps(
    weave: Weave, told: Stitches, *, in_rows: bool, most: int = MOST_PICTURES
) -> tuple[list[ChosenStep], int]:
    """Return the steps that get a picture in the order of the work, and how many kinds go without.

    Steps are of one kind if they pick up and pass through as many beads, turn the same way at each and close
    loops at the same places; colours do not matter. Of each kind the first step is shown, and the first at
    which the work turns back. Where there are too many, the rarest kinds go without.

    Parameters
    ----------
    weave : Weave
        The piece.
    told : Stitches
        Its thread path.
    in_rows : bool
        Whether the piece has rows, at whose ends the work turns back, and not rounds.
    most : int
        Most pictures.
    """
    kind, firsts, times = _kinds(told)
    closed = np.flatnonzero(told.closes != NO_LOOP)[: min(FIRST_LOOPS, weave.loops)]
    begin = np.arange(int(np.searchsorted(told.step_start, closed[-1], side="right")))
    turns = turning_steps(weave, told) if in_rows else np.zeros(0, np.int32)
    by_frequency = firsts[np.lexsort((firsts, -times))]
    _, new = np.unique(kind[turns], return_index=True)
    turns = turns[np.sort(new)]
    wanted = np.concatenate([firsts[kind[begin]], turns, by_frequency])
    # The first place of each step in the order of their worth.
    _, place = np.unique(wanted, return_index=True)
    chosen = np.sort(wanted[np.sort(place)][:most])
    turning = set(turns.tolist())
    steps = [ChosenStep(step, int(times[kind[step]]), step in turning) for step in chosen.tolist()]
    return steps, len(firsts) - len(np.unique(kind[chosen]))


def _kinds(told: Stitches) -> tuple[IntArray, IntArray, IntArray]:
    """Return the kind of each step, the first step of each kind, and how many steps there are of each."""
    looks = (told.turn + 1) * 4 + told.picked_up * 2 + (told.closes != NO_LOOP)
    text = looks.astype(np.uint8).tobytes()
    numbers: dict[bytes, int] = {}
    bounds = told.step_start.tolist()
    kind = np.array(
        [numbers.setdefault(text[start:end], len(numbers)) for start, end in itertools.pairwise(bounds)],
        np.int32,
    )
    _, firsts, times = np.unique(kind, return_index=True, return_counts=True)
    return kind, firsts.astype(np.int32), times.astype(np.int32)
