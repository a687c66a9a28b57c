"""What of a picture's edges survives in a copy of it.

Edges are those of Canny (1986, "A computational approach to edge detection", IEEE Transactions on Pattern
Analysis and Machine Intelligence 8, 679-698; scikit-image's) in L*, a* or b*. With g the gradient of the
picture in CIELAB there and h that of the copy, both through the same Gaussian, an edge survives if g.h / g.g
is at least 1/2: if the copy keeps half of the contrast in the same direction. Half the contrast is the usual
limit of resolution in optics (MTF50).
"""

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from convert.weave.model import FloatArray

_KEPT_CONTRAST = 0.5
# A step of 10 in L*, a* or b* begins an edge, one of 5 goes on with it.
_BEGINS, _GOES_ON = 10.0, 5.0
_SOBEL_GAIN = 8.0
_FEWEST_EDGES = 8


class Edges:
    """The edges of a picture, found once to be looked for in many copies.

    Parameters
    ----------
    lab : ndarray of shape (H, W, 3), float64
        The picture, CIELAB.
    spreads : tuple of float
        Spreads of the Gaussian in pixels: things finer than the first are not looked at. An edge is judged
        through the widest through which half of its step is still there, if there are several.
    """

    def __init__(self, lab: FloatArray, spreads: tuple[float, ...]) -> None:
        from skimage.feature import canny

        self._spreads = spreads
        # A step of 1 under this Gaussian has this slope, which Canny's Sobel filter takes eightfold.
        slope = _SOBEL_GAIN / (spreads[0] * math.sqrt(2 * math.pi))
        edges = np.zeros(lab.shape[:2], bool)
        for channel in range(3):
            plane = np.ascontiguousarray(lab[..., channel])
            thresholds = {"low_threshold": _GOES_ON * slope, "high_threshold": _BEGINS * slope}
            edges |= canny(plane, spreads[0], **thresholds)  # type: ignore[no-untyped-call]
        self._at = np.nonzero(edges)
        self._spread = np.zeros(len(self._at[0]), np.int64)
        self._gradient = np.zeros((6, len(self._spread)))
        if len(self._spread):
            self._choose_spreads(lab)

    def _choose_spreads(self, lab: FloatArray) -> None:
        finest: FloatArray | None = None
        for number, spread in enumerate(self._spreads):
            gradient = np.stack([plane[self._at] for plane in _gradients(lab, spread)])
            # The height of the step that this slope would be, but for a factor.
            height = np.sqrt((gradient**2).sum(axis=0)) * spread
            finest = height if finest is None else finest
            there = height >= _KEPT_CONTRAST * finest
            self._spread[there] = number
            self._gradient[:, there] = gradient[:, there]

    def kept(self, lab: FloatArray, inside: NDArray[np.bool_]) -> float | None:
        """Return the share of the edges that survive in a copy; None where there are none.

        Parameters
        ----------
        lab : ndarray of shape (H, W, 3), float64
            The copy, CIELAB.
        inside : ndarray of shape (H, W), bool
            Where edges count.
        """
        count = inside[self._at]
        if np.count_nonzero(count) < _FEWEST_EDGES:
            return None
        along = np.zeros(len(self._spread))
        for number in np.unique(self._spread).tolist():
            of_spread = self._spread == number
            at = self._at[0][of_spread], self._at[1][of_spread]
            for plane, own in zip(_gradients(lab, self._spreads[number]), self._gradient, strict=True):
                along[of_spread] += plane[at] * own[of_spread]
        own = (self._gradient**2).sum(axis=0)
        return float((along >= _KEPT_CONTRAST * own)[count].mean())


def _gradients(lab: FloatArray, spread: float) -> Iterator[FloatArray]:
    """Yield the derivatives down and across of each of the three channels under a Gaussian."""
    from scipy.ndimage import gaussian_filter

    for channel in range(3):
        for order in ((1, 0), (0, 1)):
            yield gaussian_filter(lab[..., channel], spread, order, truncate=3)
