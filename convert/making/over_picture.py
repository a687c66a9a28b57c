"""How a piece lies over a picture, and what of the picture each bead shows."""

from collections.abc import Sequence

import numpy as np

from convert.picture.model import Picture
from convert.picture.sampling import polygon_means
from convert.weave.boxes import box
from convert.weave.hanging import held_by
from convert.weave.model import FloatArray, Weave

# More of the picture lost than this is worth a word to the user.
CROP_WORTH_SAYING = 0.05
# Sheets of the same shape in other bead sizes lie over the picture alike, but for rounding.
_ALIKE_PX = 1e-6


def crop_notes(picture: Picture, full: Weave) -> list[str]:
    """Return a note on how much of the picture lies outside a piece, if that is worth saying."""
    scale, _ = onto_picture(picture, full)
    low, high = box(full.cells)
    shown = (high - low) * scale
    lost = 1 - float(shown[0] * shown[1]) / (picture.pixels.shape[0] * picture.pixels.shape[1])
    if lost <= CROP_WORTH_SAYING:
        return []
    return [f"{lost:.0%} of the picture lies outside the piece and is cropped"]


def onto_picture(picture: Picture, full: Weave) -> tuple[float, FloatArray]:
    """Return pixels in a millimetre and the offset that lay a full sheet's cells over the picture."""
    low, high = box(full.cells)
    size_px = np.array(picture.pixels.shape[1::-1], float)
    scale = float((size_px / (high - low)).min())
    return scale, size_px / 2 - scale * (low + high) / 2


def _to_pixels(picture: Picture, full: Weave, points_mm: FloatArray) -> FloatArray:
    scale, offset = onto_picture(picture, full)
    return points_mm * scale + offset


def loop_coverage(picture: Picture, fulls: Sequence[Weave]) -> list[FloatArray]:
    """Return for each piece the share of each loop that the picture covers, shape (L,)."""
    corners = [_to_pixels(picture, full, full.loop_corners) for full in fulls]
    return [coverage for _, coverage in _means(picture, corners)]


def bead_means(picture: Picture, pieces: Sequence[tuple[Weave, Weave]]) -> list[FloatArray]:
    """Return for each piece the mean colour of the picture in each bead's cell, shape (B, 3), linear sRGB.

    It is NaN where neither the bead's cell nor its loop shows any of the picture.

    Parameters
    ----------
    picture : Picture
        The picture.
    pieces : sequence of (Weave, Weave)
        The woven part, and the full sheet, which is what the picture is laid over.
    """
    cells = [_to_pixels(picture, full, weave.cells) for weave, full in pieces]
    found = []
    for (weave, full), (means, coverage) in zip(pieces, _means(picture, cells), strict=True):
        bare = coverage <= 0
        if bare.any():
            # A bead at the rim of a silhouette may show none of the picture. There a loop is woven only if
            # the picture covers half of it, so the mean over the bead's loop is always there.
            loops = weave.side_loop[weave.bead_sides[bare, 0]]
            means = means.copy()
            means[bare] = polygon_means(picture, _to_pixels(picture, full, weave.loop_corners[loops]))[0]
        if weave.hanging:
            # The loop that it hangs by lies outside the picture.
            means = means.copy()
            means[-weave.hanging :] = means[held_by(weave)]
        found.append(means)
    return found


def _means(picture: Picture, pieces: Sequence[FloatArray]) -> list[tuple[FloatArray, FloatArray]]:
    """Return means and coverage over the polygons of several pieces, each strip of the picture summed once.

    Parameters
    ----------
    picture : Picture
        The picture.
    pieces : sequence of ndarray of shape (N, K, 2)
        Polygons in pixels, K the same for all.
    """
    sampled: list[FloatArray] = []
    which = []
    for polygons in pieces:
        same = (number for number, other in enumerate(sampled) if _alike(polygons, other))
        which.append(next(same, len(sampled)))
        if which[-1] == len(sampled):
            sampled.append(polygons)
    if not sampled:
        return []
    means, coverage = polygon_means(picture, np.concatenate(sampled))
    ends = np.cumsum([len(polygons) for polygons in sampled])[:-1]
    found = list(zip(np.split(means, ends), np.split(coverage, ends), strict=True))
    return [found[number] for number in which]


def _alike(polygons: FloatArray, others: FloatArray) -> bool:
    return polygons.shape == others.shape and bool(np.abs(polygons - others).max() < _ALIKE_PX)
