"""The thread's way as one list of passes, and the supplies it is made with."""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from convert.errors import SizeError
from convert.weave.model import Weave
from convert.weave.tips import tips_of

# Left at the start and at the end of each working thread to be sewn in: common practice, no source.
TAIL_MM = 150.0
# Sewn in so far, each end holds: common practice, no source. Hitched round the thread after these beads.
LEAST_TAIL_BEADS, LEAST_TAIL_MM = 8, 20.0
HITCHES = (3, 6)
# Share of a hole's area that threads and needle can fill: judgement, no source.
HOLE_FILL = 0.6


@dataclass(frozen=True, slots=True)
class Supplies:
    """Thread and needle, as the user has them.

    Parameters
    ----------
    thread_mm, needle_mm : float
        Thickness.
    needleful_mm : float
        Length of one working thread.

    Raises
    ------
    SizeError
        A measure is not positive and finite.
    """

    thread_mm: float = 0.20
    needle_mm: float = 0.38
    needleful_mm: float = 1800.0

    def __post_init__(self) -> None:
        for name, measure, unit in (
            ("thickness of the thread", self.thread_mm, "mm"),
            ("thickness of the needle", self.needle_mm, "mm"),
            ("needleful", self.needleful_mm / 1000, "m"),
        ):
            if not (math.isfinite(measure) and measure > 0):
                raise SizeError(f"the {name} must be more than 0 and finite, not {measure:g} {unit}")

    def filled(self, passes: ArrayLike, hole_mm: ArrayLike) -> NDArray[np.float64]:
        """Return how full holes are on the last trip, as a share of what threads and needle can fill.

        Parameters
        ----------
        passes : array_like of int
            Passes through each bead, the last one with the needle.
        hole_mm : array_like of float
            Diameters of the holes.
        """
        area = (np.asarray(passes) - 1) * self.thread_mm**2 + self.needle_mm**2
        return np.asarray(area / (HOLE_FILL * np.square(hole_mm)), np.float64)

    def most_passes(self, hole_mm: ArrayLike) -> NDArray[np.int64]:
        """Return how many passes holes have room for, the last with the needle; see `filled`.

        Parameters
        ----------
        hole_mm : array_like of float
            Diameters of the holes.
        """
        free = HOLE_FILL * np.square(hole_mm) - self.needle_mm**2
        # A hair's breadth more, so that what just fits is not lost to rounding.
        return np.asarray(np.floor(free / self.thread_mm**2 + 1 + 1e-9), np.int64)


class Tail(NamedTuple):
    """One end of a working thread, sewn into finished work.

    Parameters
    ----------
    before : int
        The pass before which it is sewn in; the number of passes where all is woven by then, and 0 for the
        beginning of the first thread, which is sewn in at the very end, too.
    leaves : bool
        Whether the thread goes away through the beads, as at its end; a new thread comes this way.
    beads : tuple of int
        The beads in the order in which the needle goes through them. Where a thread leaves, they follow on
        the bead it stands in; where one comes, the last is the bead that the old thread came out of.
    """

    before: int
    leaves: bool
    beads: tuple[int, ...]


@dataclass(frozen=True, eq=False, slots=True)
class ThreadPlan:
    """The order of work: which bead the thread goes through, pass by pass.

    The first pass through a bead picks it up, later ones sew through it. Where the thread leaves each bead
    follows from the bead after it: two beads share one junction at the most.

    Parameters
    ----------
    passes : ndarray of shape (P,), int32
        Beads in the order of the thread. Read-only.
    new_threads : ndarray of shape (T,), int32
        Passes before which a new thread is joined, ascending; the first is 0. Read-only.
    tails : tuple of Tail
        How the ends of the threads are sewn in, in that order; empty where that is left to the weaver.
    """

    passes: NDArray[np.int32]
    new_threads: NDArray[np.int32]
    tails: tuple[Tail, ...] = ()

    def __post_init__(self) -> None:
        self.passes.flags.writeable = False
        self.new_threads.flags.writeable = False

    def loads(self, beads: int) -> NDArray[np.int64]:
        """Return the passes through each of the first so many beads, tails counted in, shape (beads,)."""
        of_tails = np.array([bead for tail in self.tails for bead in tail.beads], np.int64)
        return np.bincount(np.concatenate([self.passes, of_tails]), minlength=beads)[:beads]


def pass_mm(weave: Weave, passes: NDArray[np.int32]) -> NDArray[np.float64]:
    """Return the thread that each pass of a path takes, in mm: from junction to junction, at a tip the bead.

    Parameters
    ----------
    weave : Weave
        The piece.
    passes : ndarray of shape (P,), int32
        Beads in the order of the thread.
    """
    tips = tips_of(weave)
    return np.asarray(tips.extended(weave.bead_side_mm, tips.size.length_mm)[passes])
