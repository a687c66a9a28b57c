"""The CIEDE2000 colour difference.

Sharma, Wu, Dalal (2005), "The CIEDE2000 color-difference formula: implementation notes, supplementary
test data, and mathematical observations", Color Research & Application 30(1), 21-30. Numbers in
brackets are the equations of that paper. Hue angles are kept as unit vectors, so that of all
trigonometry one arctangent is left.
"""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

_25_TO_7 = 25.0**7
_COS_30, _SIN_30 = math.cos(math.radians(30)), math.sin(math.radians(30))
_COS_6, _SIN_6 = math.cos(math.radians(6)), math.sin(math.radians(6))
_COS_63, _SIN_63 = math.cos(math.radians(63)), math.sin(math.radians(63))


def chroma_ratio(chroma: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return sqrt(C^7 / (C^7 + 25^7)), in (4) and (17): of mean chroma C, any shape, from 0 to 1."""
    cubed = chroma * chroma * chroma
    seventh = cubed * cubed * chroma
    ratio: NDArray[np.float64] = np.sqrt(seventh / (seventh + _25_TO_7))
    return ratio


def hue_weight(cos: NDArray[np.float64], sin: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return T (15) of a mean hue given by its cosine and sine, arrays of one shape, any."""
    cos_2, sin_2 = cos * cos - sin * sin, 2 * cos * sin
    cos_3, sin_3 = cos * cos_2 - sin * sin_2, sin * cos_2 + cos * sin_2
    cos_4, sin_4 = cos_2 * cos_2 - sin_2 * sin_2, 2 * cos_2 * sin_2
    return (
        1
        - 0.17 * (cos * _COS_30 + sin * _SIN_30)
        + 0.24 * cos_2
        + 0.32 * (cos_3 * _COS_6 - sin_3 * _SIN_6)
        - 0.20 * (cos_4 * _COS_63 + sin_4 * _SIN_63)
    )


def ciede2000(lab_a: ArrayLike, lab_b: ArrayLike, lightness: float = 1.0) -> NDArray[np.float64]:
    """Return the CIEDE2000 difference of two sets of colours, with k_C = k_H = 1.

    Parameters
    ----------
    lab_a, lab_b : arrays of shapes (..., 3) that broadcast
        CIELAB. For all pairs of N and K colours pass ``lab_a[:, None]`` and ``lab_b[None]``.
    lightness : float
        How much a difference in lightness weighs, 1 / k_L. The parametric factors k_L, k_C and k_H of CIE
        142-2001 fit the formula to what is looked at: all are 1 under its reference conditions, and textiles
        are judged with k_L = 2 (from memory).

    Returns
    -------
    ndarray of the broadcast shape without its last axis, float64
    """
    lab_a, lab_b = np.asarray(lab_a, dtype=np.float64), np.asarray(lab_b, dtype=np.float64)
    l_1, a_1, b_1 = lab_a[..., 0], lab_a[..., 1], lab_a[..., 2]
    l_2, a_2, b_2 = lab_b[..., 0], lab_b[..., 1], lab_b[..., 2]

    chroma_mean = (np.sqrt(a_1 * a_1 + b_1 * b_1) + np.sqrt(a_2 * a_2 + b_2 * b_2)) * 0.5  # (2), (3)
    stretch = 1.5 - 0.5 * chroma_ratio(chroma_mean)  # 1 + G (4)
    a_1 = stretch * a_1  # (5)
    a_2 = stretch * a_2
    c_1 = np.sqrt(a_1 * a_1 + b_1 * b_1)  # (6)
    c_2 = np.sqrt(a_2 * a_2 + b_2 * b_2)

    dot = a_1 * a_2 + b_1 * b_2
    cross = a_1 * b_2 - a_2 * b_1
    # The turn from the first hue to the second, the short way; of two exactly opposite hues (7), (10)
    # the smaller angle comes first, and that is the one with b > 0.
    first_is_smaller = (b_1 > 0) | ((b_1 == 0) & (a_1 > 0))
    turn = np.where((cross > 0) | ((cross == 0) & first_is_smaller), 1.0, -1.0)
    acute = dot > 0

    d_l = l_2 - l_1  # (8)
    d_c = c_2 - c_1  # (9)
    # (11) without angles: 2 sqrt(C1 C2) sin(dh / 2) = sqrt(2 (C1 C2 - dot)). That difference cancels
    # for like hues, where the equal form cross * sqrt(2 / (C1 C2 + dot)) keeps every digit.
    product = c_1 * c_2
    opening = np.sqrt(2 * (product + np.abs(dot)))
    d_h = np.where(acute, 2 * cross / np.where(acute, opening, 1.0), turn * opening)

    # (14) The mean hue bisects the two; for obtuse angles it is at right angles to their difference,
    # which does not cancel. Without chroma in either colour d_h is 0 and the mean hue is of no effect.
    x_1, y_1, x_2, y_2 = a_1 * c_2, b_1 * c_2, a_2 * c_1, b_2 * c_1
    cos = np.where(acute, x_1 + x_2, turn * (y_2 - y_1))
    sin = np.where(acute, y_1 + y_2, turn * (x_1 - x_2))
    length = np.sqrt(cos * cos + sin * sin)
    length = np.where(length > 0, length, 1.0)
    cos, sin = cos / length, sin / length

    from_50 = ((l_1 + l_2) * 0.5 - 50) ** 2  # (12)
    c_mean = (c_1 + c_2) * 0.5  # (13)
    hue = np.arctan2(sin, cos)
    hue = np.where(hue < 0, hue + 2 * np.pi, hue)
    # (16) The exponent takes the hue from 0 to 360 degrees as it stands: it is not wrapped about 275.
    rotation = np.exp(-(((hue - np.radians(275)) / np.radians(25)) ** 2)) * np.radians(60)  # 2 d_theta
    s_l = 1 + 0.015 * from_50 / np.sqrt(20 + from_50)  # (18)
    s_c = 1 + 0.045 * c_mean  # (19)
    s_h = 1 + 0.015 * c_mean * hue_weight(cos, sin)  # (20)
    r_t = -2 * chroma_ratio(c_mean) * np.sin(rotation)  # (17), (21)

    d_l, d_c, d_h = d_l * lightness / s_l, d_c / s_c, d_h / s_h
    squared = d_l * d_l + d_c * d_c + d_h * d_h + r_t * d_c * d_h  # (22)
    # Rounding can leave the quadratic form a hair below zero.
    difference: NDArray[np.float64] = np.sqrt(np.maximum(squared, 0))
    return difference
