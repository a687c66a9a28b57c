"""Encoding of pictures as PNG (W3C, Portable Network Graphics, third edition), strip by strip."""

import struct
import zlib

import numpy as np
from numpy.typing import NDArray

from convert.units import MM_PER_INCH

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_STRIP_BYTES = 1 << 20
# Beads repeat along and across the page and are found again unfiltered, faster than at level 6 (measured).
_NO_FILTER = 0
_LEVEL = 3


def _chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def encode_png(pixels: NDArray[np.uint8], dots_per_inch: float) -> bytes:
    """Return a picture as an RGB PNG file in sRGB; the same pixels give the same bytes.

    Parameters
    ----------
    pixels : ndarray of shape (H, W, 3 or 4), uint8
        Encoded sRGB; a fourth channel is left out.
    dots_per_inch : float
        Resolution noted in the file.
    """
    height, width = pixels.shape[:2]
    per_metre = round(dots_per_inch * 1000 / MM_PER_INCH)
    compressor = zlib.compressobj(_LEVEL, zlib.DEFLATED, zlib.MAX_WBITS, zlib.DEF_MEM_LEVEL + 1)
    body = bytearray()
    rows = max(1, _STRIP_BYTES // (3 * width))
    for top in range(0, height, rows):
        strip = pixels[top : top + rows, :, :3]
        filtered = np.empty((len(strip), 1 + 3 * width), np.uint8)
        filtered[:, 0] = _NO_FILTER
        filtered[:, 1:] = strip.reshape(len(strip), -1)
        body += compressor.compress(filtered.data)
    body += compressor.flush()
    return b"".join(
        [
            _SIGNATURE,
            _chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)),
            _chunk(b"sRGB", b"\0"),
            _chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, 1)),
            _chunk(b"IDAT", bytes(body)),
            _chunk(b"IEND", b""),
        ]
    )
