"""A photograph made small enough to work on, as linear light."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.colour.srgb import decode
from convert.picture.model import Picture

# A bead of 2 mm on a sheet of A4 is still ten pixels wide, so that glints and gaps stay apart from its body.
MOST_PIXELS = 2_000_000
_STRIP_PIXELS = 400_000
# Of the byte of a channel; JPEG leaves burnt paper a step or two below the end.
_BURNT = 253

Light = NDArray[np.float32]


@dataclass(frozen=True, eq=False, slots=True)
class Photograph:
    """Linear light of a photograph.

    Parameters
    ----------
    name : str
        What to call it.
    light : ndarray of shape (H, W, 3), float32
        Linear sRGB.
    burnt : ndarray of shape (H, W), bool
        Where a channel is at its end in some pixel of the file.
    notes : tuple of str
        What she should know of how it was read.
    """

    name: str
    light: Light
    burnt: NDArray[np.bool_]
    notes: tuple[str, ...] = ()


def photograph_of(picture: Picture, most_pixels: int = MOST_PIXELS) -> Photograph:
    """Return a picture reduced by a whole number, averaged in linear light; what is transparent is black.

    Parameters
    ----------
    picture : Picture
        The picture.
    most_pixels : int
        How many pixels to keep at most.
    """
    height, width = picture.pixels.shape[:2]
    step = math.ceil(math.sqrt(height * width / most_pixels))
    rows, columns = max(1, height // step), max(1, width // step)
    light = np.empty((rows, columns, 3), np.float32)
    burnt = np.empty((rows, columns), bool)
    at_a_time = max(1, _STRIP_PIXELS // (width * step))
    across = min(step, width)
    for top in range(0, rows, at_a_time):
        bottom = min(top + at_a_time, rows)
        part = np.s_[top * step : min(bottom * step, height), : columns * across]
        strip = picture.pixels[part]
        linear = decode(strip).astype(np.float32)
        if picture.alpha is not None:
            linear *= (picture.alpha[part] / np.float32(255))[..., None]
        blocks = linear.reshape(bottom - top, -1, columns, across, 3)
        light[top:bottom] = blocks.mean(axis=(1, 3))
        burnt[top:bottom] = (
            (strip >= _BURNT).any(axis=2).reshape(bottom - top, -1, columns, across).any(axis=(1, 3))
        )
    return Photograph(picture.name, light, burnt, picture.notes)


def coarse(light: Light, most_pixels: int) -> tuple[Light, int]:
    """Return light reduced further by a whole number, and that number.

    Parameters
    ----------
    light : ndarray of shape (H, W, 3)
        Linear light; what does not fill a block at the right and at the bottom is left out.
    most_pixels : int
        How many pixels to keep at most.
    """
    height, width = light.shape[:2]
    step = min(math.ceil(math.sqrt(height * width / most_pixels)), height, width)
    rows, columns = height // step, width // step
    blocks = light[: rows * step, : columns * step].reshape(rows, step, columns, step, -1)
    return np.asarray(blocks.mean(axis=(1, 3))), step
