"""The plain ground that a drawing lies on, such as paper: which places of a picture show it.

Light falls off over a sheet of paper and shadows lie on it, so its colour is one for each place: a polynomial
of fourth degree in the place, and on top of it what the ground found so far shows nearby. Places are ground
where they are nearer to that colour than its own unrest in the picture explains, and hang together with the
border. The beginning is made by what hangs together with the border without a step: shading is gradual,
drawings have edges. All is done in CIELAB, in a copy of some hundred pixels a side; loops are far coarser.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from convert.colour.lab import srgb_to_lab
from convert.picture.model import Picture
from convert.picture.part import reduced

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

# Ground is looked for in at most so many pixels a side, and its colour in a raster so many times coarser.
SIDE_PX = 800
_COARSER = 4
# Spread of the Gaussian against grain, and of that in whose slopes edges are looked for.
_SPREAD_PX, _EDGE_SPREAD_PX = 0.8, 1.2
# Width of the border, as a share of the longer side.
_BORDER = 0.012
_BORDER_ROUNDS = 6
# A border is plain if so much of it is of one colour, which ends at a difference below this.
_PLAIN, _MOST_PLAIN = 0.85, 9.0
# Side of the cells of CIELAB in which the border's most frequent colour is looked for.
_CELL = 5.0
# How far ground may be from the colour of most of the border: in L*, and in a* and b*.
_LIGHT_REACH, _HUE_REACH = 25.0, 10.0
# Colour differences (CIE 1976) at which ground ends: at least, by its unrest, and at most.
_LEAST_EDGE, _EDGE_BY_UNREST, _MOST_EDGE = 2.4, 1.6, 12.0
# The same of slopes, in differences a pixel.
_LEAST_SLOPE, _SLOPE_BY_UNREST = 0.45, 1.5
# Unrest is what so many hundredths of the ground stay below.
_UNREST_AT = 95
# Spread of what the ground nearby says of its colour, as a share of the longer side.
_NEARBY = 0.04
_ROUNDS = 8
_MOST_FITTED = 8_000
# Ground goes through no gap narrower than about twice this and a pixel; grain in it is of so few pixels.
_GAP_RADIUS_PX = 1
_SPECK_PX = 12
# What is enclosed and smaller than this share of the picture is a highlight, no hole.
_LEAST_HOLE = 0.0005
# Over so many pixels a drawing's edge is blurred, by the lens or by compression.
_BLUR_PX = 5
_PIXEL = np.ones((3, 3), bool)


@dataclass(frozen=True, eq=False, slots=True)
class Border:
    """What the border of a picture shows of its ground, in a coarse copy of h x w pixels.

    Parameters
    ----------
    lab : ndarray of shape (h, w, 3), float64
        The copy, CIELAB.
    shown : ndarray of shape (h, w), bool
        What of it is not transparent.
    ring : ndarray of shape (h, w), bool
        Its border.
    ground : ndarray of shape (h, w), bool
        What of the border is of the ground's colour.
    colour : ndarray of shape (h, w, 3), float64
        The ground's colour in each place as the border tells it.
    """

    lab: FloatArray
    shown: BoolArray
    ring: BoolArray
    ground: BoolArray
    colour: FloatArray

    @property
    def share(self) -> float:
        """Share of the border that is of the ground's colour."""
        return float(self.ground.sum() / max(1, self.ring.sum()))

    @property
    def is_plain(self) -> bool:
        """Whether hardly anything of the border is of another colour, and this one is at rest."""
        if self.share < _PLAIN:
            return False
        return _edge(_difference(self.lab[self.ground], self.colour[self.ground])) < _MOST_PLAIN

    @property
    def mean(self) -> FloatArray:
        """The ground's colour at the border, CIELAB, shape (3,); NaN where there is none."""
        return np.asarray(
            np.median(self.lab[self.ground], axis=0) if self.ground.any() else np.full(3, np.nan)
        )


def coarser_by(picture: Picture, side_px: int = SIDE_PX) -> int:
    """Return how many pixels of a picture there are to one of the copy in which ground is looked for."""
    return int(-(-max(picture.pixels.shape[:2]) // side_px))


def border_of(picture: Picture, wanted: FloatArray | None = None, side_px: int = SIDE_PX) -> Border:
    """Return what the border of a picture shows of one colour.

    Parameters
    ----------
    picture : Picture
        The picture; where it is transparent at the border, the border is that of what is shown.
    wanted : ndarray of shape (3,), optional
        The colour, CIELAB, or one near it; without it that of most of the border.
    side_px : int
        Most pixels of the longer side of the copy.
    """
    from scipy.ndimage import binary_erosion, gaussian_filter

    small = reduced(picture, coarser_by(picture, side_px))
    lab = gaussian_filter(srgb_to_lab(small.pixels), (_SPREAD_PX, _SPREAD_PX, 0))
    shown = np.ones(lab.shape[:2], bool) if small.alpha is None else small.alpha >= 128
    width = max(2, round(_BORDER * max(lab.shape)))
    ring = shown & ~binary_erosion(shown, _PIXEL, width)
    terms = _terms(lab.shape[:2], 2)
    own, places = lab[ring], terms[ring]
    if wanted is None and len(own):
        wanted = _most_frequent(own)
    near = _within_reach(own - (0.0 if wanted is None else wanted))
    fitted = np.zeros((places.shape[1], 3))
    for _ in range(_BORDER_ROUNDS):
        if not near.any():
            break
        # A little resistance to bending, as the border may show ground on one side only.
        fitted = _fitted(places[near], own[near], 1e-2)
        away = _difference(own, places @ fitted)
        near = away < _edge(away[near])
    ground = np.zeros_like(ring)
    ground[ring] = near
    return Border(lab, shown, ring, ground, terms @ fitted)


def ground_of(border: Border, *, holes: bool = False) -> FloatArray:
    """Return how much of each place is drawing, shape (h, w), from 0 for ground to 1.

    Parameters
    ----------
    border : Border
        What the border shows of the ground.
    holes : bool
        Whether places of the ground's colour that the drawing encloses are ground, too.
    """
    from scipy.ndimage import gaussian_gradient_magnitude

    lab, ring = border.lab, border.ring
    slope = np.sqrt(
        sum(gaussian_gradient_magnitude(lab[..., channel], _EDGE_SPREAD_PX) ** 2 for channel in range(3))
    )
    steep = max(_LEAST_SLOPE, _SLOPE_BY_UNREST * float(np.percentile(slope[border.ground], _UNREST_AT)))
    reach = _within_reach(lab - border.colour) & border.shown
    ground = _hanging_together((slope < steep) & reach, ring)
    if not ground.any():
        return np.ones(ring.shape)
    away = _difference(lab, _colour_everywhere(border, ground & reach))
    like = (away < _edge(away[ground])) & border.shown
    ground = _hanging_together(like, ring)
    if holes:
        ground |= _large(_firm(like), _LEAST_HOLE * like.size)
    return _drawn(ground, away)


def _colour_everywhere(border: Border, ground: BoolArray) -> FloatArray:
    """Return the ground's colour in each place, CIELAB, from ground found so far, which grows on the way."""
    from scipy.ndimage import gaussian_filter
    from skimage.transform import downscale_local_mean

    factor = min(_COARSER, *border.shown.shape)

    def coarse(plane: NDArray[np.generic]) -> FloatArray:
        # Edges are repeated, so that what sticks out over them counts like its neighbours.
        over = [(0, -side % factor) for side in plane.shape[:2]] + [(0, 0)] * (plane.ndim - 2)
        steps = (factor, factor) + (1,) * (plane.ndim - 2)
        return np.asarray(downscale_local_mean(np.pad(plane, over, "edge"), steps))  # type: ignore[no-untyped-call]

    lab, ring, shown = coarse(border.lab), coarse(border.ring) > 0, coarse(border.shown) > 0.99
    whole = coarse(ground) > 0.99
    terms = _terms(lab.shape[:2], 4)
    spread = _NEARBY * max(lab.shape)
    colour = coarse(border.colour)
    for _ in range(_ROUNDS):
        if not whole.any():
            break
        base = terms @ _fitted(terms[whole], lab[whole], 1e-4)
        weight = gaussian_filter(whole.astype(float), spread, truncate=2)
        rest = gaussian_filter(np.where(whole[..., None], lab - base, 0), (spread, spread, 0), truncate=2)
        # Far from all ground there is but the polynomial.
        colour = base + rest / (weight + 0.02)[..., None]
        away = _difference(lab, colour)
        grown = _hanging_together((away < _edge(away[whole])) & shown, ring, radius=0)
        if (grown == whole).all():
            break
        whole = grown
    planes = [Image.fromarray(plane.astype(np.float32)) for plane in np.moveaxis(colour, -1, 0)]
    rows, columns = border.shown.shape
    box = (0.0, 0.0, columns / factor, rows / factor)
    return np.stack(
        [np.asarray(plane.resize((columns, rows), Image.Resampling.BILINEAR, box=box)) for plane in planes],
        -1,
    ).astype(np.float64)


def _drawn(ground: BoolArray, away: FloatArray) -> FloatArray:
    """Return how much of each place is drawing: at its edge as much as its colour is that of the drawing."""
    from scipy.ndimage import binary_dilation, maximum_filter

    edge = binary_dilation(ground, _PIXEL, _BLUR_PX) & ~ground
    # Mixed colours lie between ground and drawing, in proportion; the drawing's own is the farthest nearby.
    most = maximum_filter(np.where(ground, 0.0, away), 2 * _BLUR_PX + 1)
    return np.where(edge, away / np.maximum(most, 1e-9), np.where(ground, 0.0, 1.0))


def _hanging_together(like: BoolArray, ring: BoolArray, radius: int = _GAP_RADIUS_PX) -> BoolArray:
    """Return what of places like ground hangs together with the border, not through narrow gaps."""
    from scipy.ndimage import label

    firm = _firm(like, radius)
    pieces, _ = label(_eroded(firm, radius))
    own = np.unique(pieces[ring])
    return _grown(np.isin(pieces, own[own > 0]), radius) & firm


def _firm(like: BoolArray, radius: int = _GAP_RADIUS_PX) -> BoolArray:
    """Return places like ground with the grain in it."""
    return ~_large(~like, _SPECK_PX) if radius else like


def _eroded(places: BoolArray, radius: int) -> BoolArray:
    from scipy.ndimage import binary_erosion

    return np.asarray(binary_erosion(places, _PIXEL, radius, border_value=1) if radius else places)


def _grown(places: BoolArray, radius: int) -> BoolArray:
    from scipy.ndimage import binary_dilation

    # A pixel more than was taken away: what erosion makes ragged becomes whole again.
    return np.asarray(binary_dilation(places, _PIXEL, radius + 1) if radius else places)


def _large(places: BoolArray, pixels: float) -> BoolArray:
    """Return the pieces of places that have more than so many pixels."""
    from scipy.ndimage import label

    pieces, _ = label(places)
    large = np.bincount(pieces.ravel()) > pixels
    large[0] = False
    return np.asarray(large[pieces], bool)


def _edge(unrest: FloatArray) -> float:
    """Return the difference at which ground ends, from those of what is ground."""
    by_unrest = _EDGE_BY_UNREST * float(np.percentile(unrest, _UNREST_AT)) if len(unrest) else 0.0
    return min(_MOST_EDGE, max(_LEAST_EDGE, by_unrest))


def _within_reach(off: FloatArray) -> BoolArray:
    light, hue = np.abs(off[..., 0]), off[..., 1] ** 2 + off[..., 2] ** 2
    return np.asarray((light < _LIGHT_REACH) & (hue < _HUE_REACH**2))


def _difference(lab: FloatArray, colour: FloatArray) -> FloatArray:
    """Return colour differences (CIE 1976), shape (h, w)."""
    off = lab - colour
    return np.asarray(np.sqrt(np.einsum("...i,...i", off, off)))


def _most_frequent(lab: FloatArray) -> FloatArray:
    """Return the colour about which most of some pixels lie, (n, 3)."""
    from scipy.ndimage import uniform_filter

    cells = np.floor(lab / _CELL).astype(np.int64)
    low = cells.min(axis=0) - 1
    counts = np.zeros(cells.max(axis=0) - low + 2)
    np.add.at(counts, tuple((cells - low).T), 1.0)
    around = uniform_filter(counts, 3, mode="constant")
    best = np.array(np.unravel_index(around.argmax(), around.shape)) + low
    return np.asarray(np.median(lab[(np.abs(cells - best) <= 1).all(axis=1)], axis=0))


def _terms(shape: tuple[int, ...], degree: int) -> FloatArray:
    """Return the terms of a polynomial in the place, shape (h, w, terms); the first is 1."""
    y, x = ((np.arange(side) + 0.5) / side * 2 - 1 for side in shape)
    powers = [(i, j) for i in range(degree + 1) for j in range(degree + 1 - i)]
    return np.stack([np.outer(y**j, x**i) for i, j in powers], axis=-1)


def _fitted(terms: FloatArray, lab: FloatArray, stiffness: float) -> FloatArray:
    """Return the coefficients that fit colours, (n, 3), to terms, (n, t): least squares with a ridge."""
    step = max(1, len(terms) // _MOST_FITTED)
    known, values = terms[::step], lab[::step]
    ridge = np.full(known.shape[1], stiffness * len(known))
    ridge[0] = 0.0
    return np.asarray(np.linalg.solve(known.T @ known + np.diag(ridge), known.T @ values))
