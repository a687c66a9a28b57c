"""Which ways of turning a piece over lay every bead on a bead of the same size."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.weave.model import FloatArray, Weave

# Places are compared on a grid of this share of a loop's side; an odd shift keeps them off its lines.
_GRID, _SHIFT = 1e-3, 0.3183


@dataclass(frozen=True, slots=True)
class Mirrors:
    """What leaves a piece as it is, but for its colours.

    Parameters
    ----------
    middle_mm : tuple of float
        Where the axes lie: x of the one that runs down, y of the one that runs across.
    sides : bool
        Whether left and right can change places.
    ends : bool
        Whether top and bottom can.
    turned : bool
        Whether the piece can be turned by half a turn.
    """

    middle_mm: tuple[float, float]
    sides: bool
    ends: bool
    turned: bool


def mirrors_of(weave: Weave) -> Mirrors:
    """Return the mirrors of a piece as it lies on the page; only those that are exact.

    The small beads at tips, which follow from the loops, are as exact as these.

    Parameters
    ----------
    weave : Weave
        The piece.
    """
    low, high = weave.loop_xy.min(axis=0), weave.loop_xy.max(axis=0)
    places = np.concatenate([weave.loop_xy, weave.bead_xy])
    kind = np.concatenate([np.full(weave.loops, len(weave.sizes)), weave.bead_size])
    as_it_is = _keys(places, kind, weave.spacing.side_mm)
    sides, ends, turned = (
        np.array_equal(
            as_it_is, _keys(np.where(flipped, low + high - places, places), kind, weave.spacing.side_mm)
        )
        for flipped in ((True, False), (False, True), (True, True))
    )
    middle = (low + high) / 2
    return Mirrors((float(middle[0]), float(middle[1])), sides, ends, turned)


def _keys(places: FloatArray, kind: NDArray[np.integer], side_mm: float) -> NDArray[np.int64]:
    """Return a number for each place and what lies there, in ascending order."""
    grid = np.rint(places / (_GRID * side_mm) + _SHIFT).astype(np.int64)
    return np.sort(((grid[:, 0] << 31) + grid[:, 1]) * 4 + kind)
