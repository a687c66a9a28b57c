"""A lower bound of CIEDE2000 between one colour and all colours of a box in lightness, chroma and hue.

CIEDE2000 is no metric, so nothing here rests on a triangle inequality: every term of the formula is
bounded by interval arithmetic over the box. Numbers in brackets are the equations of Sharma, Wu, Dalal
(2005), see `convert.colour.ciede2000`.
"""

import math

import numpy as np
from numpy.typing import NDArray

from convert.colour.ciede2000 import chroma_ratio, hue_weight

Array = NDArray[np.float64]

# Of T (15) the slope is at most .17 + 2 (.24) + 3 (.32) + 4 (.20), the value 1 + .17 + .24 + .32 + .20.
_HUE_WEIGHT_SLOPE = 2.41
_HUE_WEIGHT_MOST = 1.93
_ROUNDING = 1e-9


def lower_bound(box: Array, lch: Array, lightness: float = 1.0) -> Array:
    """Return a number no colour of the box comes below in CIEDE2000 difference from a colour.

    Parameters
    ----------
    box : ndarray of shape (..., 3, 2)
        Lower and upper end of lightness, chroma and hue (radians; the upper end may pass pi, the two
        ends are at most 2 pi apart).
    lch : ndarray of shape (..., 3)
        Lightness, chroma and hue; broadcasts with `box`.
    lightness : float
        How much a difference in lightness weighs in the difference, see `convert.colour.ciede2000.ciede2000`.

    Returns
    -------
    ndarray of the broadcast shape, without the last axes
    """
    chroma_low, chroma_high = box[..., 1, 0], box[..., 1, 1]
    hue_low, hue_high = box[..., 2, 0], box[..., 2, 1]
    chroma, hue = lch[..., 1], lch[..., 2]

    # (4) G falls as mean chroma rises.
    g_high = 0.5 - 0.5 * chroma_ratio((chroma_low + chroma) * 0.5)
    g_low = 0.5 - 0.5 * chroma_ratio((chroma_high + chroma) * 0.5)

    # (5), (6) C' = C sqrt(1 + (2 G + G^2) cos^2 h)
    cos2_low, cos2_high = _cos_squared_range(hue_low, hue_high)
    cos2 = np.cos(hue) ** 2
    gain_low, gain_high = (2 + g_low) * g_low, (2 + g_high) * g_high
    c_1_low = chroma_low * np.sqrt(1 + gain_low * cos2_low)
    c_1_high = chroma_high * np.sqrt(1 + gain_high * cos2_high)
    c_2_low = chroma * np.sqrt(1 + gain_low * cos2)
    c_2_high = chroma * np.sqrt(1 + gain_high * cos2)
    c_mean_high = (c_1_high + c_2_high) * 0.5

    # (7) h' rises with h, and at a given h it moves one way only as G grows: ends are at ends.
    start_1 = hue_low + np.minimum(_hue_shift(hue_low, g_low), _hue_shift(hue_low, g_high))
    end_1 = hue_high + np.maximum(_hue_shift(hue_high, g_low), _hue_shift(hue_high, g_high))
    shift_low, shift_high = _hue_shift(hue, g_low), _hue_shift(hue, g_high)
    centre_2 = hue + (shift_low + shift_high) * 0.5
    slack = (end_1 - start_1) * 0.5 + np.abs(shift_high - shift_low) * 0.5
    # From the middle of the box to the colour, the short way; the true turn differs by at most `slack`.
    turn = _wrapped(centre_2 - (start_1 + end_1) * 0.5)
    apart = np.abs(turn)
    free = apart + slack >= math.pi  # the turn may go the other way round: the mean hue can be anything
    from_mean = slack * 0.5
    mean_hue = centre_2 - turn * 0.5

    weight = np.minimum(
        hue_weight(np.cos(mean_hue), np.sin(mean_hue)) + _HUE_WEIGHT_SLOPE * from_mean, _HUE_WEIGHT_MOST
    )
    s_h = 1 + 0.015 * c_mean_high * np.where(free, _HUE_WEIGHT_MOST, weight)  # (20)
    s_c = 1 + 0.045 * c_mean_high  # (19)

    least_turn = np.maximum(apart - slack, 0)
    d_c = np.maximum(np.maximum(c_1_low - c_2_high, c_2_low - c_1_high), 0) / s_c
    d_h = 2 * np.sqrt(c_1_low * c_2_low) * np.sin(least_turn * 0.5) / s_h  # (11)

    # (16), (17), (21) R_T = -r, with r largest at the mean hue nearest to 275 degrees.
    from_275 = np.maximum(np.abs(_wrapped(mean_hue - math.radians(275))) - from_mean, 0)
    from_275 = np.where(free, 0, from_275) / math.radians(25)
    r = 2 * chroma_ratio(c_mean_high) * np.sin(math.radians(60) * np.exp(-(from_275**2)))
    # Where chroma and hue surely differ in opposite senses the rotation term only adds.
    chroma_sense = np.where(c_2_low > c_1_high, 1, -1) * (d_c > 0)
    hue_sense = np.where(turn > 0, 1, -1) * ((least_turn > 0) & ~free)
    r = np.where(chroma_sense * hue_sense < 0, 0, r)

    # Over x >= d_c, y >= d_h the convex form x^2 + y^2 - r x y (r < 2) is least in the corner, or, if its
    # slope there is negative, at the foot of the valley beside it.
    small, large = np.minimum(d_c, d_h), np.maximum(d_c, d_h)
    small = np.maximum(small, r * large * 0.5)
    d_l = lightness * _least_lightness_term(box[..., 0, 0], box[..., 0, 1], lch[..., 0])
    squared = d_l * d_l + small * small + large * large - r * small * large  # (22)
    bound: Array = np.sqrt(np.maximum(squared, 0)) - _ROUNDING
    return bound


def _least_lightness_term(low: Array, high: Array, lightness: Array) -> Array:
    """Return the least (8) / (18); S_L is largest at one end of the range of mean lightness."""
    from_50 = np.maximum(np.abs((low + lightness) * 0.5 - 50), np.abs((high + lightness) * 0.5 - 50)) ** 2
    s_l = 1 + 0.015 * from_50 / np.sqrt(20 + from_50)
    least: Array = np.maximum(np.maximum(low - lightness, lightness - high), 0) / s_l
    return least


def _cos_squared_range(low: Array, high: Array) -> tuple[Array, Array]:
    """Return the ends of cos^2 over ranges of angle, however many axes they cross."""
    at_low, at_high = np.cos(low) ** 2, np.cos(high) ** 2
    crosses_a = np.ceil(low / math.pi) * math.pi <= high
    crosses_b = (np.ceil(low / math.pi - 0.5) + 0.5) * math.pi <= high
    return (
        np.where(crosses_b, 0, np.minimum(at_low, at_high)),
        np.where(crosses_a, 1, np.maximum(at_low, at_high)),
    )


def _hue_shift(hue: Array, g: Array) -> Array:
    """Return h' - h of (7), which is less than 12 degrees either way."""
    cos, sin = np.cos(hue), np.sin(hue)
    shift: Array = -np.arctan(g * sin * cos / (1 + g * cos * cos))
    return shift


def _wrapped(angle: Array) -> Array:
    """Return the angle less whole turns, in [-pi, pi]."""
    wrapped: Array = angle - 2 * math.pi * np.rint(angle / (2 * math.pi))
    return wrapped
