"""Colour differences by name: CIEDE2000, and three older ones for comparison.

CIE94 and CMC weigh a difference by the chroma and hue of one of the two colours, the standard. The standard
is the first argument: the colour the picture asks for; the bead offered for it is the sample.
"""

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from convert.colour.ciede2000 import ciede2000
from convert.errors import ConvertError

Distance = Callable[[Any, Any], NDArray[np.float64]]


def cie76(standard: ArrayLike, sample: ArrayLike) -> NDArray[np.float64]:
    """Return the Euclidean distance in CIELAB (CIE 15) of arrays (..., 3) that broadcast."""
    d_l, d_a, d_b, _, _ = _parts(standard, sample)
    difference: NDArray[np.float64] = np.sqrt(d_l * d_l + d_a * d_a + d_b * d_b)
    return difference


def cie94(standard: ArrayLike, sample: ArrayLike) -> NDArray[np.float64]:
    """Return the CIE94 difference with the weights for graphic arts (CIE 116-1995), arrays (..., 3).

    k_L = 1, K_1 = 0.045, K_2 = 0.015.
    """
    d_l, d_a, d_b, chroma, d_c = _parts(standard, sample)
    d_h_squared = np.maximum(d_a * d_a + d_b * d_b - d_c * d_c, 0)
    difference: NDArray[np.float64] = np.sqrt(
        d_l * d_l + (d_c / (1 + 0.045 * chroma)) ** 2 + d_h_squared / (1 + 0.015 * chroma) ** 2
    )
    return difference


def cmc(standard: ArrayLike, sample: ArrayLike) -> NDArray[np.float64]:
    """Return the CMC (l:c) difference of arrays (..., 3) with l:c = 2:1.

    Clarke, McDonald, Rigg (1984), Journal of the Society of Dyers and Colourists 100(4), 128-132. 2:1 are
    its weights for acceptability, whether a sample will do in place of the standard, which is what is asked
    of a bead; 1:1 are those for telling two colours apart.
    """
    d_l, d_a, d_b, chroma, d_c = _parts(standard, sample)
    standard = np.asarray(standard, dtype=np.float64)
    lightness = standard[..., 0]
    hue = np.arctan2(standard[..., 2], standard[..., 1])
    degrees = np.degrees(hue) % 360
    t = np.where(
        (degrees >= 164) & (degrees <= 345),
        0.56 + np.abs(0.2 * np.cos(hue + np.radians(168))),
        0.36 + np.abs(0.4 * np.cos(hue + np.radians(35))),
    )
    fourth = chroma**4
    f = np.sqrt(fourth / (fourth + 1900))
    s_l = np.where(lightness < 16, 0.511, 0.040975 * lightness / (1 + 0.01765 * lightness))
    s_c = 0.0638 * chroma / (1 + 0.0131 * chroma) + 0.638
    s_h = s_c * (f * t + 1 - f)
    d_h_squared = np.maximum(d_a * d_a + d_b * d_b - d_c * d_c, 0)
    difference: NDArray[np.float64] = np.sqrt(
        (d_l / (2 * s_l)) ** 2 + (d_c / s_c) ** 2 + d_h_squared / s_h**2
    )
    return difference


DISTANCES: dict[str, Distance] = {"ciede2000": ciede2000, "cie94": cie94, "cmc": cmc, "cie76": cie76}


def distance_named(name: str) -> Distance:
    """Return the difference of a name in `DISTANCES`.

    Raises
    ------
    ConvertError
        There is none of that name.
    """
    if name not in DISTANCES:
        raise ConvertError(f"there is no colour distance {name!r}", f"choose one of {', '.join(DISTANCES)}")
    return DISTANCES[name]


def _parts(standard: ArrayLike, sample: ArrayLike) -> tuple[NDArray[np.float64], ...]:
    """Return the differences in L*, a* and b*, the chroma of the standard, and the difference in chroma."""
    standard, sample = np.asarray(standard, dtype=np.float64), np.asarray(sample, dtype=np.float64)
    chroma = np.hypot(standard[..., 1], standard[..., 2])
    d_c = np.hypot(sample[..., 1], sample[..., 2]) - chroma
    d_l, d_a, d_b = np.moveaxis(sample - standard, -1, 0)
    return d_l, d_a, d_b, chroma, d_c
