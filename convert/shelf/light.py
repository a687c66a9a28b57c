"""What light and camera did to the colours, undone by paper, by a grey card or by the printed card."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import XYZ_OF_LINEAR, lab_to_linear, linear_to_lab
from convert.errors import PictureError
from convert.palette.model import Palette
from convert.shelf.card import PATCHES
from convert.shelf.heaps import Found
from convert.shelf.photograph import Light

# Plain office paper is about L* 95 and nearly neutral (common practice, no source).
PAPER = 0.87
# What photographers' grey cards reflect (common practice, no source).
GREY = 0.18
# Mean CIEDE2000 over the patches above which a print does not hold the values beside them.
MOST_OFF = 4.0
# A grey card reflects so much of what paper does, and is so plain: standard deviation of its lightness.
_GREY_RANGE = (0.12, 0.36)
_GREY_SPREAD = 2.0
_GREY_FILLED = 0.75


@dataclass(frozen=True, eq=False, slots=True)
class Correction:
    """What takes light relative to bare paper to the light under D65.

    Parameters
    ----------
    matrix : ndarray of shape (3, 3), float64
        Linear sRGB is ``flat @ matrix.T``.
    basis : str
        ``paper``, ``grey`` or ``card``.
    off : float or None
        Mean CIEDE2000 by which the card's patches are missed.
    """

    matrix: NDArray[np.float64]
    basis: str
    off: float | None = None

    def lab(self, flat: Light) -> NDArray[np.float64]:
        """Return CIELAB under D65 of light relative to bare paper, shape (..., 3)."""
        return linear_to_lab(np.maximum(flat.astype(np.float64) @ self.matrix.T, 0))


def by_paper() -> Correction:
    """Return the correction that takes the paper for white."""
    return Correction(np.eye(3) * PAPER, "paper")


def by_grey_card(flat: Light, found: Found, name: str) -> tuple[Correction, int]:
    """Return the correction by a grey card, and which of the things found is the card, from 0.

    Parameters
    ----------
    flat : ndarray of shape (H, W, 3)
        Linear light relative to bare paper.
    found : Found
        What lies on the paper.
    name : str
        What messages call the photograph.

    Raises
    ------
    PictureError
        There is no grey card.
    """
    from scipy.ndimage import find_objects
    from skimage.measure import regionprops

    grey: tuple[int, int, NDArray[np.float64]] | None = None
    for number, place in enumerate(find_objects(found.labels)):
        inside = found.labels[place] == number + 1
        core = _core(inside)
        light = flat[place][core].astype(np.float64)
        level = light.mean(axis=0)
        plain = linear_to_lab(light * PAPER)[:, 0].std() < _GREY_SPREAD
        luminance = float(XYZ_OF_LINEAR[1] @ level)
        if not (plain and _GREY_RANGE[0] < luminance < _GREY_RANGE[1]):
            continue
        (region,) = regionprops(inside.astype(np.uint8))  # type: ignore[no-untyped-call]
        filled = region.solidity > _GREY_FILLED
        if filled and (grey is None or region.area > grey[1]):
            grey = number, int(region.area), level
    if grey is None:
        raise PictureError(
            f"{name}: no grey card found",
            "lay it flat on the paper, clear of the heaps and of the edge, or leave out --light grey",
        )
    return Correction(np.diag(GREY / grey[2]), "grey"), grey[0]


def by_card(patches: NDArray[np.float64], values: NDArray[np.float64]) -> Correction:
    """Return the correction that takes the patches of the card to their values, by least squares.

    Parameters
    ----------
    patches : ndarray of shape (P, 3), float64
        Linear light of the patches relative to bare paper.
    values : ndarray of shape (P, 3), float64
        What they are, CIELAB under D65.

    Notes
    -----
    Squares of linear light alone would leave the dark patches to chance, so that each patch weighs as
    lightness grows with light there: as the power -2/3 of its luminance (CIE 15, the cube root of L*).
    """
    wanted = lab_to_linear(values)
    luminance = np.maximum(wanted @ XYZ_OF_LINEAR[1], 0.01)
    weight = luminance[:, None] ** (-2 / 3)
    solved = np.linalg.lstsq(patches * weight, wanted * weight, rcond=None)[0]
    correction = Correction(np.asarray(solved.T), "card")
    off = ciede2000(correction.lab(patches.astype(np.float32)), values).mean()
    return Correction(correction.matrix, "card", float(off))


def values_as_printed() -> NDArray[np.float64]:
    """Return the values that stand on the card, CIELAB under D65, shape (P, 3)."""
    return np.array([patch.lab for patch in PATCHES], float)


def values_measured(table: Palette) -> NDArray[np.float64]:
    """Return the values of the patches from a table, CIELAB under D65, shape (P, 3).

    Parameters
    ----------
    table : Palette
        A row a patch, its code that of the patch.

    Raises
    ------
    PaletteError
        A patch is missing.
    """
    return np.array([table.entries[table.find(patch.code)].lab for patch in PATCHES], float)


def _core(inside: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the inner half of a region, by depth."""
    from scipy.ndimage import distance_transform_edt

    depth = distance_transform_edt(np.pad(inside, 1))[1:-1, 1:-1]
    return np.asarray(depth >= 0.5 * depth.max(), bool)
