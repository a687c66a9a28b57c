"""Encoding of pictures as PNG (W3C, Portable Network Graphics, third edition), strip by strip."""

import struct
import zlib
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import numpy as np
from numpy.typing import NDArray

from convert.units import MM_PER_INCH

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_STRIP_BYTES = 1 << 20
# More bring little for the memory that each takes.
_THREADS = 2
# Beads repeat along and across the page and are found again unfiltered, faster than at level 6 (measured).
_NO_FILTER = 0
_LEVEL = 3
# RFC 1950: deflate with a window of 32 KiB at a fast level; Adler-32 counts modulo the largest 16-bit prime.
_ZLIB_HEADER = b"\x78\x5e"
_WINDOW_BYTES = 1 << 15
_ADLER_PRIME = 65521


def encode_png(
    pixels: NDArray[np.uint8], dots_per_inch: float, words: Mapping[str, str] | None = None
) -> bytes:
    """Return a picture as an RGB PNG file in sRGB; the same pixels give the same bytes.

    Parameters
    ----------
    pixels : ndarray of shape (H, W, 3 or 4), uint8
        Encoded sRGB; a fourth channel is left out.
    dots_per_inch : float
        Resolution noted in the file.
    words : mapping of str to str, optional
        What the file tells of itself, by the keywords of the standard.
    """
    height, width = pixels.shape[:2]
    per_metre = round(dots_per_inch * 1000 / MM_PER_INCH)
    return b"".join(
        [
            _SIGNATURE,
            _chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)),
            _chunk(b"sRGB", b"\0"),
            _chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, 1)),
            *(_words(keyword, text) for keyword, text in (words or {}).items()),
            *_data(pixels),
            _chunk(b"IEND", b""),
        ]
    )


def _chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def _words(keyword: str, text: str) -> bytes:
    """Return a text as the standard wants it: Latin-1 where that has all letters, else UTF-8."""
    try:
        return _chunk(b"tEXt", keyword.encode("latin-1") + b"\0" + text.encode("latin-1"))
    except UnicodeEncodeError:
        # Not compressed, in no language, and with the keyword in English only.
        return _chunk(b"iTXt", keyword.encode("latin-1") + b"\0" + bytes(4) + text.encode())


def _data(pixels: NDArray[np.uint8]) -> Iterator[bytes]:
    """Yield the chunks of data, whose strips are compressed side by side."""
    height, width = pixels.shape[:2]
    tops = range(0, height, max(1, _STRIP_BYTES // (3 * width)))
    yield _chunk(b"IDAT", _ZLIB_HEADER)
    sums = 1, 0
    with ThreadPoolExecutor(_THREADS) as pool:
        for chunk, length, adler in pool.map(partial(_strip, pixels, tops.step), tops):
            yield chunk
            # The checksum of all data from those of its parts.
            low, high = adler & 0xFFFF, adler >> 16
            sums = sums[0] + low - 1, sums[1] + high + length * (sums[0] - 1)
            sums = sums[0] % _ADLER_PRIME, sums[1] % _ADLER_PRIME
    yield _chunk(b"IDAT", struct.pack(">HH", sums[1], sums[0]))


def _strip(pixels: NDArray[np.uint8], rows: int, top: int) -> tuple[bytes, int, int]:
    """Return the chunk of some rows, and the length and the Adler-32 of what is compressed in it."""
    # Each strip may point back to the rows above it, as if they were compressed one after the other.
    above = -(-_WINDOW_BYTES // (3 * pixels.shape[1]))
    known = _lines(pixels[max(0, top - above) : top])
    data = _lines(pixels[top : top + rows])
    compressor = zlib.compressobj(
        _LEVEL,
        zlib.DEFLATED,
        -zlib.MAX_WBITS,
        zlib.DEF_MEM_LEVEL + 1,
        zlib.Z_DEFAULT_STRATEGY,
        known[-_WINDOW_BYTES:],
    )
    ends = zlib.Z_FINISH if top + rows >= len(pixels) else zlib.Z_SYNC_FLUSH
    packed = compressor.compress(data) + compressor.flush(ends)
    return _chunk(b"IDAT", packed), len(data), zlib.adler32(data)


def _lines(pixels: NDArray[np.uint8]) -> memoryview:
    """Return rows of pixels as PNG stores them, each after the number of its filter."""
    height, width = pixels.shape[:2]
    lines = np.empty((height, 1 + 3 * width), np.uint8)
    lines[:, 0] = _NO_FILTER
    within = lines[:, 1:].reshape(height, width, 3)
    # One channel at a time is four times as fast as three of four channels at once.
    for channel in range(3):
        within[..., channel] = pixels[..., channel]
    return lines.reshape(-1).data
