"""The thread's way as one list of passes, and the supplies it is made with."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from convert.errors import SizeError
from convert.weave.model import Weave
from convert.weave.tips import tips_of

# Left at the start and at the end of each working thread to be sewn in: common practice, no source.
TAIL_MM = 150.0
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
    """

    passes: NDArray[np.int32]
    new_threads: NDArray[np.int32]

    def __post_init__(self) -> None:
        self.passes.flags.writeable = False
        self.new_threads.flags.writeable = False


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
