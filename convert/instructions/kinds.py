"""The kinds of loop of a piece, each with its letter: what the hands do once round, whatever the colours.

The thread goes round a loop from the bead that it stands in and comes back to it, picking up what is missing
and passing through what is there. Rounds are of one kind if they go the same way and do so in the same order.
A second loop that is made inside the time of the first does not count: it is a round of its own.
"""

from string import ascii_uppercase
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from convert.thread.stitches import LEFT, NO_LOOP, RIGHT, Stitches
from convert.weave.model import IntArray, Weave

# A letter for what comes fewer times than this would have to be looked up sooner than it is learnt.
SELDOM = 3
# H is what the loop is called that a piece hangs by.
LETTERS = ascii_uppercase.replace("H", "")
NO_KIND = -1


class LoopKind(NamedTuple):
    """A kind of loop.

    Parameters
    ----------
    letter : str
        What it is called: A for the commonest. Empty for what comes seldom.
    times : int
        How many loops are of it.
    turn : int
        `LEFT` or `RIGHT`: to which side the loop lies of the thread.
    runs : tuple of (bool, int)
        Whether beads are picked up, and how many, one run after the other; the last of them is the bead that
        the thread set out from.
    """

    letter: str
    times: int
    turn: int
    runs: tuple[tuple[bool, int], ...]


class LoopKinds(NamedTuple):
    """All kinds of loop of a piece.

    Parameters
    ----------
    of_loop : ndarray of shape (L,), int32
        Place in `kinds` of each loop; `NO_KIND` where the thread does not go round it in one go.
    kinds : tuple of LoopKind
        The kinds, the commonest first.
    """

    of_loop: IntArray
    kinds: tuple[LoopKind, ...]

    def letter(self, loop: int) -> str:
        """Return the letter of a loop, empty if it has none."""
        kind = int(self.of_loop[loop])
        return "" if kind == NO_KIND else self.kinds[kind].letter

    @property
    def lettered(self) -> list[LoopKind]:
        """The kinds that have a letter."""
        return [kind for kind in self.kinds if kind.letter]


def loop_kinds(weave: Weave, told: Stitches) -> LoopKinds:
    """Return the kinds of loop of a piece.

    Parameters
    ----------
    weave : Weave
        The piece.
    told : Stitches
        Its thread path.
    """
    closed = np.full(weave.loops + 1, -1, np.int64)
    closes = np.flatnonzero(told.closes != NO_LOOP)
    closed[told.closes[closes]] = closes
    # What goes round a loop once it is closed only comes by.
    at = np.flatnonzero((told.loop != NO_LOOP) & (np.arange(len(told.loop)) <= closed[told.loop]))
    at = at[np.argsort(told.loop[at], kind="stable")]
    loop = told.loop[at]
    lengths = np.diff(weave.loop_start)
    start = np.searchsorted(loop, np.arange(weave.loops))
    whole = np.bincount(loop, minlength=weave.loops) == lengths
    place = np.arange(len(at)) - start[loop]
    keys = np.bincount(
        loop, np.where(place < lengths[loop], told.picked_up[at] * 2.0**place, 0.0), minlength=weave.loops
    ).astype(np.int64)
    turn = np.add.reduceat(told.turn[at].astype(np.int64), start)
    keys = 2 * (64 * keys + lengths) + (turn > 0)
    keys[~whole | (np.abs(turn) != lengths)] = -1
    return _by_frequency(keys)


def _by_frequency(keys: NDArray[np.int64]) -> LoopKinds:
    """Return the kinds for keys: picks as bits, the beads of the loop, and the turn; -1 for no kind."""
    found, number, times = np.unique(keys, return_inverse=True, return_counts=True)
    real = found >= 0
    order = np.argsort(np.where(real, -times, 1), kind="stable")[: int(real.sum())]
    place = np.full(len(found), NO_KIND, np.int32)
    place[order] = np.arange(len(order))
    kinds = []
    for rank, (key, count) in enumerate(zip(found[order].tolist(), times[order].tolist(), strict=True)):
        key, to_the_right = divmod(key, 2)
        picks, length = divmod(key, 64)
        letter = _letter(rank) if count >= SELDOM else ""
        kinds.append(LoopKind(letter, count, RIGHT if to_the_right else LEFT, _runs(picks, length)))
    return LoopKinds(place[number], tuple(kinds))


def _letter(rank: int) -> str:
    """Return A, B ... Z without H, then AA, AB and so on."""
    letters = ""
    while rank >= 0:
        rank, last = divmod(rank, len(LETTERS))
        letters = LETTERS[last] + letters
        rank -= 1
    return letters


def _runs(picks: int, length: int) -> tuple[tuple[bool, int], ...]:
    runs: list[tuple[bool, int]] = []
    for place in range(length):
        picked_up = bool(picks >> place & 1)
        if runs and runs[-1][0] == picked_up:
            runs[-1] = (picked_up, runs[-1][1] + 1)
        else:
            runs.append((picked_up, 1))
    return tuple(runs)
