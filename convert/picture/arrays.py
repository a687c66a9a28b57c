"""A picture in an array: which shapes and numbers are understood, and how they become eight bits."""

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from convert.errors import PictureError
from convert.picture.model import Picture

# What is white in arrays of these types.
_WHITE = {"bool": 1.0, "uint8": 255.0, "uint16": 65535.0, "float16": 1.0, "float32": 1.0, "float64": 1.0}
# A picture is taken in strips of about so many pixels, so that memory holds little beside it and the result.
_STRIP_PIXELS = 1_000_000


def picture_of_array(array: NDArray[Any], name: str) -> Picture:
    """Return the picture that an array holds, in pixels of its own.

    Parameters
    ----------
    array : ndarray of shape (H, W) or (H, W, C), bool, uint8, uint16, float16, float32 or float64
        Encoded sRGB from 0 (False) to 255, 65535 or 1 (True); C is 1 for grey, 2 for grey and opacity, 3 for
        colour and 4 for colour and opacity. Opacity is not multiplied into the colours.
    name : str
        What to call it.

    Raises
    ------
    PictureError
        It has values outside that range; `check_is_picture` is for its type and shape.
    """
    values = np.asarray(array)
    white = _WHITE[values.dtype.name]
    if values.dtype.kind == "f":
        check_range(
            values, white, "the array", "scale or clip its values to that range, or give uint8 from 0 to 255"
        )
    values = values if values.ndim == 3 else values[..., None]
    height, width, channels = values.shape
    pixels = np.empty((height, width, 3), np.uint8)
    alpha = None if channels % 2 else np.empty((height, width), np.uint8)
    for rows in strips(height, width):
        strip = eight_bits(values[rows], 0.0, white)
        pixels[rows] = strip[..., :3] if channels > 2 else strip[..., :1]
        if alpha is not None:
            alpha[rows] = strip[..., -1]
    return Picture(name, pixels, None if alpha is None or alpha.min() == 255 else alpha)


def check_is_picture(array: NDArray[Any]) -> None:
    """Raise PictureError if an array has a type or shape that no picture has."""
    if isinstance(array, np.ma.MaskedArray):
        raise PictureError("a masked array is no picture", "fill what is masked: array.filled(0)")
    if array.dtype.name not in _WHITE:
        raise PictureError(
            f"an array of {array.dtype} is no picture",
            "make it uint8 if white is 255, uint16 if white is 65535, or float64 if white is 1",
        )
    if array.ndim not in (2, 3) or array.shape[2:] not in ((), (1,), (2,), (3,), (4,)):
        raise PictureError(
            f"an array of shape {array.shape} is no picture",
            "give height, width and, last, 1 to 4 channels: grey, grey and opacity, RGB, or RGB and opacity",
        )
    if not array.size:
        raise PictureError(f"an array of shape {array.shape} has no pixels", "give at least one")


def check_range(values: NDArray[Any], most: float, shown: str, hint: str, what: str = "values") -> None:
    """Raise PictureError if values are not numbers from 0 to the most."""
    # NaN is the least and the greatest of any numbers that it is among.
    low, high = float(values.min()), float(values.max())
    if not np.isfinite([low, high]).all():
        raise PictureError(f"{shown} has pixels that are not numbers", hint)
    if low < 0 or high > most:
        # In full: a hair above 1 must not read as 1.
        seen = " to ".join(repr(value).removesuffix(".0") for value in (low, high))
        raise PictureError(f"{shown} has {what} from {seen}, outside 0 to {most:g}", hint)


def eight_bits(values: NDArray[Any], black: float, white: float) -> NDArray[np.uint8]:
    """Return values as 8 bits: scaled in float64, rounded to the nearest, halves to even; never clipped."""
    if values.dtype == np.uint8 and (black, white) == (0, 255):
        return values
    return np.rint((values.astype(np.float64) - black) * (255.0 / (white - black))).astype(np.uint8)


def strips(height: int, width: int) -> Iterator[slice]:
    """Yield the rows of a picture a strip at a time."""
    rows = max(1, _STRIP_PIXELS // width)
    for top in range(0, height, rows):
        yield slice(top, min(top + rows, height))
