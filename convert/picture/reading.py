"""Reading a picture: upright, in sRGB, eight bits a channel, whatever it was stored as.

A picture is data from a stranger. Only raster formats that Pillow and its plugin for HEIF decode are opened,
the size is checked before anything is decoded, and what cannot be read whole is refused.
"""

import io
import math
import re
import stat
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image, UnidentifiedImageError

from convert.errors import PictureError, printable
from convert.picture.arrays import check_is_picture, picture_of_array
from convert.picture.heif import is_heif
from convert.picture.images import picture_in_file, picture_of_image
from convert.picture.model import Picture

# Pillow's own warning limit; a picture of more pixels is no photograph to weave from, or a trap.
LIMIT_MEGAPIXELS = 89.478485
# Vector and script formats (EPS, PDF, WMF, EMF) and those handed to other programs are left out. Pillow tries
# them in this order: common ones first, and last the one whose files have no signature. Of a PSD file that is
# the picture with its layers laid together.
FORMATS = (
    "JPEG", "PNG", "WEBP", "GIF", "TIFF", "BMP", "PPM", "AVIF", "JPEG2000", "PSD", "QOI", "ICO", "ICNS",
    "DIB", "DDS", "PCX", "SGI", "TGA",
)  # fmt: skip
# A file of that family may hold either.
HEIF_FORMATS = ("HEIF", "AVIF")
UNNAMED = "picture"
_BAD_FILE_HINT = "open it in a picture program and save it as PNG or JPEG"


def read_picture(
    source: Path | str | bytes | Image.Image | NDArray[Any],
    *,
    name: str | None = None,
    limit_megapixels: float = LIMIT_MEGAPIXELS,
) -> Picture:
    """Return the picture of a file, or of what a program holds in memory.

    A `Picture` keeps 8 bits a channel of encoded sRGB. Deeper values are scaled and rounded to the nearest
    (a uint16 v becomes v * 255 / 65535, a float v * 255, halves rounded to even), never clipped or cut off:
    no value moves by more than half a step of 8 bits, and what came from 8 bits comes back as it was.

    Parameters
    ----------
    source : Path, str, bytes, PIL Image or ndarray
        The file's path, or its bytes. An image as it stands: turned upright and taken to sRGB as a file is,
        of several frames the one it shows now. Or an array of shape (H, W), (H, W, 1) for grey, (H, W, 2) for
        grey and opacity, (H, W, 3) for RGB or (H, W, 4) for RGB and opacity, encoded sRGB, as uint8 (to 255),
        uint16 (to 65535), bool (True is white), or float16, float32 or float64 (to 1). Images and arrays are
        copied and left as they are.
    name : str, optional
        What to call the picture; else the file's name without its ending, or ``picture`` if it has none.
    limit_megapixels : float
        Most pixels, in millions.

    Raises
    ------
    PictureError
        It is not there, no picture, too large, damaged, or of a kind that cannot be shown.
    """
    _check_limit(limit_megapixels)
    called = printable(name or UNNAMED)
    if isinstance(source, np.ndarray):
        check_is_picture(source)
        _check_size(source.shape[1], source.shape[0], "the array", limit_megapixels, in_memory=True)
        return picture_of_array(source, called)
    if isinstance(source, Image.Image):
        return _read_image(source, called, limit_megapixels)
    if isinstance(source, bytes):
        shown = printable(name) if name else "the picture on standard input"
        return _read_file(io.BytesIO(source), shown, called, limit_megapixels)
    if isinstance(source, (str, Path)):
        return _read_path(Path(source), name, limit_megapixels)
    raise PictureError(
        f"a picture is read from a path, bytes, a PIL image or an array, not from {type(source).__name__}",
        "give it as an array: numpy.asarray(...)",
    )


def _read_path(path: Path, name: str | None, limit_megapixels: float) -> Picture:
    shown = printable(path)
    try:
        kind = path.stat().st_mode
    except FileNotFoundError as error:
        raise PictureError(f"there is no picture {shown}", "check the name") from error
    except (OSError, ValueError) as error:
        raise PictureError(f"cannot open {shown}: {getattr(error, 'strerror', None) or error}") from error
    if not stat.S_ISREG(kind):
        what = "a folder" if stat.S_ISDIR(kind) else "not a regular file"
        raise PictureError(f"{shown} is {what}", "give a picture file, or - to read standard input")
    try:
        with path.open("rb") as file:
            return _read_file(file, shown, printable(name or path.stem), limit_megapixels)
    except OSError as error:
        raise PictureError(f"cannot open {shown}: {error.strerror or error}") from error


def _read_file(file: BinaryIO, shown: str, name: str, limit_megapixels: float) -> Picture:
    damaged = PictureError(f"{shown} is damaged or cut short and cannot be read whole", _BAD_FILE_HINT)
    formats = HEIF_FORMATS if is_heif(file) else FORMATS
    with _faults_told(shown, limit_megapixels, damaged), Image.open(file, formats=formats) as image:
        _check_size(*image.size, shown, limit_megapixels)
        return picture_in_file(image, shown, name)


def _read_image(image: Image.Image, name: str, limit_megapixels: float) -> Picture:
    shown = "the PIL image"
    if not (image.width and image.height):
        raise PictureError(f"{shown} has no pixels: {image.width} x {image.height}", "give at least one")
    hint = "its file is damaged, or was closed before its pixels were loaded"
    with _faults_told(shown, limit_megapixels, PictureError(f"{shown} cannot be read whole", hint)):
        _check_size(*image.size, shown, limit_megapixels, in_memory=True)
        return picture_of_image(image, shown, name)


@contextmanager
def _faults_told(shown: str, limit_megapixels: float, damaged: PictureError) -> Iterator[None]:
    """Have Pillow keep to the limit and its faults become errors of one line, `damaged` for most."""
    try:
        with _pillow_limited_to(limit_megapixels):
            yield
    except PictureError:
        raise
    except Image.DecompressionBombError as error:
        # Raised where the size is over twice the limit; only its text tells the size.
        found = re.search(r"\((\d+) pixels\)", str(error))
        megapixels = int(found[1]) / 1e6 if found else 2 * limit_megapixels
        raise _too_large(f"{megapixels:,.1f} megapixels", shown, limit_megapixels) from error
    except UnidentifiedImageError as error:
        raise PictureError(f"{shown} is no picture that can be read", _BAD_FILE_HINT) from error
    except MemoryError as error:
        raise PictureError(
            f"there is not enough memory to open {shown}", "make the picture smaller"
        ) from error
    except Exception as error:
        # Pillow's decoders raise almost anything on damaged files.
        raise damaged from error


@contextmanager
def _pillow_limited_to(megapixels: float) -> Iterator[None]:
    """Have Pillow keep to the limit, also for pictures inside pictures, and keep its warnings to itself."""
    before = Image.MAX_IMAGE_PIXELS
    Image.MAX_IMAGE_PIXELS = math.ceil(megapixels * 1e6)
    try:
        with warnings.catch_warnings():
            # Of large pictures, whose size is checked here, and of odd metadata, which is harmless.
            warnings.simplefilter("ignore")
            yield
    finally:
        Image.MAX_IMAGE_PIXELS = before


def _check_limit(megapixels: float) -> None:
    if not 0 < megapixels < math.inf:
        raise PictureError(f"a picture cannot be limited to {megapixels:g} megapixels", "give more than zero")


def _check_size(
    width: int, height: int, shown: str, limit_megapixels: float, *, in_memory: bool = False
) -> None:
    megapixels = width * height / 1e6
    if megapixels > limit_megapixels:
        size = f"{width} x {height} = {megapixels:.4g} megapixels"
        raise _too_large(size, shown, limit_megapixels, in_memory=in_memory)


def _too_large(size: str, shown: str, limit_megapixels: float, *, in_memory: bool = False) -> PictureError:
    return PictureError(
        f"{shown} has {size}, more than the limit of {limit_megapixels:.4g}",
        f"make it smaller, or raise the limit with {'limit_megapixels' if in_memory else '--max-megapixels'}",
    )
