"""How different two pictures look from a distance: S-CIELAB.

Zhang, Wandell (1997), "A spatial extension of CIELAB for digital color-image reproduction", Journal of the
Society for Information Display 5(1), 61-63 (first at the SID Symposium 1996). Each picture is blurred as the
eye blurs, in three opponent channels that are blurred unlike, and then compared point by point. They compared
by CIE 1976; here it is by CIEDE2000, as in Johnson, Fairchild (2003), "A top down description of S-CIELAB and
CIEDE2000", Color Research & Application 28(6), 425-435 (from memory), for CIE 1976 makes far too much of
differences between strong colours. On large even patches it is the CIEDE2000 difference.
"""

import math

import numpy as np
from numpy.typing import NDArray

from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import XYZ_OF_LINEAR, xyz_to_lab

# Luminance, red-green and blue-yellow of XYZ: Poirson, Wandell (1993), as given by Zhang and Wandell, but for
# a misprint: they have -0.077 in red-green, by which that channel would hold much of the luminance. It is
# positive in their program and in any channel of L cones against M cones; see the tests.
OPPONENT_OF_XYZ = np.array([[0.279, 0.720, -0.107], [-0.449, 0.290, 0.077], [0.086, -0.590, 0.501]])
# Their table 1: for each channel weights w and spreads s in degrees of visual angle of a sum of Gaussians
# w k exp(-(x^2 + y^2) / s^2), of which each and then the sum is scaled to a volume of 1.
FILTERS = (
    ((0.921, 0.0283), (0.105, 0.133), (-0.108, 4.336)),
    ((0.531, 0.0392), (0.330, 0.494)),
    ((0.488, 0.0536), (0.371, 0.386)),
)
OPPONENT_OF_LINEAR = OPPONENT_OF_XYZ @ XYZ_OF_LINEAR
XYZ_OF_OPPONENT = np.linalg.inv(OPPONENT_OF_XYZ)
_BLOCK_PIXELS = 1 << 14

VIEW_DISTANCE_M = 1.0
"""From how far a piece is looked at, unless somebody says otherwise. Our choice, no source."""


def pixels_per_degree(pixel_mm: float, distance_mm: float) -> float:
    """Return how many pixels one degree of visual angle spans."""
    return distance_mm * math.tan(math.radians(1)) / pixel_mm


def seen(linear: NDArray[np.floating], per_degree: float) -> NDArray[np.float32]:
    """Return a picture in CIELAB as the eye blurs it.

    Parameters
    ----------
    linear : ndarray of shape (H, W, 3)
        Linear sRGB. Beyond its edges it goes on as its mirror image.
    per_degree : float
        Pixels in a degree of visual angle, from `pixels_per_degree`.

    Returns
    -------
    ndarray of shape (H, W, 3), float32
    """
    from scipy.fft import dctn, idctn

    wide = linear.astype(np.float32, copy=False)
    blurred = np.stack([wide @ row for row in OPPONENT_OF_LINEAR.astype(np.float32)])
    for channel, gaussians in enumerate(FILTERS):
        # A convolution with an even kernel under mirrored edges is a product under the cosine transform;
        # unlike sampled kernels this holds for spreads below a pixel and wider than the picture.
        passed = _passed(linear.shape[:2], gaussians, per_degree)
        passed *= dctn(blurred[channel], norm="ortho")
        blurred[channel] = idctn(passed, norm="ortho")
    lab = np.empty(linear.shape, np.float32)
    rows = max(1, _BLOCK_PIXELS // linear.shape[1])
    for start in range(0, len(lab), rows):
        block = np.moveaxis(blurred[:, start : start + rows], 0, -1)
        # The broad negative lobe can leave less than no light where dark meets bright.
        lab[start : start + rows] = xyz_to_lab(np.maximum(block @ XYZ_OF_OPPONENT.T, 0))
    return lab


def _passed(
    shape: tuple[int, ...], gaussians: tuple[tuple[float, float], ...], per_degree: float
) -> NDArray[np.float32]:
    """Return the share of each wave of the cosine transform that a channel's filter lets through, (H, W)."""
    total = sum(weight for weight, _ in gaussians)
    passed = np.zeros(shape, np.float32)
    for weight, spread in gaussians:
        # exp(-x^2 / s^2) has the transform exp(-(pi f s)^2), and wave k of n has f = k / (2 n).
        down, right = (
            np.exp(-((np.pi * np.arange(n) / (2 * n) * spread * per_degree) ** 2)).astype(np.float32)
            for n in shape
        )
        passed += np.float32(weight / total) * np.outer(down, right)
    return passed


def scielab(
    linear_a: NDArray[np.floating], linear_b: NDArray[np.floating], per_degree: float
) -> NDArray[np.float64]:
    """Return the S-CIELAB difference of two pictures (H, W, 3) in linear sRGB at each point, (H, W)."""
    return difference(seen(linear_a, per_degree), seen(linear_b, per_degree))


def difference(seen_a: NDArray[np.floating], seen_b: NDArray[np.floating]) -> NDArray[np.float64]:
    """Return the CIEDE2000 difference of what is seen, arrays (..., 3) in CIELAB, some at a time."""
    a, b = seen_a.reshape(-1, 3), seen_b.reshape(-1, 3)
    parts = [
        ciede2000(a[start : start + _BLOCK_PIXELS], b[start : start + _BLOCK_PIXELS])
        for start in range(0, len(a), _BLOCK_PIXELS)
    ]
    return np.concatenate(parts).reshape(seen_a.shape[:-1])
