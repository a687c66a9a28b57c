"""A picture made symmetric: one half of it decides, the other is its image."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from convert.picture.model import Picture
from convert.settings.design import MirrorSettings, mirror_lines

_AXES = {"across": 1, "down": 0}
_FAR = {"across": "right", "down": "bottom"}
_NEAR = {"across": "left", "down": "top"}


def mirrored(picture: Picture, settings: MirrorSettings) -> Picture:
    """Return a picture whose halves are mirror images about its middle; the same one where none is asked for.

    Parameters
    ----------
    picture : Picture
        The picture.
    settings : MirrorSettings
        Which halves, and which of them decides.
    """
    pixels, alpha, told = picture.pixels, picture.alpha, []
    for line in mirror_lines(settings.mirror):
        far = settings.mirror_from == _FAR[line]
        pixels = _symmetric(pixels, _AXES[line], far=far)
        alpha = None if alpha is None else _symmetric(alpha, _AXES[line], far=far)
        told.append(f"mirrored {line}, the {_FAR[line] if far else _NEAR[line]} half decides")
    if not told:
        return picture
    return replace(picture, pixels=pixels, alpha=alpha, adjustments=(*picture.adjustments, *told))


def _symmetric(values: NDArray[np.uint8], axis: int, *, far: bool) -> NDArray[np.uint8]:
    """Return values of which the near or the far half is repeated backwards in the other."""
    length = values.shape[axis]
    place = np.arange(length)
    decides = np.maximum if far else np.minimum
    return np.asarray(np.take(values, decides(place, length - 1 - place), axis=axis))
