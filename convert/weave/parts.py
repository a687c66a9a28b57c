"""Part of a weave as a weave of its own."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from convert.weave.model import IntArray, Weave


class Part(NamedTuple):
    """Some loops of a weave, with the bead and the side of the whole that each of its beads and sides is."""

    weave: Weave
    beads: IntArray
    sides: IntArray


def part_of(weave: Weave, kept: NDArray[np.bool_]) -> Part:
    """Return the part of a weave that has some of its loops.

    Parameters
    ----------
    weave : Weave
        The whole. If it is a ring, the part lies flat only if it does not go all round.
    kept : ndarray of shape (L,), bool
        Which loops.
    """
    sides = np.flatnonzero(kept[weave.side_loop]).astype(np.int32)
    beads, side_bead = np.unique(weave.side_bead[sides], return_inverse=True)
    junctions, side_junction = np.unique(weave.side_junction[sides], return_inverse=True)
    junction_xy = np.empty((len(junctions), 2))
    junction_xy[side_junction] = weave.corner_xy[sides]
    lengths = np.diff(weave.loop_start)[kept]
    part = Weave(
        sizes=weave.sizes,
        spacing=weave.spacing,
        bead_size=weave.bead_size[beads],
        bead_row=weave.bead_row[beads],
        junction_xy=junction_xy,
        loop_xy=weave.loop_xy[kept],
        loop_start=np.append(0, np.cumsum(lengths)).astype(np.int32),
        loop_core=weave.loop_core[kept],
        loop_row=weave.loop_row[kept],
        loop_column=weave.loop_column[kept],
        side_bead=side_bead.astype(np.int32),
        side_junction=side_junction.astype(np.int32),
    )
    return Part(part, beads.astype(np.int32), sides)
