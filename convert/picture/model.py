"""A picture, ready to be sampled."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, eq=False, slots=True)
class Picture:
    """A picture, ready to be sampled. Arrays are read-only.

    Parameters
    ----------
    name : str
        What to call it: the file's name without its ending.
    pixels : ndarray of shape (H, W, 3), uint8
        Encoded sRGB.
    alpha : ndarray of shape (H, W), uint8, or None
        Opacity; None where all is opaque.
    notes : tuple of str
        What was done that the user should know.
    adjustments : tuple of str
        How it was turned, cropped and toned, in words.
    """

    name: str
    pixels: NDArray[np.uint8]
    alpha: NDArray[np.uint8] | None = None
    notes: tuple[str, ...] = ()
    adjustments: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        self.pixels.flags.writeable = False
        if self.alpha is not None:
            self.alpha.flags.writeable = False

    @property
    def aspect(self) -> float:
        """Width divided by height."""
        height, width = self.pixels.shape[:2]
        return float(width / height)
