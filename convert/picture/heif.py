"""Photographs in HEIF files (ISO/IEC 23008-12), as many phones keep them.

Pillow reads them by a plugin, which is loaded when such a file turns up. What a file without a colour profile
says of its colours (nclx, ITU-T H.273) is understood where it names the primaries of a screen.
"""

from collections.abc import Callable, Mapping
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from convert.colour.lab import XYZ_OF_LINEAR
from convert.colour.srgb import decode, encode_to_bytes

# ISO/IEC 14496-12: the first box of a file has its type in bytes 4 to 8, and the major brand after it.
_BOX, _BRAND = slice(4, 8), slice(8, 12)
_BRANDS_OF_AVIF = (b"avif", b"avis")
# ITU-T H.273, tables 2 and 3: the primaries of BT.709, which are those of sRGB, and those left open; the
# transfer of sRGB, and those made for more light than paper has (perceptual quantiser, hybrid log-gamma).
_PRIMARIES_OF_SRGB, _LEFT_OPEN, _TRANSFER_OF_SRGB, _BRIGHT = 1, 2, 13, (16, 18)


def is_heif(file: BinaryIO) -> bool:
    """Tell whether a file, which is left at its beginning, may be HEIF, and have Pillow open it if so."""
    start = file.read(_BRAND.stop)
    file.seek(0)
    if start[_BOX] != b"ftyp" or start[_BRAND] in _BRANDS_OF_AVIF:
        return False
    import pi_heif

    pi_heif.register_heif_opener(thumbnails=False, depth_images=False, aux_images=False)
    return True


def from_primaries(
    nclx: Mapping[str, Any], shown: str, notes: list[str]
) -> Callable[[Image.Image], Image.Image] | None:
    """Return what takes pictures to sRGB from other primaries; None where their colours stay as they are.

    Parameters
    ----------
    nclx : mapping
        What the file says: ``color_primaries``, ``transfer_characteristics``, and the chromaticities that the
        former stand for, such as ``color_primary_red_x``.
    shown : str
        What to call the file in notes.
    notes : list of str
        Gets one where the colours are kept in a way that is not understood.
    """
    primaries, transfer = nclx["color_primaries"], nclx["transfer_characteristics"]
    if transfer in _BRIGHT:
        notes.append(f"the colours of {shown} are kept for very bright screens and may come out pale or dark")
    if primaries in (_PRIMARIES_OF_SRGB, _LEFT_OPEN) or transfer != _TRANSFER_OF_SRGB:
        return None
    to_srgb = np.linalg.solve(XYZ_OF_LINEAR, _to_xyz(nclx))

    def transformed(strip: Image.Image) -> Image.Image:
        return Image.fromarray(encode_to_bytes(decode(np.asarray(strip.convert("RGB"))) @ to_srgb.T))

    return transformed


def _to_xyz(nclx: Mapping[str, Any]) -> NDArray[np.float64]:
    """Return the matrix from light of three primaries to CIE XYZ (SMPTE RP 177-1993, section 3.3)."""
    names = ("red", "green", "blue", "white")
    xy = np.array([[nclx[f"color_primary_{name}_{axis}"] for axis in "xy"] for name in names], np.float64)
    xyz = np.column_stack([xy, 1 - xy.sum(axis=1)]) / xy[:, 1:]
    corners, white = xyz[:3].T, xyz[3]
    return np.asarray(corners * np.linalg.solve(corners, white))
