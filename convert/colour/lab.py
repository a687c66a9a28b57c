"""CIELAB (CIE 15:2004) under D65 and the 2-degree observer: the one conversion every other module uses.

The constants are digit for digit those of scikit-image (six-digit sRGB primaries, white point of
ASTM E308), which makes its `rgb2lab` an exact oracle for the tests.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from convert.colour.srgb import decode

XYZ_OF_LINEAR = np.array(
    [
        [0.412453, 0.357580, 0.180423],
        [0.212671, 0.715160, 0.072169],
        [0.019334, 0.119193, 0.950227],
    ]
)
WHITE = np.array([0.95047, 1.0, 1.08883])
# Here XYZ is only used relative to the white, so the division is folded into the matrices.
_RELATIVE_OF_LINEAR = XYZ_OF_LINEAR / WHITE[:, np.newaxis]
_LINEAR_OF_RELATIVE = np.linalg.inv(_RELATIVE_OF_LINEAR)

# f(t) is a cube root, and near black the straight line that scikit-image rounds to these digits.
_LINE_ENDS = 0.008856
_LINE_SLOPE = 7.787
_LINE_AT_ZERO = 16 / 116
_LINE_ENDS_F = 0.2068966


def linear_to_lab(linear: ArrayLike) -> NDArray[np.float64]:
    """Return CIELAB of linear sRGB.

    Parameters
    ----------
    linear : array of shape (..., 3), linear sRGB

    Returns
    -------
    ndarray of shape (..., 3), float64
        L* in [0, 100], a*, b*.
    """
    return _lab_of_relative(np.asarray(linear, dtype=np.float64) @ _RELATIVE_OF_LINEAR.T)


def xyz_to_lab(xyz: ArrayLike) -> NDArray[np.float64]:
    """Return CIELAB of XYZ, of which Y is 1 for white, shape (..., 3)."""
    return _lab_of_relative(np.asarray(xyz, dtype=np.float64) / WHITE)


def _lab_of_relative(relative: NDArray[np.float64]) -> NDArray[np.float64]:
    f = np.where(relative > _LINE_ENDS, np.cbrt(relative), _LINE_SLOPE * relative + _LINE_AT_ZERO)
    fx, fy, fz = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)], axis=-1)


def lab_to_linear(lab: ArrayLike) -> NDArray[np.float64]:
    """Return linear sRGB of CIELAB, unclipped: colours outside the gamut leave [0, 1].

    Parameters
    ----------
    lab : array of shape (..., 3)

    Returns
    -------
    ndarray of shape (..., 3), float64
    """
    lab = np.asarray(lab, dtype=np.float64)
    fy = (lab[..., 0] + 16) / 116
    f = np.stack([fy + lab[..., 1] / 500, fy, fy - lab[..., 2] / 200], axis=-1)
    relative = np.where(f > _LINE_ENDS_F, f**3, (f - _LINE_AT_ZERO) / _LINE_SLOPE)
    return np.asarray(relative @ _LINEAR_OF_RELATIVE.T)


def srgb_to_lab(encoded: ArrayLike) -> NDArray[np.float64]:
    """Return CIELAB of encoded sRGB, uint8 or float in [0, 1], shape (..., 3)."""
    return linear_to_lab(decode(encoded))


def lab_to_lch(lab: ArrayLike) -> NDArray[np.float64]:
    """Return lightness, chroma and hue in radians, in (-pi, pi], of CIELAB of shape (..., 3)."""
    lab = np.asarray(lab, dtype=np.float64)
    lightness, a, b = lab[..., 0], lab[..., 1], lab[..., 2]
    return np.stack([lightness, np.hypot(a, b), np.arctan2(b, a)], axis=-1)
