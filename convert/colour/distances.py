"""Colour differences by name: CIEDE2000, and three older ones for comparison.

CIE94 and CMC weigh a difference by the chroma and hue of one of the two colours, the standard. The standard
is the first argument: the colour the picture asks for; the bead offered for it is the sample.

All but that of 1976 come with a factor by which a difference in lightness is divided, k_L or l. Here it is
asked for as `lightness`, by how much that difference weighs more than in the formula as it is mostly used.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import ArrayLike, NDArray

from convert.colour.ciede2000 import ciede2000
from convert.errors import ConvertError
from convert.settings.colour import check_lightness


@dataclass(frozen=True)
class Distance:
    """A colour difference as it is asked for.

    Parameters
    ----------
    name : str
        A name of `DISTANCES`.
    formula : callable
        The difference of arrays (..., 3) that broadcast, CIELAB of the standard and of the sample.
    lightness : float
        How much lightness weighs; the formula knows it.
    """

    name: str
    formula: Callable[..., NDArray[np.float64]]
    lightness: float = 1.0

    def __call__(self, standard: ArrayLike, sample: ArrayLike) -> NDArray[np.float64]:
        """Return the difference of arrays (..., 3) that broadcast."""
        return self.formula(standard, sample)

    @property
    def bounded(self) -> bool:
        """Whether `convert.colour.bounds.lower_bound` holds for it."""
        return self.name == "ciede2000"


def cie76(standard: ArrayLike, sample: ArrayLike) -> NDArray[np.float64]:
    """Return the Euclidean distance in CIELAB (CIE 15) of arrays (..., 3) that broadcast."""
    d_l, d_a, d_b, _, _ = _parts(standard, sample)
    difference: NDArray[np.float64] = np.sqrt(d_l * d_l + d_a * d_a + d_b * d_b)
    return difference


def cie94(standard: ArrayLike, sample: ArrayLike, lightness: float = 1.0) -> NDArray[np.float64]:
    """Return the CIE94 difference with the weights for graphic arts (CIE 116-1995), arrays (..., 3).

    k_L = 1 / lightness, K_1 = 0.045, K_2 = 0.015.
    """
    d_l, d_a, d_b, chroma, d_c = _parts(standard, sample)
    d_h_squared = np.maximum(d_a * d_a + d_b * d_b - d_c * d_c, 0)
    difference: NDArray[np.float64] = np.sqrt(
        (lightness * d_l) ** 2 + (d_c / (1 + 0.045 * chroma)) ** 2 + d_h_squared / (1 + 0.015 * chroma) ** 2
    )
    return difference


def cmc(standard: ArrayLike, sample: ArrayLike, lightness: float = 1.0) -> NDArray[np.float64]:
    """Return the CMC (l:c) difference of arrays (..., 3) with l:c = 2 / lightness : 1.

    Clarke, McDonald, Rigg (1984), Journal of the Society of Dyers and Colourists 100(4), 128-132. 2:1 are
    its weights for acceptability, whether a sample will do in place of the standard, which is what is asked
    of a bead; 1:1 are those for telling two colours apart.
    """
    d_l, d_a, d_b, chroma, d_c = _parts(standard, sample)
    standard = np.asarray(standard, dtype=np.float64)
    l_standard = standard[..., 0]
    hue = np.arctan2(standard[..., 2], standard[..., 1])
    degrees = np.degrees(hue) % 360
    t = np.where(
        (degrees >= 164) & (degrees <= 345),
        0.56 + np.abs(0.2 * np.cos(hue + np.radians(168))),
        0.36 + np.abs(0.4 * np.cos(hue + np.radians(35))),
    )
    fourth = chroma**4
    f = np.sqrt(fourth / (fourth + 1900))
    s_l = np.where(l_standard < 16, 0.511, 0.040975 * l_standard / (1 + 0.01765 * l_standard))
    s_c = 0.0638 * chroma / (1 + 0.0131 * chroma) + 0.638
    s_h = s_c * (f * t + 1 - f)
    d_h_squared = np.maximum(d_a * d_a + d_b * d_b - d_c * d_c, 0)
    difference: NDArray[np.float64] = np.sqrt(
        (lightness * d_l / (2 * s_l)) ** 2 + (d_c / s_c) ** 2 + d_h_squared / s_h**2
    )
    return difference


CIEDE2000 = Distance("ciede2000", ciede2000)
DISTANCES: dict[str, Distance] = {
    one.name: one
    for one in (CIEDE2000, Distance("cie94", cie94), Distance("cmc", cmc), Distance("cie76", cie76))
}


def distance_named(name: str, lightness: float = 1.0) -> Distance:
    """Return the difference of a name in `DISTANCES`.

    Parameters
    ----------
    name : str
        The name.
    lightness : float
        How much lightness weighs: 1 as usual, 2 twice as much.

    Raises
    ------
    ConvertError
        There is none of that name, it has no factor for lightness, or that is out of range.
    """
    if name not in DISTANCES:
        raise ConvertError(f"there is no colour distance {name!r}", f"choose one of {', '.join(DISTANCES)}")
    check_lightness(name, lightness)
    if lightness == 1:
        return DISTANCES[name]
    return Distance(name, partial(DISTANCES[name].formula, lightness=lightness), lightness)


def _parts(standard: ArrayLike, sample: ArrayLike) -> tuple[NDArray[np.float64], ...]:
    """Return the differences in L*, a* and b*, the chroma of the standard, and the difference in chroma."""
    standard, sample = np.asarray(standard, dtype=np.float64), np.asarray(sample, dtype=np.float64)
    chroma = np.hypot(standard[..., 1], standard[..., 2])
    d_c = np.hypot(sample[..., 1], sample[..., 2]) - chroma
    d_l, d_a, d_b = np.moveaxis(sample - standard, -1, 0)
    return d_l, d_a, d_b, chroma, d_c
