"""Beads and loops by the names that the chart and the stitch order give them."""

import re
from collections.abc import Iterable
from functools import cached_property

import numpy as np

from convert.errors import ChangeError
from convert.instructions.places import COMPASS, Places
from convert.near_words import NEAREST_TOLD
from convert.palette.model import shown
from convert.sentences import listed
from convert.weave.model import Weave

HOW_BEADS_ARE_NAMED = (
    "a bead is 2.5/3.4 between two loops, 2.5/left at the edge of one, 2.5/tip at its tip; 2.5 is a loop"
)
TIP = "tip"
# As the stitch order says it.
_AT_EDGE = re.compile(r"edge of (.+?), *(.+)")
_AT_TIP = re.compile(r"tip of (.+)")
# A spreadsheet may have made a decimal comma of the point.
_COMMA = re.compile(r"(?<=\d),(?=\d)")
# As in top-left.
_HYPHEN = re.compile(r"(?<=[a-z])-(?=[a-z])")
_FURTHEST = 10**6


class LoopNumbers:
    """The numbers of loops, to tell which are nearest to one that is not there.

    Parameters
    ----------
    loops : iterable of str
        What they are called, all by as many numbers; what is called otherwise is left out.
    """

    def __init__(self, loops: Iterable[str]) -> None:
        self._names = [loop for loop in loops if loop[0].isdigit() or loop[0] == "-"]
        self._numbers = np.array([[int(part) for part in name.split(".")] for name in self._names])

    def nearest(self, called: str) -> list[str]:
        """Return the three loops whose numbers are nearest.

        Raises
        ------
        ValueError
            Loops are not called so.
        """
        wanted = [min(max(int(part), -_FURTHEST), _FURTHEST) for part in called.split(".")]
        if self._numbers.shape[1] != len(wanted):
            raise ValueError(called)
        off = ((self._numbers - np.array(wanted)) ** 2).sum(axis=1)
        told = min(NEAREST_TOLD, len(off))
        near = np.flatnonzero(off <= np.partition(off, told - 1)[told - 1])
        return [self._names[number] for number in near[np.argsort(off[near], kind="stable")][:told]]


class Finder:
    """Finds beads by name.

    Parameters
    ----------
    places : Places
        Names of the piece.
    weave : Weave
        The piece.
    beads : int
        How many beads it has, tips included.
    """

    def __init__(self, places: Places, weave: Weave, beads: int) -> None:
        self._weave = weave
        self._number = {loop.casefold(): number for number, loop in enumerate(places.loops)}
        self._beyond: dict[str, dict[str, list[int]]] = {loop: {} for loop in self._number}
        for bead in range(beads):
            loop, beyond = (name.casefold() for name in places.of(bead))
            self._beyond[loop].setdefault(beyond, []).append(bead)
            if beyond in self._number:
                self._beyond[beyond].setdefault(loop, []).append(bead)

    def beads(self, name: str) -> list[int]:
        """Return the beads that a name stands for.

        Parameters
        ----------
        name : str
            ``2.5/3.4`` or ``3.4/2.5``, ``2.5/left`` or ``edge of 2.5, left``, ``2.5/tip`` or ``tip of 2.5``;
            ``2.5`` or ``loop 2.5`` for all beads of a loop, without those at its tips.

        Raises
        ------
        ChangeError
            There is no such bead; the nearest are told.
        """
        loop, slash, beyond = _plain(name).partition("/")
        if not loop or (slash and not beyond):
            raise ChangeError(f"{shown(name)} names no bead", HOW_BEADS_ARE_NAMED)
        found = self._beyond[self._loop(loop, name)]
        if not slash:
            return [bead for beyond, beads in found.items() if beyond != TIP for bead in beads]
        if beyond in found:
            return found[beyond]
        if beyond == TIP:
            raise ChangeError(f"loop {loop} has no small bead at a tip")
        if beyond in COMPASS:
            rim = [way for way in found if way in COMPASS]
            has = f"there it has one to the {listed(rim)}" if rim else "other loops lie all round it"
            raise ChangeError(f"loop {loop} has no bead at its edge to the {beyond}; {has}")
        other = self._loop(beyond, name)
        beside = [way for way in found if way in self._number]
        raise ChangeError(
            f"loops {loop} and {other} share no bead; {loop} shares one with"
            f" {listed(self._nearest_to(other, beside)) if beside else 'none'}"
        )

    def _loop(self, loop: str, name: str) -> str:
        if loop in self._number:
            return loop
        try:
            near = self._numbers.nearest(loop)
        except ValueError:
            raise ChangeError(f"{shown(name)} names no bead", HOW_BEADS_ARE_NAMED) from None
        raise ChangeError(f"there is no loop {shown(loop)}; the nearest are {listed(near)}")

    @cached_property
    def _numbers(self) -> LoopNumbers:
        return LoopNumbers(self._number)

    def _nearest_to(self, loop: str, others: list[str]) -> list[str]:
        xy = self._weave.loop_xy
        off = [float(np.hypot(*(xy[self._number[one]] - xy[self._number[loop]]))) for one in others]
        return [others[number] for number in np.argsort(off, kind="stable")[:NEAREST_TOLD]]


def _plain(name: str) -> str:
    """Return a name as loops and beads are kept here, however it is told."""
    text = _HYPHEN.sub(" ", _COMMA.sub(".", " ".join(name.casefold().split())))
    if told := _AT_EDGE.fullmatch(text):
        text = f"{told[1]}/{told[2]}"
    elif told := _AT_TIP.fullmatch(text):
        text = f"{told[1]}/{TIP}"
    loop, slash, beyond = (part.strip() for part in text.removeprefix("loop ").partition("/"))
    return f"{loop}{slash}{beyond}"
