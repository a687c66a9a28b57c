"""The flat sheet: rows of loops, every other row shifted by half a loop.

Loops tile like hexagons. Loop (row, place) has six sides facing its neighbours at 0, 60, ... 300 degrees,
clockwise on the page from the right. In axial coordinates q = place - row // 2, r = row, the core loops of
the two-size weave are one class of the three-colouring (q - r) mod 3: no two cores touch, and every junction
lies on exactly one core, so the core's place and the core's side give the junction's position.
"""

import math
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from convert.errors import SizeError
from convert.weave.beads import BeadSize
from convert.weave.model import FloatArray, IntArray, Seam, Weave
from convert.weave.spacing import Spacing

Number = TypeVar("Number", bound=np.generic)
SIDES = 6
DIRECTIONS = ("across", "along")
# A ring of fewer loops would have beads that lie in one loop twice.
LEAST_ROUND = 3
# After so many loops of a row cores and connectors come again in the same order.
REPEAT_TWO_SIZES = 3
# Steps to the neighbour that each side faces, as (dq, dr).
_NEIGHBOUR_Q = np.array([1, 0, -1, -1, 0, 1])
_NEIGHBOUR_R = np.array([0, 1, 1, 0, -1, -1])
# Places of sides and corners on finer grids, from the place of the loop; see `_numbered`.
_SIDE_ROW = np.array([1, 2, 2, 1, 0, 0])
_SIDE_X = np.array([2, 1, -1, -2, -1, 1])
_CORNER_ROW = np.array([1, 2, 1, 0, -1, 0])
_CORNER_X = np.array([1, 0, -1, -1, 0, 1])


def _numbered(keys: NDArray[np.int64]) -> tuple[IntArray, NDArray[np.int64]]:
    """Number the distinct keys in ascending order without sorting.

    Parameters
    ----------
    keys : ndarray of int64
        Non-negative keys from a dense range.

    Returns
    -------
    tuple of ndarray
        The number of each key, in the shape of `keys`, and the keys in the order of their numbers.
    """
    used = np.zeros(int(keys.max()) + 1, bool)
    used[keys] = True
    number = np.cumsum(used, dtype=np.int32) - 1
    return number[keys], np.flatnonzero(used)


def _positions(q: NDArray[np.int64], r: NDArray[np.int64], pitch_mm: float) -> FloatArray:
    """Return the centres of loops in mm, shape (..., 2)."""
    return np.stack([pitch_mm * (q + r / 2), pitch_mm * math.sqrt(3) / 2 * r], axis=-1)


def _corners(
    q: NDArray[np.int64], r: NDArray[np.int64], side_class: NDArray[np.int64], spacing: Spacing
) -> FloatArray:
    """Return the place of each corner in mm, shape (L, 6, 2), from the class of the loop each side faces."""
    # Corner i touches the loop itself and its neighbours i and i + 1; the core among the three places it.
    following = np.roll(np.arange(SIDES), -1)
    to_core = np.where(
        side_class == 0, np.arange(SIDES), np.where(side_class[:, following] == 0, following, SIDES)
    )
    core_q = q[:, None] + np.append(_NEIGHBOUR_Q, 0)[to_core]
    core_r = r[:, None] + np.append(_NEIGHBOUR_R, 0)[to_core]
    core = _positions(core_q, core_r, spacing.pitch_mm)
    angle = np.deg2rad(60 * np.arange(SIDES) + 30)
    to_corner = spacing.side_mm * np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    regular = _positions(q, r, spacing.pitch_mm)[:, None] + to_corner
    return np.asarray(core + (regular - core) * (spacing.core_mm / spacing.side_mm))


def sheet(
    woven: NDArray[np.bool_],
    sizes: tuple[BeadSize, BeadSize],
    spacing: Spacing,
    direction: str = "across",
    *,
    joined: bool = False,
) -> Weave:
    """Return the weave of a set of loops of a flat sheet.

    Positions depend on the shape of `woven` alone and not on which loops are woven, so that a silhouette lies
    where it lies in the full sheet.

    Parameters
    ----------
    woven : ndarray of shape (rows, places), bool
        Which loops to weave; odd rows are shifted by half a loop.
    sizes : tuple of BeadSize
        Core and connector.
    spacing : Spacing
        Sides of the loops.
    direction : str
        ``across``: rows of loops run to the right, the first at the top. ``along``: rows of loops run down,
        the first on the left.
    joined : bool
        Whether the last place of each row is woven into the first, so that the sheet is a ring. The beads on
        which they meet lie at the first.

    Raises
    ------
    SizeError
        No loop is woven, or a ring is too short or would break the order of cores and connectors.
    """
    row, place = (index.astype(np.int64) for index in np.nonzero(woven))
    if not len(row):
        raise SizeError("there is no loop to weave", "choose a larger size")
    places, one_size = woven.shape[1], sizes[0] == sizes[1]
    if joined:
        _check_round(places, one_size=one_size)
    q, r = place - row // 2, row
    loop_class = (q - r) % 3
    side_class = (loop_class[:, None] + _NEIGHBOUR_Q - _NEIGHBOUR_R) % 3
    # Half pitches from the left, with room for the sides that reach out.
    x = 2 * place + row % 2 + 1

    side_x, corner_x = 2 * x[:, None] + _SIDE_X, x[:, None] + _CORNER_X
    side_round, corner_round = side_x // (4 * places), corner_x // (2 * places)
    corner_xy = _corners(q, r, side_class, spacing)
    if joined:
        side_x, corner_x = side_x % (4 * places), corner_x % (2 * places)
        corner_xy[..., 0] -= corner_round * (places * spacing.pitch_mm)
    side_bead, bead_keys = _numbered((2 * r[:, None] + _SIDE_ROW) * (4 * places + 8) + side_x)
    side_junction, _ = _numbered((2 * r[:, None] + _CORNER_ROW + 1) * (2 * places + 4) + corner_x)

    loop_xy = _positions(q, r, spacing.pitch_mm)
    junction_xy = np.empty((int(side_junction.max()) + 1, 2))
    junction_xy[side_junction] = corner_xy

    loop_core = (loop_class == 0) | one_size
    bead_size = np.zeros(len(bead_keys), np.uint8)
    bead_size[side_bead] = ~(loop_core[:, None] | (side_class == 0))

    if direction == "along":
        # The mirror image in the diagonal; the sides are turned round to stay clockwise.
        loop_xy, junction_xy = loop_xy[:, ::-1].copy(), junction_xy[:, ::-1].copy()
        side_bead, side_round = side_bead[:, ::-1], side_round[:, ::-1]
        side_junction, corner_round = (
            np.roll(of_corner[:, ::-1], -1, axis=1) for of_corner in (side_junction, corner_round)
        )

    return Weave(
        sizes=sizes,
        spacing=spacing,
        bead_size=bead_size,
        bead_row=(bead_keys // (4 * places + 8)).astype(np.int32),
        junction_xy=junction_xy,
        loop_xy=loop_xy,
        loop_start=np.arange(0, SIDES * len(q) + 1, SIDES, dtype=np.int32),
        loop_core=loop_core,
        loop_row=(row - row.min()).astype(np.int32),
        loop_column=(place - place.min()).astype(np.int32),
        side_bead=_flat(side_bead, np.int32),
        side_junction=_flat(side_junction, np.int32),
        seam=_seam(places, spacing, direction, side_round, corner_round) if joined else None,
    )


def _seam(
    loops: int,
    spacing: Spacing,
    direction: str,
    side_round: NDArray[np.int64],
    corner_round: NDArray[np.int64],
) -> Seam:
    length_mm = loops * spacing.pitch_mm
    round_mm = (length_mm, 0.0) if direction == "across" else (0.0, length_mm)
    return Seam(loops, round_mm, _flat(side_round, np.int8), _flat(corner_round, np.int8))


def _flat(array: NDArray[Any], kind: type[Number]) -> NDArray[Number]:
    return np.ascontiguousarray(array.ravel(), kind)


def _check_round(loops: int, *, one_size: bool) -> None:
    """Refuse a number of loops in a row that cannot be closed to a ring."""
    step = 1 if one_size else REPEAT_TWO_SIZES
    if loops < LEAST_ROUND:
        raise SizeError(
            f"{loops} loop{'s' * (loops != 1)} in a row cannot be joined end to end",
            f"make it {LEAST_ROUND} loops or longer",
        )
    if loops % step:
        fits = loops - loops % step
        raise SizeError(
            f"{loops} loops in a row do not close in two sizes of bead, where {step} loops are a repeat",
            f"the nearest that do are {fits} and {fits + step}",
        )
