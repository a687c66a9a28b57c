"""How far apart the junctions of a woven sheet lie, from the shapes of its beads or from a measured swatch.

Three beads meet at 120 degrees at a junction. Seen from above a bead is a convex outline that is symmetric
along and across its hole, so its support function (how far it reaches in a direction) says all about it:

* rounded, tight: two circles of radius L/2, (D - L)/2 to either side of the hole;
* rounded, loose: an elliptical ring, that is two ellipses with axes L and w = (D - h)/2, centred
  Rc = (D + h)/4 to either side of the hole;
* cylinder: a rectangle of L by D.

Beads of one size touch on the 60 degree line between them, so the side of a loop (a bead and both its gaps)
is 2 * reach(60 degrees) / sin 60 for each of the outlines. For the two-size weave a connector is pushed along
its axis until it touches the two core beads of its junction, and until neither the core beads at its two ends
nor the connectors at the two ends of a core bead overlap. Rounded beads lie between tight and loose: the mean
is used and the range is kept.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from convert.errors import SizeError
from convert.weave.beads import BeadSize

SIN60 = math.sqrt(3) / 2
GAUGE_LOOPS = 10
# A swatch is measured by hand with a ruler; beyond this factor from the model it is a slip, not a tension.
GAUGE_LIMIT = 1.6

Reach = Callable[[NDArray[np.float64], NDArray[np.float64]], NDArray[np.float64]]


@dataclass(frozen=True, slots=True)
class Spacing:
    """Sides of the loops of a sheet.

    Parameters
    ----------
    core_mm, connector_mm : float
        Distance between the junctions at the two ends of a core bead and of a connector.
    low, high : float
        Factors on all distances between which the truth is expected; 1 and 1 for a measured gauge.
    basis : str
        ``model`` or ``gauge``: what the figures rest on.
    """

    core_mm: float
    connector_mm: float
    low: float
    high: float
    basis: str

    @property
    def side_mm(self) -> float:
        """Side of the regular honeycomb with the same loop centres."""
        return (2 * self.core_mm + self.connector_mm) / 3

    @property
    def pitch_mm(self) -> float:
        """Distance between the centres of neighbouring loops in a row."""
        return math.sqrt(3) * self.side_mm


def _outline(size: BeadSize, *, loose: bool) -> Reach:
    """Return the support function (along the hole, across the hole) of one outline model."""
    if not (size.rounded and loose):
        return size.reach_mm
    wall, middle = (size.diameter_mm - size.hole_mm) / 2, (size.diameter_mm + size.hole_mm) / 4

    def ring(along: NDArray[np.float64], across: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(
            middle * np.abs(across) + np.hypot(size.length_mm / 2 * along, wall / 2 * across),
            dtype=np.float64,
        )

    return ring


def _side_of_one_size(reach: Reach) -> float:
    """Return the side at which equal beads touch on the 60 degree line between them."""
    return 2 * float(reach(np.array(SIN60), np.array(0.5))) / SIN60


def _shift_to_touch(
    still: Reach, still_angle: float, moving: Reach, moving_angle: float, offset: tuple[float, float]
) -> float:
    """Return how far to shift an outline along x until it just clears another.

    Two convex outlines are apart if, for some direction u, the distance of their centres along u is at least
    the sum of their reaches. Each u with a positive x component therefore gives a shift that suffices, and
    the least of them is where they touch.

    Parameters
    ----------
    still, moving : Reach
        Support functions of the two outlines.
    still_angle, moving_angle : float
        Angles of their holes from the x axis, in radians.
    offset : tuple of float
        Centre of the moving outline before the shift, minus the centre of the still one.
    """
    angles = np.linspace(-np.pi / 2, np.pi / 2, 200_001)[1:-1]

    def reach(outline: Reach, turned: float) -> NDArray[np.float64]:
        return outline(np.cos(angles - turned), np.sin(angles - turned))

    distance = offset[0] * np.cos(angles) + offset[1] * np.sin(angles)
    needed = reach(still, still_angle) + reach(moving, moving_angle) - distance
    return float((needed / np.cos(angles)).min())


def _connector_side(core: Reach, core_mm: float, connector: Reach) -> float:
    """Return the side of a connector between core loops of known side."""
    up = 2 * np.pi / 3
    bead = (core_mm / 2 * math.cos(up), core_mm / 2 * math.sin(up))
    to_core = _shift_to_touch(core, up, connector, 0.0, (-bead[0], -bead[1]))
    core_to_core = _shift_to_touch(core, up, core, np.pi - up, (-2 * bead[0], 0.0))
    # Connectors point away from the middle of their core loop, 60 degrees apart, and meet half way.
    from_centre = 2 * float(connector(np.array(0.5), np.array(SIN60)))
    return max(2 * to_core, core_to_core, 2 * (from_centre - core_mm))


@cache
def model_spacing(core: BeadSize, connector: BeadSize) -> Spacing:
    """Return the spacing that the shapes of the beads give.

    Parameters
    ----------
    core, connector : BeadSize
        Sizes of the two kinds of bead; the same one for the one-size weave.
    """
    sides = []
    for loose in (False, True):
        reach = _outline(core, loose=loose)
        core_mm = _side_of_one_size(reach)
        if core == connector:
            sides.append((core_mm, core_mm))
        else:
            sides.append((core_mm, _connector_side(reach, core_mm, _outline(connector, loose=loose))))
    core_mm, connector_mm = (float(side) for side in np.mean(sides, axis=0))
    mean = 2 * core_mm + connector_mm
    # The tight outline is not always the one that lies closer: flat discs are an exception.
    low, high = sorted((2 * side[0] + side[1]) / mean for side in sides)
    return Spacing(core_mm, connector_mm, low, high, "model")


def gauge_spacing(core: BeadSize, connector: BeadSize, ten_loops_mm: float) -> Spacing:
    """Return the spacing of a measured swatch: the model's proportions at the measured size.

    Parameters
    ----------
    core, connector : BeadSize
        Sizes of the two kinds of bead.
    ten_loops_mm : float
        Measured along a row from the edge of one loop to the same edge of the tenth loop after it.

    Raises
    ------
    SizeError
        The measure is so far from the model that it cannot belong to these beads.
    """
    model = model_spacing(core, connector)
    expected = GAUGE_LOOPS * model.pitch_mm
    if not expected / GAUGE_LIMIT <= ten_loops_mm <= expected * GAUGE_LIMIT:
        raise SizeError(
            f"a gauge of {ten_loops_mm:g} mm over ten loops cannot be these beads"
            f" (the model expects {expected:.1f} mm)",
            "measure along a row, from the edge of one loop to the same edge of the tenth loop after it",
        )
    scale = ten_loops_mm / expected
    return Spacing(model.core_mm * scale, model.connector_mm * scale, 1.0, 1.0, "gauge")
