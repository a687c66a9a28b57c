"""Small patches that carry meaning, such as an eye: found by how they stand out, not by their count.

A bead of such a patch is unlike almost everything about it. At an edge half of what lies about a bead is like
it, in a texture some of it, and a large patch has beads enough to be heard when few colours are chosen.
"""

import numpy as np
from numpy.typing import NDArray

from convert.colour.ciede2000 import ciede2000
from convert.weave.model import FloatArray, IntArray, Weave

# What lies about a bead: other beads between these distances, in pitches of the loops. A patch of the first
# as its radius, such as the eye of a bird, is not among it.
_RING = (1.5, 3.5)
# It is unlike all of that but a tenth, which leaves room for a second eye.
_UNLIKE = 0.1
STANDS_OUT = 18.0
"""From which difference to what lies about it a bead stands out, CIEDE2000. Our choice, by eye; no source."""
# Of what makes it stand out half is to be left, as of the contrast of edges in `convert.picture.edges`. It
# is another colour that is missing where all colours would bring back a quarter: our choice, by eye.
_LOST, _WORTH_IT = 0.5, 0.25
_BLOCK = 512


def standing_out(lab: FloatArray, weave: Weave, beads: NDArray[np.integer]) -> FloatArray:
    """Return by how much some beads differ from almost everything about them, shape (N,), CIEDE2000.

    Parameters
    ----------
    lab : ndarray of shape (B, 3), float64
        Colour of each bead, CIELAB.
    weave : Weave
        The piece.
    beads : ndarray of shape (N,), int
        Those to look at.
    """
    from scipy.spatial import cKDTree

    near, far = (distance * weave.spacing.pitch_mm for distance in _RING)
    tree = cKDTree(weave.bead_xy)
    found = np.zeros(len(beads))
    for start in range(0, len(beads), _BLOCK):
        block = beads[start : start + _BLOCK]
        around = cKDTree(weave.bead_xy[block]).sparse_distance_matrix(tree, far, output_type="coo_matrix")
        ring = around.data >= near
        row, other = around.row[ring], around.col[ring]
        unlike = ciede2000(lab[block[row]], lab[other])
        unlike = unlike[np.lexsort((unlike, row))]
        count = np.bincount(row, minlength=len(block))
        # A piece of a few beads has none so far away, and so nothing to stand out from.
        has = count > 0
        place = np.cumsum(count) - count + (count * _UNLIKE).astype(np.int64)
        found[start : start + _BLOCK][has] = unlike[place[has]]
    return found


def missing_entries(
    wanted: FloatArray, palette: FloatArray, full: IntArray, few: IntArray, weave: Weave
) -> list[int]:
    """Return entries of the palette that bring back patches which a choice of few colours loses.

    Those that bring back most come first.

    Parameters
    ----------
    wanted : ndarray of shape (B, 3), float64
        What is wanted of each bead, CIELAB.
    palette : ndarray of shape (K, 3), float64
        The palette, CIELAB.
    full, few : ndarray of shape (B,), int32
        The entry of each bead with all colours, and with few.
    weave : Weave
        The piece.
    """
    off, off_full = ciede2000(wanted, palette[few]), ciede2000(wanted, palette[full])
    lost = np.flatnonzero((off > _LOST * STANDS_OUT) & (off - off_full > _WORTH_IT * STANDS_OUT))
    contrast = standing_out(wanted, weave, lost)
    is_lost = (contrast > STANDS_OUT) & (off[lost] > _LOST * contrast)
    is_lost &= off[lost] - off_full[lost] > _WORTH_IT * contrast
    lost, contrast = lost[is_lost], contrast[is_lost]
    found: list[int] = []
    while len(lost):
        entries = np.unique(full[lost])
        with_it = ciede2000(wanted[lost, np.newaxis], palette[entries])
        best = int(np.maximum(off[lost, np.newaxis] - with_it, 0).sum(axis=0).argmax())
        found.append(int(entries[best]))
        left = (with_it[:, best] > _LOST * contrast) & (full[lost] != entries[best])
        lost, contrast = lost[left], contrast[left]
    return found
