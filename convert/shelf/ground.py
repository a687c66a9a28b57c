"""The plain paper that the beads lie on, and how the light falls on it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.colour.lab import XYZ_OF_LINEAR
from convert.errors import PictureError
from convert.shelf.photograph import Light, Photograph, coarse

# Paper is looked for in so many pixels.
_PIXELS = 400_000
# Steps of lightness (0 to 100) from pixel to pixel below which a place is plain.
_PLAIN = 0.8
_SPREAD_PX = 1.3
_LEAST_SHARE = 0.12
_LEAST_LIGHTNESS = 45.0
# Large areas that are lighter than the paper by this factor speak against its being paper.
_LIGHTER = 1.15
_MOST_LIGHTER = 0.1
# A third of the ground at the end of a channel: what light fell there is not known.
_MOST_BURNT = 0.33
# Light of the ground within this of the fitted surface, as a difference of natural logarithms.
_NEAR = 0.06
# Share of the plain area that must lie so: more than shadows take, less than a patterned ground gives.
_LEAST_NEAR = 0.85
_ROUNDS = 4
# Paper shut off by heaps, as in the corners of the photograph, counts from this share of it on.
_LEAST_PIECE = 0.0005
_MOST_FITTED = 8_000
_NO_PAPER = (
    "lay the beads on plain white paper, well apart, in even light, and let the paper fill the photograph"
)


@dataclass(frozen=True, eq=False, slots=True)
class Ground:
    """The paper.

    Parameters
    ----------
    coefficients : ndarray of shape (6, 3)
        Logarithm of the light of bare paper, as a polynomial of second degree in the place.
    sheet : ndarray of shape (h, w), bool
        Where the sheet of paper lies with all that lies on it, in a coarse raster.
    """

    coefficients: NDArray[np.float64]
    sheet: NDArray[np.bool_]

    def paper_light(self, shape: tuple[int, int]) -> Light:
        """Return the light that bare paper would give everywhere, shape (H, W, 3), linear.

        Parameters
        ----------
        shape : tuple of int
            Rows and columns of a raster over the whole photograph.
        """
        rows, columns = shape
        y, x = _axis(rows)[:, None], _axis(columns)[None, :]
        light = np.empty((rows, columns, 3), np.float32)
        for channel, (one, of_x, of_y, of_xx, of_xy, of_yy) in enumerate(self.coefficients.T):
            light[..., channel] = np.exp(one + x * (of_x + of_xx * x + of_xy * y) + y * (of_y + of_yy * y))
        return light


def find_ground(photograph: Photograph) -> Ground:
    """Return the paper of a photograph.

    Parameters
    ----------
    photograph : Photograph
        The photograph.

    Raises
    ------
    PictureError
        There is no plain paper in it, or the paper is burnt out.
    """
    from skimage.measure import label
    from skimage.morphology import convex_hull_image

    light, step = coarse(photograph.light, _PIXELS)
    paper = _lightest_plain(light, photograph.name)
    rows, columns = light.shape[:2]
    burnt = (
        photograph.burnt[: rows * step, : columns * step].reshape(rows, step, columns, step).mean(axis=(1, 3))
    )
    if (burnt[paper] > 0.5).mean() > _MOST_BURNT:
        raise PictureError(
            f"{photograph.name}: the paper is burnt out",
            "expose darker: touch the paper on the screen of the camera and turn the light down until it is"
            " a light grey",
        )
    sure = paper & (burnt < 0.5)
    logarithm = np.log(np.maximum(light, 1e-4))
    terms = _terms(rows, columns)
    near = sure
    for _ in range(_ROUNDS):
        coefficients = _fitted(terms, logarithm, near)
        off = np.abs(logarithm - terms @ coefficients).max(axis=2)
        near = (off < _NEAR) & (burnt < 0.5)
    if near[sure].mean() < _LEAST_NEAR:
        raise PictureError(f"{photograph.name}: no plain paper found", _NO_PAPER)
    regions = label(near | (paper & (burnt >= 0.5)), connectivity=1)  # type: ignore[no-untyped-call]
    sizes = np.bincount(regions.ravel())
    large = sizes >= _LEAST_PIECE * regions.size
    large[0] = False
    return Ground(coefficients, np.asarray(convex_hull_image(large[regions]), np.bool_))  # type: ignore[no-untyped-call]


def lightness(light: Light) -> NDArray[np.float32]:
    """Return CIE lightness of linear light, shape (..., 3), without the straight part near black."""
    luminance = light @ XYZ_OF_LINEAR[1].astype(np.float32)
    return np.asarray(116 * np.cbrt(luminance) - 16, np.float32)


def _lightest_plain(light: Light, name: str) -> NDArray[np.bool_]:
    """Return the lightest of the large plain areas."""
    from scipy.ndimage import gaussian_gradient_magnitude
    from skimage.measure import label

    light_of = lightness(light)
    plain = gaussian_gradient_magnitude(light_of, _SPREAD_PX) < _PLAIN
    regions = label(plain, connectivity=1)  # type: ignore[no-untyped-call]
    sizes = np.bincount(regions.ravel())
    sizes[0] = 0
    large = np.flatnonzero(sizes >= _LEAST_SHARE * regions.size)
    if not len(large):
        raise PictureError(f"{name}: no plain paper found", _NO_PAPER)
    levels = [float(np.median(light_of[regions == region])) for region in large]
    best = int(np.argmax(levels))
    paper = regions == large[best]
    luminance = light @ XYZ_OF_LINEAR[1].astype(np.float32)
    lighter = (luminance > _LIGHTER * np.percentile(luminance[paper], 90)).mean()
    if levels[best] < _LEAST_LIGHTNESS or lighter > _MOST_LIGHTER:
        raise PictureError(f"{name}: no plain paper found", _NO_PAPER)
    return np.asarray(paper, bool)


def _axis(count: int) -> NDArray[np.float64]:
    """Return the middles of pixels along an edge that goes from -1 to 1."""
    return (np.arange(count) + 0.5) / count * 2 - 1


def _terms(rows: int, columns: int) -> NDArray[np.float64]:
    """Return the terms of the polynomial at each place, shape (rows, columns, 6)."""
    x, y = np.meshgrid(_axis(columns), _axis(rows))
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)


def _fitted(terms: NDArray[np.float64], logarithm: Light, where: NDArray[np.bool_]) -> NDArray[np.float64]:
    known, values = terms[where], logarithm[where]
    step = max(1, len(known) // _MOST_FITTED)
    return np.asarray(np.linalg.lstsq(known[::step], values[::step], rcond=None)[0])
