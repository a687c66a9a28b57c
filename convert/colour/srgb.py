"""sRGB, encoded and linear, and its written form ``#RRGGBB``.

The transfer curve is that of IEC 61966-2-1:1999.
"""

import re
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from convert.errors import PaletteError

_HEX = re.compile("#[0-9A-Fa-f]{6}")


def _decode_formula(encoded: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.where(encoded <= 0.04045, encoded / 12.92, ((np.maximum(encoded, 0) + 0.055) / 1.055) ** 2.4)


_LINEAR_OF_BYTE = _decode_formula(np.arange(256) / 255)
_LINEAR_OF_BYTE.setflags(write=False)


def decode(encoded: ArrayLike) -> NDArray[np.float64]:
    """Return linear light for encoded sRGB.

    Parameters
    ----------
    encoded : array of any shape
        uint8, or float in [0, 1].

    Returns
    -------
    ndarray of the same shape, float64 in [0, 1]
    """
    encoded = np.asarray(encoded)
    if encoded.dtype == np.uint8:
        return np.asarray(np.take(_LINEAR_OF_BYTE, encoded))
    return _decode_formula(encoded.astype(np.float64))


def encode(linear: ArrayLike) -> NDArray[np.float64]:
    """Return encoded sRGB for linear light; light outside the gamut is clipped.

    Parameters
    ----------
    linear : array of any shape, float

    Returns
    -------
    ndarray of the same shape, float64 in [0, 1]
    """
    linear = np.clip(np.asarray(linear, dtype=np.float64), 0, 1)
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)


def encode_to_bytes(linear: ArrayLike) -> NDArray[np.uint8]:
    """Return 8-bit encoded sRGB, rounded to nearest, for linear light; see `encode`."""
    return np.rint(encode(linear) * 255).astype(np.uint8)


def encode_to_16_bits(linear: ArrayLike) -> NDArray[np.uint16]:
    """Return 16-bit encoded sRGB, rounded to nearest, for linear light; see `encode`."""
    return np.rint(encode(linear) * 65535).astype(np.uint16)


def decode_16_bits(encoded: NDArray[np.uint16]) -> NDArray[np.float64]:
    """Return linear light for 16-bit encoded sRGB; see `decode`."""
    return _decode_formula(encoded / 65535)


def is_hex(text: str) -> bool:
    """Return whether a text is ``#`` and six ASCII hexadecimal digits."""
    return _HEX.fullmatch(text) is not None


def parse_hex(text: str) -> tuple[int, int, int]:
    """Return the red, green and blue bytes of a colour written ``#RRGGBB``.

    Raises
    ------
    PaletteError
        `text` is anything but ``#`` and six ASCII hexadecimal digits.
    """
    if not is_hex(text):
        raise PaletteError(
            f"{text!r} is not a colour of the form #RRGGBB", "write # and six digits 0-9 or A-F, e.g. #1F6FA5"
        )
    red, green, blue = bytes.fromhex(text[1:])
    return red, green, blue


def to_hex(rgb: Sequence[int] | NDArray[Any]) -> str:
    """Return ``#RRGGBB`` in capitals for three bytes."""
    red, green, blue = (int(value) for value in rgb)
    return f"#{red:02X}{green:02X}{blue:02X}"
