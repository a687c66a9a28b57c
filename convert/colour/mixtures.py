"""Which two bead colours, woven among each other, come nearest to a colour that the palette lacks.

From afar the light of neighbouring beads adds up, so that mixtures are reckoned in linear light.
"""

import numpy as np
from numpy.typing import NDArray

from convert.colour.lab import linear_to_lab

# How much of what a second colour gains is not counted where it is sparse and so stands out.
_CONTRAST = 0.8
_MIDDLE_GREY = 0.2
_SAME = 1e-6
_CHUNK = 1 << 16


def best_mixtures(
    wanted: NDArray[np.float64],
    first: NDArray[np.float64],
    palette: NDArray[np.float64],
    lightness: float = 1.0,
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Return for each colour the entry that best mixes with its first one, and its share of the mixture.

    With a the first colour, b the second and t its share, the mixture a + t (b - a) is to come near the
    wanted colour c. Light is measured in steps of CIELAB at a middle grey: the steps are wider or narrower
    elsewhere, but entries are only compared with each other, for one colour at a time.

    Parameters
    ----------
    wanted, first : ndarray of shape (M, 3), float64
        Linear sRGB.
    palette : ndarray of shape (K, 3), float64
        Linear sRGB of the entries.
    lightness : float
        How much steps of lightness weigh, see `convert.colour.distances`.
    """
    grey = np.full(3, _MIDDLE_GREY)
    steps = (linear_to_lab(grey + 1e-6 * np.eye(3)) - linear_to_lab(grey)) / 1e-6 * (lightness, 1, 1)
    wanted, first, palette = wanted @ steps, first @ steps, palette @ steps
    palette_square = np.einsum("kc,kc->k", palette, palette)
    second = np.empty(len(wanted), np.intp)
    share = np.empty(len(wanted))
    chunk = max(1, _CHUNK // len(palette))
    for rows in (slice(start, start + chunk) for start in range(0, len(wanted), chunk)):
        a, off = first[rows], wanted[rows] - first[rows]
        # (c - a) . (b - a) and (b - a) . (b - a)
        along = off @ palette.T - np.einsum("mc,mc->m", off, a)[:, None]
        square = palette_square - 2 * a @ palette.T + np.einsum("mc,mc->m", a, a)[:, None]
        itself = square < _SAME
        part = np.clip(along / np.where(itself, 1, square), 0, 1)
        # |c - a - t (b - a)|^2 less |c - a|^2, which is the same for all entries: -t^2 |b - a|^2 at the
        # best t. A part of it is taken back, most for a small share of a colour that is far off.
        cost = part * (part * square - 2 * along) + _CONTRAST * (part * (1 - part)) ** 2 * square
        second[rows] = np.where(itself, np.inf, cost).argmin(axis=1)
        share[rows] = np.take_along_axis(part, second[rows][:, None], axis=1)[:, 0]
    return second, share
