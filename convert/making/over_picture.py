"""How a piece lies over a picture, and what of the picture each bead shows."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from convert.picture.model import Picture
from convert.picture.sampling import polygon_coverage, polygon_means
from convert.weave.boxes import box
from convert.weave.hanging import held_by
from convert.weave.model import FloatArray, IntArray, Weave
from convert.weave.symmetry import Symmetry, alike, alike_loops, lattice_mm

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
    ends = np.cumsum([len(polygons) for polygons in corners])[:-1]
    return np.split(polygon_coverage(picture, np.concatenate(corners)), ends)


def bead_means(
    picture: Picture, pieces: Sequence[tuple[Weave, Weave]], *, everywhere: bool = False
) -> list[FloatArray]:
    """Return for each piece the mean colour of the picture in each bead's cell, shape (B, 3), linear sRGB.

    It is NaN where neither the bead's cell nor its loop shows any of the picture.

    Parameters
    ----------
    picture : Picture
        The picture.
    pieces : sequence of (Weave, Weave)
        The woven part, and the full sheet, which is what the picture is laid over.
    everywhere : bool
        Whether the piece takes the picture's outline. Beads that show nothing are then of loops that hold it
        together: they have the colour that the picture has there though it is not shown, or else that of the
        nearest bead.
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
        if everywhere:
            means = _shown_everywhere(means, picture, weave, full)
        if weave.hanging:
            # The loop that it hangs by lies outside the picture.
            means = means.copy()
            means[-weave.hanging :] = means[held_by(weave)]
        found.append(means)
    return found


def _shown_everywhere(means: FloatArray, picture: Picture, weave: Weave, full: Weave) -> FloatArray:
    """Return means with colours for beads that show nothing of the picture, see `bead_means`."""
    from scipy.spatial import cKDTree

    bare = np.isnan(means[:, 0])
    if not bare.any():
        return means
    means = means.copy()
    if picture.coloured_throughout:
        below = replace(picture, alpha=None)
        means[bare] = polygon_means(below, _to_pixels(picture, full, weave.cells[bare]))[0]
        bare = np.isnan(means[:, 0])
    shown = np.flatnonzero(~bare)
    _, nearest = cKDTree(weave.bead_xy[shown]).query(weave.bead_xy[bare])
    means[bare] = means[shown[nearest]]
    return means


def alike_loops_coverage(picture: Picture, full: Weave, symmetry: Symmetry) -> FloatArray:
    """Return the share of each loop that a picture covers, the same of loops that are alike, shape (L,).

    Parameters
    ----------
    picture : Picture
        The picture, symmetric where the design is mirrored; it is one repeat.
    full : Weave
        What the picture is laid over, as often as it repeats.
    symmetry : Symmetry
        The repeats and mirror lines.
    """
    first = alike_loops(full, symmetry)
    return _means_alike(picture, full, symmetry, full.loop_corners, first)[1]


def alike_bead_means(picture: Picture, weave: Weave, full: Weave, symmetry: Symmetry) -> FloatArray:
    """Return what `bead_means` does of a piece that repeats or is mirrored, the same of beads that are alike.

    Parameters as in `alike_loops_coverage`; `weave` is the woven part.
    """
    first = alike(weave, symmetry)[: weave.beads]
    means, coverage = _means_alike(picture, full, symmetry, weave.cells, first)
    bare = np.flatnonzero(coverage <= 0)
    if len(bare):
        loops = weave.loop_corners[weave.side_loop[weave.bead_sides[first[bare], 0]]]
        means[bare] = _means_alike(picture, full, symmetry, loops, np.arange(len(bare), dtype=np.int32))[0]
    if weave.hanging:
        means[-weave.hanging :] = means[held_by(weave)]
    return means


def _means_alike(
    picture: Picture, full: Weave, symmetry: Symmetry, polygons_mm: FloatArray, first: IntArray
) -> tuple[FloatArray, FloatArray]:
    """Return means and coverage over polygons, of each those of the first that is alike.

    Each is looked at in the one place where the picture lies, wrapped round at its edges where it repeats.
    """
    used, which = np.unique(first, return_inverse=True)
    polygons = polygons_mm[used]
    low, high, repeats = _one_repeat(full, symmetry)
    middle = polygons.mean(axis=1)
    shift = np.where(repeats, np.floor((middle - low) / (high - low)) * (high - low), 0.0)
    polygons = polygons - shift[:, None]
    size_px = np.array(picture.pixels.shape[1::-1], float)
    if repeats.any():
        scales = size_px / (high - low)
        offset = -low * scales
    else:
        scale, offset = onto_picture(picture, full)
        scales = np.array([scale, scale])
    # A cell reaches out by less than a loop.
    margin = np.where(repeats, np.ceil(full.spacing.pitch_mm * scales), 0).astype(int)
    means, coverage = polygon_means(_wrapped(picture, *margin.tolist()), polygons * scales + offset + margin)
    return means[which], coverage[which]


def _one_repeat(full: Weave, symmetry: Symmetry) -> tuple[FloatArray, FloatArray, NDArray[np.bool_]]:
    """Return the corners of what one picture lies over, in mm, and whether it repeats along x and along y."""
    upright = symmetry.direction != "across"
    low, high = (corner[::-1].copy() if upright else corner.copy() for corner in box(full.cells))
    half_mm, row_mm = lattice_mm(full)
    repeats = np.array([symmetry.repeat_loops is not None, symmetry.repeat_rows is not None])
    if symmetry.repeat_loops is not None:
        # A mirror line is the middle of the picture; else it begins with the first loop.
        line = symmetry.mirror_half_loops
        low[0] = half_mm * (-1 if line is None else line - symmetry.repeat_loops)
        high[0] = low[0] + 2 * half_mm * symmetry.repeat_loops
    if symmetry.repeat_rows is not None:
        line = symmetry.mirror_row
        low[1] = row_mm * (-0.5 if line is None else line - symmetry.repeat_rows // 2)
        high[1] = low[1] + row_mm * symmetry.repeat_rows
    return (low[::-1], high[::-1], repeats[::-1]) if upright else (low, high, repeats)


def _wrapped(picture: Picture, across: int, down: int) -> Picture:
    """Return a picture with so many pixels of it repeated beyond its edges."""
    if not (across or down):
        return picture
    around = (down, down), (across, across)
    alpha = None if picture.alpha is None else np.pad(picture.alpha, around, mode="wrap")
    return Picture(picture.name, np.pad(picture.pixels, (*around, (0, 0)), mode="wrap"), alpha)


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
