"""A part of a piece: some of its loops, and the piece turned."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from convert.weave.model import FloatArray, IntArray, Weave


def part_of(weave: Weave, kept: NDArray[np.bool_]) -> Weave:
    """Return the weave of some of the loops of a piece, which lie where they lay.

    Parameters
    ----------
    weave : Weave
        The piece.
    kept : ndarray of shape (L,), bool
        Which of its loops.
    """
    sides = kept[weave.side_loop]
    seam = weave.seam
    if seam is not None:
        seam = replace(seam, side_round=seam.side_round[sides], corner_round=seam.corner_round[sides])
        # What does not go all round a ring lies flat.
        seam = seam if seam.side_round.any() or seam.corner_round.any() else None
    beads, side_bead = _numbered(weave.side_bead[sides], weave.beads)
    junctions, side_junction = _numbered(weave.side_junction[sides], weave.junctions)
    lengths = np.diff(weave.loop_start)[kept]
    _, bead_row = np.unique(weave.bead_row[beads], return_inverse=True)
    return replace(
        weave,
        bead_size=weave.bead_size[beads],
        bead_row=bead_row.astype(np.int32),
        junction_xy=weave.junction_xy[junctions],
        loop_xy=weave.loop_xy[kept],
        loop_start=np.append(0, np.cumsum(lengths)).astype(np.int32),
        loop_core=weave.loop_core[kept],
        loop_row=weave.loop_row[kept],
        loop_column=weave.loop_column[kept],
        side_bead=side_bead,
        side_junction=side_junction,
        seam=seam,
    )


def _numbered(used: IntArray, count: int) -> tuple[NDArray[np.bool_], IntArray]:
    """Return which of so many things are used, and their numbers among those that are."""
    kept = np.zeros(count, bool)
    kept[used] = True
    return kept, (np.cumsum(kept) - 1)[used].astype(np.int32)


def turned(weave: Weave, degrees: float) -> Weave:
    """Return a piece turned clockwise on the page about the origin."""
    angle = np.deg2rad(degrees)
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])

    def moved(xy: FloatArray) -> FloatArray:
        return np.asarray(xy @ turn)

    return replace(weave, junction_xy=moved(weave.junction_xy), loop_xy=moved(weave.loop_xy))
