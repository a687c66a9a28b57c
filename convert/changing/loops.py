"""Loops dropped from a sheet and added to it.

Rows and places are counted as the chart of the piece counts them, on beyond its edge: row 0 lies before row 1
and place 0 before place 1. A sheet that has to grow there does so by two rows and by three places at a time,
so that shifted rows stay shifted and cores stay cores.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from convert.changing.faults import Faults
from convert.changing.finding import LoopNumbers
from convert.changing.new_beads import painted
from convert.errors import ChangeError, SizeError
from convert.instructions.places import Places
from convert.palette.model import shown
from convert.piece.pattern import Pattern
from convert.sentences import listed
from convert.settings.weave import MOST_BEADS
from convert.thread.moves import loop_neighbours
from convert.weave.lattice import REPEAT_TWO_SIZES, SIDES
from convert.weave.model import Weave
from convert.weave.shapes import Sheet
from convert.weave.symmetry import Symmetry

HOW_LOOPS_ARE_NAMED = "a loop is 2.5, the fifth of row 2; a block is 2.5-3.7"
_LOOP = r"(-?\d{1,6})\.(-?\d{1,6})"
_ASKED = re.compile(rf"{_LOOP}(?:\s*-\s*{_LOOP})?")
_ROWS_TOGETHER = 2
# A sheet that hangs together reaches no further than its loops, so that this is far from any that is woven.
_MOST_PLACES = 4 * MOST_BEADS
_TOLD = 8
BoolArray = NDArray[np.bool_]
Numbers = NDArray[np.int64]


@dataclass(frozen=True, eq=False, slots=True)
class Reshaped:
    """A piece of another shape, whose thread is still that of the old one.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    first : tuple of int
        What its first row, and the first place of a row, was called in the chart before.
    dropped, added : int
        Loops.
    """

    pattern: Pattern
    first: tuple[int, int]
    dropped: int
    added: int


def reshaped(pattern: Pattern, drop: Iterable[tuple[str, str]], add: Iterable[tuple[str, str]]) -> Reshaped:
    """Return a piece with loops dropped and added; its thread is to be planned anew.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    drop, add : iterable of (str, str)
        Loops or blocks of loops, each after where it is asked.

    Raises
    ------
    ChangeError, SizeError
        Loops are not there, or there already, or the piece would not hang together; or it is no sheet.
    """
    shape = pattern.shape
    if not isinstance(shape, Sheet):
        raise ChangeError(
            "loops can be dropped from sheets and added to them, not to a flower",
            "make the flower anew with other rounds, or change the colours of its beads",
        )
    origin = _origin(shape.woven)
    faults = Faults()
    dropped = _asked(drop, shape.woven, origin, faults, there=True)
    added = _asked(add, shape.woven, origin, faults, there=False)
    faults.raise_any()
    woven, moved = _grown(shape.woven, added, one_size=pattern.weave.one_size)
    if shape.joined and woven.shape[1] != shape.woven.shape[1]:
        raise ChangeError(
            "a band that is woven together has no ends to add loops to", "add loops along its edges"
        )
    before = woven.copy()
    woven[tuple((dropped + moved).T)] = False
    woven[tuple((added + moved).T)] = True
    if not (woven & before).any():
        raise ChangeError("no loop of the piece would be left", "drop fewer loops")
    if int(woven.sum()) * SIDES // 2 > MOST_BEADS:
        raise SizeError(f"the piece would take more than {MOST_BEADS:,} beads", "add fewer loops")
    new = replace(shape, woven=woven)
    weave = new.build(pattern.weave.sizes, pattern.weave.spacing)
    first = tuple((_origin(woven) - moved - origin + 1).tolist())
    _check_whole(weave, first)
    symmetry = _symmetry(pattern.symmetry, moved)
    anew = replace(pattern, shape=new, weave=weave, symmetry=symmetry)
    piece = painted(pattern, anew, before[woven], woven[before])
    return Reshaped(piece, first, len(dropped), len(added))


def _symmetry(symmetry: Symmetry | None, moved: Numbers) -> Symmetry | None:
    """Return the mirror lines of a sheet that has grown; with other loops it does not repeat any more."""
    if symmetry is None or not symmetry.mirrors:
        return None
    half_loops, row = symmetry.mirror_half_loops, symmetry.mirror_row
    rows, places = moved.tolist()
    return Symmetry(
        mirror_half_loops=None if half_loops is None else half_loops + 2 * places,
        mirror_row=None if row is None else row + rows,
        direction=symmetry.direction,
    )


def _origin(woven: BoolArray) -> Numbers:
    """Return the first row that is woven and the first place in any row, shape (2,)."""
    return np.array([int(woven.any(axis=axis).argmax()) for axis in (1, 0)], np.int64)


def _asked(
    asked: Iterable[tuple[str, str]], woven: BoolArray, origin: Numbers, faults: Faults, *, there: bool
) -> Numbers:
    """Return rows and places of `woven` that are asked for, shape (N, 2); they may lie beyond it."""
    found = [np.zeros((0, 2), np.int64)]
    for where, text in asked:
        with faults.gathered(where):
            block = _block(text) + origin - 1
            within = ((block >= 0) & (block < woven.shape)).all(axis=1)
            is_woven = np.zeros(len(block), bool)
            is_woven[within] = woven[tuple(block[within].T)]
            fits = block[is_woven == there]
            if not len(fits):
                raise _unfit(text, woven, origin, there=there)
            found.append(fits)
    return np.unique(np.concatenate(found), axis=0)


def _block(text: str) -> Numbers:
    """Return the loops of a name, as they are called, shape (N, 2)."""
    named = _ASKED.fullmatch(text.strip().removeprefix("loop "))
    if not named:
        raise ChangeError(f"{shown(text)} names no loop", HOW_LOOPS_ARE_NAMED)
    one, other = named.groups()[:2], named.groups()[2:]
    ends = np.sort(np.array([one, one if other[0] is None else other], np.int64), axis=0)
    rows, places = (ends[1] - ends[0] + 1).tolist()
    if rows * places > MOST_BEADS:
        raise ChangeError(f"{text.strip()} are {rows * places:,} loops, more than a piece can have")
    block: Numbers = np.indices((rows, places)).reshape(2, -1).T + ends[0]
    return block


def _unfit(text: str, woven: BoolArray, origin: Numbers, *, there: bool) -> ChangeError:
    if not there:
        return ChangeError(f"{text.strip()} is there already")
    names = [f"{row}.{place}" for row, place in (np.argwhere(woven) - origin + 1).tolist()]
    first = ".".join(map(str, _block(text)[0].tolist()))
    near = LoopNumbers(names).nearest(first)
    return ChangeError(f"there is no loop {text.strip()}; the nearest are {listed(near)}")


def _grown(woven: BoolArray, added: Numbers, *, one_size: bool) -> tuple[BoolArray, Numbers]:
    """Return a sheet with room for loops that lie beyond it, and how far its own have moved, shape (2,)."""
    size = np.array(woven.shape)
    ends = np.concatenate([added, [[0, 0]], [size - 1]])
    step = np.array([_ROWS_TOGETHER, 1 if one_size else REPEAT_TWO_SIZES])
    before = -(ends.min(axis=0) // step) * step
    grown = ends.max(axis=0) + 1 + before
    if int(grown[0]) * int(grown[1]) > _MOST_PLACES:
        raise SizeError(
            f"with these loops the sheet would be {grown[0]:,} rows by {grown[1]:,} places",
            "add loops that lie beside the piece",
        )
    larger = np.zeros(tuple(grown.tolist()), bool)
    larger[tuple(slice(start, start + length) for start, length in zip(before, size, strict=True))] = woven
    return larger, before


def _check_whole(weave: Weave, first: tuple[int, int]) -> None:
    """Refuse a piece that falls apart, and tell what hangs by nothing."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    beside = loop_neighbours(weave)
    loop, side = np.nonzero(beside < weave.loops)
    pairs = (np.ones(len(loop), np.int8), (loop, beside[loop, side]))
    count, of_loop = connected_components(coo_array(pairs, shape=(weave.loops,) * 2), directed=False)
    if count == 1:
        return
    sizes = np.bincount(of_loop)
    loops = Places(weave, in_rows=True, first=first).loops
    loose = [loops[number] for number in np.flatnonzero(of_loop != sizes.argmax())[: _TOLD + 1].tolist()]
    told = listed(loose) if len(loose) <= _TOLD else f"{', '.join(loose[:_TOLD])} and more"
    parts = ", ".join(f"{size:,}" for size in np.sort(sizes)[::-1][:5].tolist()) + (
        ", ..." if count > 5 else ""
    )
    raise ChangeError(
        f"the piece would fall into {count:,} islands (of {parts} loops): by nothing would hang {told}",
        "drop these loops as well, or keep and add those that join them",
    )
