"""Stitches for the reader: the steps of one loop and of the loops inside it, and runs of equal stitches."""

import itertools
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from convert.piece.pattern import Pattern
from convert.thread.stitches import NO_LOOP, Stitches

# With more loops open than this the path is not the steady one, and every step is a stitch of its own.
_NESTED = 2
_LONGEST_PERIOD = 24


@dataclass(frozen=True, slots=True)
class Group:
    """Steps that weave one loop and what is inside it.

    Parameters
    ----------
    first, end : int
        Its passes, `end` not counted.
    first_step, end_step : int
        Its steps, `end_step` not counted.
    loops : tuple of int
        Loops begun, in that order.
    nested : bool
        Whether the later loops lie inside the time of the first.
    turn : int
        The first turn, as in `Stitches.turn`.
    kind : int
        Equal for stitches with the same beads and turns.
    """

    first: int
    end: int
    first_step: int
    end_step: int
    loops: tuple[int, ...]
    nested: bool
    turn: int
    kind: int


def groups(pattern: Pattern, told: Stitches) -> list[Group]:
    """Return the stitches of a piece.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    told : Stitches
        Its thread path.
    """
    before = np.append(0, told.open_loops)[told.step_start[:-1]]
    begins = (before == 0) | (before > _NESTED)
    begins[np.isin(told.step_start[:-1], pattern.thread.new_threads)] = True
    step_bounds = np.append(np.flatnonzero(begins), told.steps)
    bounds = told.step_start[step_bounds].tolist()

    beads = pattern.thread.passes
    size = pattern.bead_size[beads].astype(np.int32)
    looks = (pattern.bead_colour[beads] * 2 + size) * 6 + (told.turn + 1) * 2 + told.picked_up
    kinds: dict[bytes, int] = {}
    loop_begun, open_loops, turn = told.begins, told.open_loops, told.turn
    found = []
    for number, (first, end) in enumerate(itertools.pairwise(bounds)):
        begun = loop_begun[first:end]
        at = np.flatnonzero(begun != NO_LOOP)
        found.append(
            Group(
                first,
                end,
                int(step_bounds[number]),
                int(step_bounds[number + 1]),
                tuple(begun[at].tolist()),
                bool(len(at) > 1 and (open_loops[first + at[0] : first + at[-1] + 1] > 0).all()),
                int(turn[max(first, 1)]),
                kinds.setdefault(looks[first:end].tobytes(), len(kinds)),
            )
        )
    return found


def folded(kinds: Sequence[int], breaks: Collection[int]) -> Iterator[tuple[int, int, int]]:
    """Yield runs of stitches as (first, period, repeats): the next `period` stitches, done `repeats` times.

    Parameters
    ----------
    kinds : sequence of int
        Kind of each stitch.
    breaks : collection of int
        Stitches that only ever begin a run: repeats do not run on into them.
    """
    bounds = [*sorted(breaks), len(kinds)]
    at = stop = 0
    while at < len(kinds):
        if at >= stop:
            stop = next(bound for bound in bounds if bound > at)
        best = (1, 1)
        for period in range(1, min(_LONGEST_PERIOD, (stop - at) // 2) + 1):
            repeats = 1
            while (
                at + (repeats + 1) * period <= stop
                and kinds[at + repeats * period : at + (repeats + 1) * period] == kinds[at : at + period]
            ):
                repeats += 1
            if (repeats - 1) * period > (best[1] - 1) * best[0]:
                best = (period, repeats)
        period, repeats = best
        yield at, period, repeats
        at += period * repeats
