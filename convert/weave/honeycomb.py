"""Where loops and beads of a flat piece lie in the honeycomb, in whole numbers.

Loops have axial coordinates (q, r) as in `convert.weave.lattice`, found from where they lie, so that it makes
no difference how the piece was made. A bead lies half way between two loops; the sums (Q, R) of their
coordinates are whole. The lines that a weaver sees are those on which a sum is constant: R along the rows,
Q and Q + R on the slant, 2 Q + R down the columns.
"""

import math
from dataclasses import dataclass

import numpy as np

from convert.weave.model import FloatArray, IntArray, Weave

# Cores are one class of so many.
CLASSES = 3


@dataclass(frozen=True, eq=False, slots=True)
class Honeycomb:
    """Places in the honeycomb. Where rows of loops run down the page, x here is y there.

    Parameters
    ----------
    runs_down : bool
        Whether rows of loops run down the page.
    loop_q, loop_r : ndarray of shape (L,), int32
        Axial coordinates of the loops.
    bead_q, bead_r : ndarray of shape (B,), int32
        Sums of those of the two loops beside each bead; at the rim of the one that is there and of the one
        that a larger sheet would have.
    """

    runs_down: bool
    loop_q: IntArray
    loop_r: IntArray
    bead_q: IntArray
    bead_r: IntArray

    @property
    def bead_x(self) -> IntArray:
        """Place of each bead along the rows, in quarters of a pitch."""
        return 2 * self.bead_q + self.bead_r

    @property
    def loop_x(self) -> IntArray:
        """Place of each loop along the rows, in quarters of a pitch."""
        return 4 * self.loop_q + 2 * self.loop_r

    @property
    def is_wide(self) -> bool:
        """Whether the piece is longer along its rows than across them."""
        return bool(np.ptp(self.bead_x) * _QUARTER > np.ptp(self.bead_r) * _LINE)

    @property
    def long_axis(self) -> int:
        """The axis of the page along which the piece is longer: 0 for x, 1 for y."""
        return int(self.is_wide == self.runs_down)

    def loop_class(self, core: int) -> IntArray:
        """Return the class of each loop in the three-colouring, 0 for that of one loop."""
        classes = self.loop_q - self.loop_r
        return np.asarray((classes - classes[core]) % CLASSES)

    def steps_from(self, loop: int) -> IntArray:
        """Return how many loops each loop lies from one of them, as in a whole sheet."""
        q, r = self.loop_q - self.loop_q[loop], self.loop_r - self.loop_r[loop]
        return np.asarray(np.maximum(np.maximum(np.abs(q), np.abs(r)), np.abs(q + r)))


# Of a loop's side: a quarter of a pitch, and the distance of two lines of beads.
_QUARTER, _LINE = math.sqrt(3) / 4, 0.75


def honeycomb(weave: Weave) -> Honeycomb:
    """Return where the loops and beads of a piece lie that lies flat, and is part of a sheet."""
    runs_down = _runs_down(weave)
    flip = slice(None, None, -1 if runs_down else 1)
    loop = _axial(weave, weave.loop_xy[:, flip])
    near, far = (_axial(weave, weave.cells[:, corner, flip]) for corner in (1, 3))
    q, r = (near + far).T
    return Honeycomb(runs_down, loop[:, 0], loop[:, 1], q, r)


def _runs_down(weave: Weave) -> bool:
    """Return whether rows of loops run down the page: then some beads lie straight across it."""
    return bool(np.abs(weave.bead_direction[:, 1]).min() < np.abs(weave.bead_direction[:, 0]).min())


def _axial(weave: Weave, xy: FloatArray) -> IntArray:
    pitch_mm = weave.spacing.pitch_mm
    r = xy[:, 1] / (pitch_mm * math.sqrt(3) / 2)
    q = xy[:, 0] / pitch_mm - r / 2
    first = np.array([q[0] - np.rint(q[0]), r[0] - np.rint(r[0])])
    return np.asarray(np.rint(np.stack([q, r], axis=1) - first), np.int32)
