"""Where the heaps of beads lie: what differs from the paper, parted where heaps touch, without specks."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.colour.lab import linear_to_lab
from convert.errors import PictureError
from convert.shelf.ground import Ground
from convert.shelf.photograph import Light, coarse

_PIXELS = 600_000
# Lengths as shares of the longer side of the photograph.
_SMOOTH = 0.0022
_OPENING = 0.0045
_LEAST_RADIUS = 0.008
# Difference from paper in CIELAB, smoothed; above any noise there is.
_LEAST_DIFFERENCE = 5.0
_NOISE_TIMES = 3.0
# Two heaps are parted where the neck between them is narrower than this share of the narrower one.
_NECK = 0.72
# Of the area of a typical heap; what is smaller is a bead that rolled away.
_SPECK = 0.1
# Of the difference of a heap from paper: what differs less is its shadow.
_SHADOW = 0.3
MOST_HEAPS = 1_000
OUTLINE_CORNERS = 72


@dataclass(frozen=True, eq=False, slots=True)
class Found:
    """What lies on the paper.

    Parameters
    ----------
    labels : ndarray of shape (H, W), int32
        Number of the heap at each pixel from 1; 0 is none.
    centres : ndarray of shape (N, 2), float64
        Middle of each heap, x and y in pixels.
    radii : ndarray of shape (N,), float64
        Radius of a disc of its area, in pixels.
    specks, cut : int
        Things of some size left out: far smaller than a typical heap, or reaching over the edge of the paper.
    """

    labels: NDArray[np.int32]
    centres: NDArray[np.float64]
    radii: NDArray[np.float64]
    specks: int
    cut: int


def find_heaps(
    flat: Light, ground: Ground, ignored: NDArray[np.bool_] | None, name: str, paper: float
) -> Found:
    """Return the heaps on the paper.

    Parameters
    ----------
    flat : ndarray of shape (H, W, 3)
        Linear light relative to bare paper.
    ground : Ground
        The paper.
    ignored : ndarray of shape (h, w), bool, or None
        Where no heaps are looked for, such as the card, in any raster over the photograph.
    name : str
        What messages call the photograph.
    paper : float
        Reflectance of the paper.

    Raises
    ------
    PictureError
        There are none, or more than anybody lays out.
    """
    from scipy.ndimage import distance_transform_edt
    from skimage.segmentation import watershed

    small, step = coarse(flat, _PIXELS)
    shape = small.shape[0], small.shape[1]
    sheet = _resized(ground.sheet, shape)
    difference = _difference(small, paper)
    mask, cut = _on_the_paper(_differing(difference, sheet), sheet)
    if ignored is not None:
        mask &= ~_resized(ignored, shape)
    depth = distance_transform_edt(mask)
    parts = watershed(-depth, _middles(depth), mask=mask)  # type: ignore[no-untyped-call]
    parts, specks = _without_specks(_rounded(_without_shadows(parts, difference)), depth)
    count = int(parts.max())
    if not count:
        raise PictureError(
            f"{name}: no heaps of beads found on the paper",
            "lay each colour in a little heap, at least as wide as a fingertip, on plain white paper",
        )
    if count > MOST_HEAPS:
        raise PictureError(
            f"{name}: {count:,} heaps found, more than {MOST_HEAPS:,}",
            "is the paper patterned? take several photographs and join them with --add",
        )
    numbers = np.arange(1, count + 1)
    areas = np.bincount(parts.ravel(), minlength=count + 1)[1:]
    rows, columns = np.indices(shape, np.float32)
    centres = np.stack(
        [np.bincount(parts.ravel(), axis.ravel(), count + 1)[numbers] / areas for axis in (columns, rows)],
        axis=1,
    )
    labels = np.zeros(flat.shape[:2], np.int32)
    whole = np.repeat(np.repeat(parts, step, axis=0), step, axis=1)
    labels[: whole.shape[0], : whole.shape[1]] = whole
    return Found(labels, (centres + 0.5) * step, np.sqrt(areas / np.pi) * step, specks, cut)


def without(found: Found, heap: int) -> Found:
    """Return what was found but for one thing, counted from 0."""
    numbers = np.arange(len(found.centres) + 1, dtype=np.int32)
    numbers[heap + 1] = 0
    numbers[heap + 2 :] -= 1
    kept = np.arange(len(found.centres)) != heap
    return Found(numbers[found.labels], found.centres[kept], found.radii[kept], found.specks, found.cut)


def outlines(found: Found) -> list[NDArray[np.float64]]:
    """Return the outline of each heap, x and y in pixels, each of shape (`OUTLINE_CORNERS`, 2)."""
    from scipy.ndimage import find_objects, gaussian_filter1d
    from skimage.measure import find_contours

    shapes = []
    for number, place in enumerate(find_objects(found.labels)):
        inside = np.pad(found.labels[place] == number + 1, 1).astype(float)
        line = max(find_contours(inside, 0.5), key=len)  # type: ignore[no-untyped-call]
        along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
        even = np.linspace(0, along[-1], OUTLINE_CORNERS, endpoint=False)
        shape = np.stack([np.interp(even, along, line[:, axis]) for axis in (1, 0)], axis=1)
        shape = gaussian_filter1d(shape, 1.5, axis=0, mode="wrap")
        shapes.append(shape - 0.5 + (place[1].start, place[0].start))
    return shapes


def _difference(small: Light, paper: float) -> Light:
    """Return how much each place differs from bare paper, in CIELAB, smoothed over a bead."""
    from scipy.ndimage import gaussian_filter

    lab = linear_to_lab(small * paper)
    lab -= linear_to_lab(np.full(3, paper))
    apart = np.sqrt((lab * lab).sum(axis=2)).astype(np.float32)
    return np.asarray(gaussian_filter(apart, _SMOOTH * max(small.shape)))


def _differing(difference: Light, sheet: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return where the sheet differs from bare paper, without thin lines."""
    from skimage.morphology import disk, opening

    # Most of the sheet is bare, and what is bare lies below its median.
    bare = difference[sheet & (difference <= np.median(difference[sheet]))]
    mask = difference > max(_LEAST_DIFFERENCE, _NOISE_TIMES * float(np.percentile(bare, 95)))
    brush = disk(max(1, round(_OPENING * max(mask.shape))))  # type: ignore[no-untyped-call]
    return np.asarray(opening(mask, brush) & sheet, np.bool_)


def _on_the_paper(mask: NDArray[np.bool_], sheet: NDArray[np.bool_]) -> tuple[NDArray[np.bool_], int]:
    """Return what lies on the paper with all of it, holes filled, and how many things reach over its edge.

    Of things at the edge only those of some size count: there is always a rim of table.
    """
    from scipy.ndimage import binary_erosion, binary_fill_holes, label

    inner = binary_erosion(sheet, iterations=2, border_value=0)
    regions, count = label(mask)
    over = np.zeros(count + 1, bool)
    over[np.unique(regions[~inner])] = True
    sizes = np.bincount(regions.ravel())
    within = np.bincount(regions.ravel(), inner.ravel())
    least = np.pi * (_LEAST_RADIUS * max(mask.shape)) ** 2
    over[0] = True
    reaching = over & (within >= 4 * least) & (within > 0.5 * sizes)
    # Holes last: the rim of the table would else close a ring about everything.
    return np.asarray(binary_fill_holes(~over[regions]), np.bool_), int(reaching[1:].sum())


def _middles(depth: NDArray[np.float64]) -> NDArray[np.int32]:
    """Return a marker in the middle of each heap, from the distances to its edge."""
    from scipy.ndimage import label
    from skimage.morphology import local_maxima, reconstruction

    # By logarithms, so that necks are judged by the width of the heaps and not in pixels.
    heights = np.log(np.maximum(depth, 1.0))
    flooded = reconstruction(heights + np.log(_NECK), heights)  # type: ignore[no-untyped-call]
    tops = local_maxima(flooded) & (depth >= 1.5)  # type: ignore[no-untyped-call]
    return np.asarray(label(tops, np.ones((3, 3)))[0], np.int32)


def _without_shadows(parts: NDArray[np.int32], difference: Light) -> NDArray[np.int32]:
    """Return the parts without the shadow that each throws on the paper, which differs less than beads do."""
    from scipy.ndimage import median

    count = int(parts.max())
    if not count:
        return parts
    level = np.concatenate([[0], median(difference, parts, np.arange(1, count + 1))])
    return np.where(difference >= _SHADOW * level[parts], parts, 0).astype(np.int32)


def _rounded(parts: NDArray[np.int32]) -> NDArray[np.int32]:
    """Return the parts grown to their convex hulls: white beads are told from paper by their gaps alone."""
    from scipy.ndimage import find_objects
    from skimage.morphology import convex_hull_image

    rounded = parts.copy()
    for number, place in enumerate(find_objects(parts), start=1):
        # Of fewer pixels there is no hull; they are no heap either.
        if place is not None and min(axis.stop - axis.start for axis in place) > 2:
            hull = convex_hull_image(parts[place] == number)  # type: ignore[no-untyped-call]
            rounded[place][hull & (parts[place] == 0)] = number
    return rounded


def _without_specks(parts: NDArray[np.int32], depth: NDArray[np.float64]) -> tuple[NDArray[np.int32], int]:
    """Return the parts that are heaps, numbered anew, and how many were too small."""
    from scipy.ndimage import maximum

    count = int(parts.max())
    if not count:
        return parts, 0
    areas = np.bincount(parts.ravel(), minlength=count + 1).astype(float)
    areas[0] = 0
    radii = maximum(depth, parts, np.arange(count + 1))
    wide = (areas > 0) & (radii >= _LEAST_RADIUS * max(parts.shape))
    large = wide & (areas >= _SPECK * np.median(areas[wide])) if wide.any() else wide
    numbers = np.zeros(count + 1, np.int32)
    numbers[large] = np.arange(1, large.sum() + 1)
    return numbers[parts], int(wide.sum() - large.sum())


def _resized(mask: NDArray[np.bool_], shape: tuple[int, int]) -> NDArray[np.bool_]:
    """Return a mask over the whole photograph in another raster."""
    rows = np.minimum((np.arange(shape[0]) + 0.5) * mask.shape[0] / shape[0], mask.shape[0] - 1).astype(int)
    columns = np.minimum((np.arange(shape[1]) + 0.5) * mask.shape[1] / shape[1], mask.shape[1] - 1).astype(
        int
    )
    return mask[np.ix_(rows, columns)]
