"""The card in a photograph: its four marks, and the light of its patches."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.shelf.card import MARK_MM, MARK_UNITS, PATCH_MM, PATCHES, corners_mm
from convert.shelf.ground import lightness
from convert.shelf.photograph import Light

MARKS = 4
# The window about a pixel in which dark and light are told apart, as a share of the longer side; odd.
_WINDOW = 0.06
_LEAST_MARK_PX = 12
# By what the sizes of the squares of a mark may be off, and its middles as a share of its side.
_SIZE_OFF = 0.4
_MIDDLE_OFF = 0.08
# The inner part of a patch that is measured, so that its edges play no part, and points along each side.
_INNER = 0.6
_POINTS = 12
_MARGIN_MM = MARK_MM / 2 + 3.0
# Its area is told in a raster coarser by this.
_COARSE = 4


@dataclass(frozen=True, eq=False, slots=True)
class CardInView:
    """The card as the photograph shows it.

    Parameters
    ----------
    patches : ndarray of shape (P, 3), float64
        Linear light of each patch relative to bare paper, in the order of `convert.shelf.card.PATCHES`.
    area : ndarray of shape (h, w), bool
        Where it lies, in a coarse raster.
    """

    patches: NDArray[np.float64]
    area: NDArray[np.bool_]


def find_card(light: Light, flat: Light) -> tuple[CardInView | None, int]:
    """Return the card, or None, and how many of its marks were seen.

    Parameters
    ----------
    light, flat : ndarray of shape (H, W, 3)
        Linear light, and that relative to bare paper.
    """
    marks = _marks(light)
    if len(marks) != MARKS:
        return None, len(marks)
    around = marks - marks.mean(axis=0)
    corners = marks[np.argsort(np.arctan2(around[:, 1], around[:, 0]))]
    # The card may lie in any of four ways; the right one is where its steps of grey go from light to dark.
    turns = [_measured(flat, np.roll(corners, -turn, axis=0)) for turn in range(MARKS)]
    known = np.array([patch.lab[0] for patch in PATCHES], float)
    fits = [np.corrcoef(known, lightness(patches.astype(np.float32)))[0, 1] for patches in turns]
    return CardInView(turns[int(np.argmax(fits))], _area(corners, flat.shape[:2])), MARKS


def _marks(light: Light) -> NDArray[np.float64]:
    """Return the middles of nested squares, x and y in pixels, shape (M, 2)."""
    from skimage.filters import threshold_local
    from skimage.measure import label, regionprops

    bright = lightness(light)
    window = max(15, round(_WINDOW * max(bright.shape))) // 2 * 2 + 1
    dark = bright < threshold_local(bright, window, method="mean", offset=6.0)  # type: ignore[no-untyped-call]
    regions = label(dark, connectivity=1)  # type: ignore[no-untyped-call]
    outer, middle, inner = MARK_UNITS
    ring_share = (outer**2 - middle**2) / outer**2
    least = (_LEAST_MARK_PX / outer * inner) ** 2 * 0.5
    found = [region for region in regionprops(regions) if region.area >= least]  # type: ignore[no-untyped-call]
    cores = [region for region in found if region.extent > 0.5 and region.euler_number == 1]
    places = np.array([region.centroid for region in cores]).reshape(-1, 2)
    marks = []
    for ring in found:
        top, left, bottom, right = ring.bbox
        side = (bottom - top + right - left) / 2
        if side < _LEAST_MARK_PX or ring.euler_number != 0 or abs(bottom - top - right + left) > 0.25 * side:
            continue
        near = np.flatnonzero(np.hypot(*(places - ring.centroid).T) < _MIDDLE_OFF * side)
        share = ring.area / ring.area_filled
        for core in near.tolist():
            ratio = cores[core].area / ring.area_filled * (outer / inner) ** 2
            if abs(ratio - 1) < _SIZE_OFF and abs(share / ring_share - 1) < _SIZE_OFF:
                y, x = places[core]
                marks.append((x + 0.5, y + 0.5))
    return np.array(marks, float).reshape(-1, 2)


def _measured(flat: Light, corners: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the light of each patch, the median over its inner part, shape (P, 3)."""
    from scipy.ndimage import map_coordinates

    steps = np.linspace(-_INNER / 2, _INNER / 2, _POINTS)
    spread = np.stack(np.meshgrid(steps * PATCH_MM[0], steps * PATCH_MM[1]), axis=-1).reshape(1, -1, 2)
    middles = np.array([(patch.x_mm, patch.y_mm) for patch in PATCHES])[:, None]
    x, y = _onto(corners)((middles + spread).reshape(-1, 2)).T
    values = np.stack(
        [
            map_coordinates(flat[..., channel], (y - 0.5, x - 0.5), order=1, mode="nearest")
            for channel in range(3)
        ],
        axis=-1,
    )
    return np.asarray(np.median(values.reshape(len(PATCHES), -1, 3), axis=1), float)


def _onto(corners: NDArray[np.float64]):  # type: ignore[no-untyped-def]
    """Return what takes places on the card in mm to places in the photograph."""
    from skimage.transform import ProjectiveTransform

    return ProjectiveTransform.from_estimate(corners_mm(), corners)  # type: ignore[no-untyped-call]


def _area(corners: NDArray[np.float64], shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """Return where the card lies in a photograph of a shape, its marks and a margin included."""
    from skimage.draw import polygon2mask

    known = corners_mm()
    grown = known + np.sign(known - known.mean(axis=0)) * _MARGIN_MM
    x, y = _onto(corners)(grown).T / _COARSE
    coarse = max(1, shape[0] // _COARSE), max(1, shape[1] // _COARSE)
    return np.asarray(polygon2mask(coarse, np.stack([y, x], axis=1)), np.bool_)  # type: ignore[no-untyped-call]
