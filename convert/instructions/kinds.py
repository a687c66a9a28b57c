"""The kinds of step of a piece, each with its letter: what the hands do, whatever the colours.

Steps are of one kind if the thread turns the same way into each bead, picks up and passes through the same
ones of them, and closes loops at the same places. From where the thread stands, a kind says all of its way.
The beads that are sewn through only to come to the next place do not count: they are told by their names.
"""

from string import ascii_uppercase
from typing import NamedTuple

import numpy as np

from convert.thread.stitches import NO_LOOP, Stitches
from convert.weave.model import IntArray

# A letter for what comes fewer times than this would have to be looked up sooner than it is learnt.
SELDOM = 3


class Move(NamedTuple):
    """Beads one after the other into which the thread turns the same way.

    Parameters
    ----------
    turn : int
        `LEFT` or `RIGHT` as seen on the chart; `STRAIGHT` for the first bead of a piece and at tips.
    picked_up : bool
        Whether the beads are picked up; they are woven already otherwise.
    beads : int
        How many.
    closes : bool
        Whether a loop is whole with the last of them.
    """

    turn: int
    picked_up: bool
    beads: int
    closes: bool


class StepKind(NamedTuple):
    """A kind of step.

    Parameters
    ----------
    letter : str
        What it is called: A for the commonest. Empty for what comes seldom, and for steps that only sew on.
    first : int
        The first step of the kind, from 0.
    times : int
        How many steps are of it.
    moves : tuple of Move
        What is done.
    """

    letter: str
    first: int
    times: int
    moves: tuple[Move, ...]


class StepKinds(NamedTuple):
    """All kinds of step of a piece.

    Parameters
    ----------
    of_step : ndarray of shape (S,), int32
        Place in `kinds` of each step.
    kinds : tuple of StepKind
        The kinds, the commonest first.
    """

    of_step: IntArray
    kinds: tuple[StepKind, ...]


def step_kinds(told: Stitches, sewn_from: IntArray) -> StepKinds:
    """Return the kinds of step of a piece.

    Parameters
    ----------
    told : Stitches
        Its thread path.
    sewn_from : ndarray of shape (S,), int32
        The pass from which each step only takes the thread on, see `OrderOfWork.sewn_from`.
    """
    looks = ((told.turn + 1) * 4 + told.picked_up * 2 + (told.closes != NO_LOOP)).astype(np.uint8)
    text, bounds = looks.tobytes(), zip(told.step_start.tolist(), sewn_from.tolist(), strict=False)
    numbers: dict[bytes, int] = {}
    found = np.array([numbers.setdefault(text[start:end], len(numbers)) for start, end in bounds], np.int32)
    _, firsts, times = np.unique(found, return_index=True, return_counts=True)
    order = np.argsort(-times, kind="stable")
    place = np.empty(len(order), np.int32)
    place[order] = np.arange(len(order))
    lookups = list(numbers)
    kinds = tuple(
        StepKind(
            _letter(rank) if lookups[number] and times[number] >= SELDOM else "",
            int(firsts[number]),
            int(times[number]),
            _moves(lookups[number]),
        )
        for rank, number in enumerate(order.tolist())
    )
    return StepKinds(place[found], kinds)


def _letter(rank: int) -> str:
    """Return A, B ... Z, then AA, AB and so on."""
    letters = ""
    while rank >= 0:
        rank, last = divmod(rank, len(ascii_uppercase))
        letters = ascii_uppercase[last] + letters
        rank -= 1
    return letters


def _moves(looks: bytes) -> tuple[Move, ...]:
    moves: list[Move] = []
    for look in looks:
        turn, picked_up, closes = look // 4 - 1, bool(look & 2), bool(look & 1)
        last = moves[-1] if moves else None
        if last is None or last.closes or (last.turn, last.picked_up) != (turn, picked_up):
            moves.append(Move(turn, picked_up, 1, closes))
        else:
            moves[-1] = Move(turn, picked_up, last.beads + 1, closes)
    return tuple(moves)
