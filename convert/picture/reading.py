"""Reading a picture: upright, in sRGB, eight bits a channel, whatever it was stored as.

A picture is data from a stranger. Only raster formats that Pillow decodes by itself are opened, the size is
checked before anything is decoded, and what cannot be read whole is refused.
"""

import io
import math
import re
import stat
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, cast

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

from convert.errors import PictureError, printable
from convert.picture.model import Picture

# Pillow's own warning limit; a picture of more pixels is no photograph to weave from, or a trap.
LIMIT_MEGAPIXELS = 89.478485
# Vector and script formats (EPS, PDF, WMF, EMF) and those handed to other programs are left out. Pillow tries
# them in this order: common ones first, and last the one whose files have no signature.
FORMATS = (
    "JPEG", "PNG", "WEBP", "GIF", "TIFF", "BMP", "PPM", "AVIF", "JPEG2000", "QOI", "ICO", "ICNS", "DIB",
    "DDS", "PCX", "SGI", "TGA",
)  # fmt: skip
BAD_FILE_HINT = "open it in a picture program and save it as PNG or JPEG"
_STRIP_PIXELS = 1_000_000


def read_picture(source: Path | bytes, *, limit_megapixels: float = LIMIT_MEGAPIXELS) -> Picture:
    """Return the picture of a file.

    Parameters
    ----------
    source : Path or bytes
        The file, or what came on standard input.
    limit_megapixels : float
        Most pixels, in millions.

    Raises
    ------
    PictureError
        It is not there, no picture, too large, damaged, or of a kind that cannot be shown.
    """
    if isinstance(source, bytes):
        return _read(io.BytesIO(source), "the picture on standard input", "picture", limit_megapixels)
    shown = printable(source)
    try:
        kind = source.stat().st_mode
    except FileNotFoundError as error:
        raise PictureError(f"there is no picture {shown}", "check the name") from error
    except (OSError, ValueError) as error:
        raise PictureError(f"cannot open {shown}: {getattr(error, 'strerror', None) or error}") from error
    if not stat.S_ISREG(kind):
        what = "a folder" if stat.S_ISDIR(kind) else "not a regular file"
        raise PictureError(f"{shown} is {what}", "give a picture file, or - to read standard input")
    try:
        with source.open("rb") as file:
            return _read(file, shown, printable(Path(source.stem)), limit_megapixels)
    except OSError as error:
        raise PictureError(f"cannot open {shown}: {error.strerror or error}") from error


def _read(file: BinaryIO, shown: str, name: str, limit_megapixels: float) -> Picture:
    try:
        with _pillow_limited_to(limit_megapixels), Image.open(file, formats=FORMATS) as image:
            _check_size(image, shown, limit_megapixels)
            return _converted(image, shown, name)
    except PictureError:
        raise
    except Image.DecompressionBombError as error:
        # Raised where the size is over twice the limit; only its text tells the size.
        found = re.search(r"\((\d+) pixels\)", str(error))
        megapixels = int(found[1]) / 1e6 if found else 2 * limit_megapixels
        raise _too_large(f"{megapixels:,.1f} megapixels", shown, limit_megapixels) from error
    except UnidentifiedImageError as error:
        raise PictureError(f"{shown} is no picture that can be read", BAD_FILE_HINT) from error
    except MemoryError as error:
        raise PictureError(
            f"there is not enough memory to open {shown}", "make the picture smaller"
        ) from error
    except Exception as error:
        # Pillow's decoders raise almost anything on damaged files.
        raise PictureError(
            f"{shown} is damaged or cut short and cannot be read whole", BAD_FILE_HINT
        ) from error


@contextmanager
def _pillow_limited_to(megapixels: float) -> Iterator[None]:
    """Have Pillow keep to the limit, also for pictures inside pictures, and keep its warnings to itself."""
    if not 0 < megapixels < math.inf:
        raise PictureError(f"a picture cannot be limited to {megapixels:g} megapixels", "give more than zero")
    before = Image.MAX_IMAGE_PIXELS
    Image.MAX_IMAGE_PIXELS = math.ceil(megapixels * 1e6)
    try:
        with warnings.catch_warnings():
            # Of large pictures, whose size is checked here, and of odd metadata, which is harmless.
            warnings.simplefilter("ignore")
            yield
    finally:
        Image.MAX_IMAGE_PIXELS = before


def _check_size(image: Image.Image, shown: str, limit_megapixels: float) -> None:
    width, height = image.size
    megapixels = width * height / 1e6
    if megapixels > limit_megapixels:
        raise _too_large(f"{width} x {height} = {megapixels:.4g} megapixels", shown, limit_megapixels)


def _too_large(size: str, shown: str, limit_megapixels: float) -> PictureError:
    return PictureError(
        f"{shown} has {size}, more than the limit of {limit_megapixels:.4g}",
        "make it smaller, or raise the limit with --max-megapixels",
    )


def _converted(image: Image.Image, shown: str, name: str) -> Picture:
    notes = []
    frames = _frames(image)
    if frames > 1:
        notes.append(f"{shown} holds {frames} pictures; the first is used")
        image.seek(0)
    profile = image.info.get("icc_profile")
    image.load()
    _turn_upright(image, shown, notes)
    black, white = _black_and_white(image)
    to_srgb = _to_srgb(image.mode, profile, shown, notes)
    # Strip by strip, so that memory holds the decoded picture, the result and little else.
    width, height = image.size
    pixels = np.empty((height, width, 3), np.uint8)
    alpha = np.empty((height, width), np.uint8) if image.has_transparency_data else None
    rows = max(1, _STRIP_PIXELS // width)
    for top in range(0, height, rows):
        bottom = min(top + rows, height)
        strip = image.crop((0, top, width, bottom))
        if alpha is not None:
            alpha[top:bottom] = _opacity(strip)
        if _is_deep(strip.mode):
            strip = _eight_bits(strip, black, white, shown)
        pixels[top:bottom] = np.asarray(to_srgb(strip))
    if alpha is not None and alpha.min() == 255:
        alpha = None
    return Picture(name, pixels, alpha, tuple(notes))


def _frames(image: Image.Image) -> int:
    """Return how many pictures a file holds, as far as that can be told."""
    try:
        return int(getattr(image, "n_frames", 1))
    except Exception:
        # Damage behind the first picture does no harm to it.
        return 1


def _turn_upright(image: Image.Image, shown: str, notes: list[str]) -> None:
    """Turn a picture as its orientation tag says; Pillow has done so for TIFF files already."""
    try:
        ImageOps.exif_transpose(image, in_place=True)
    except MemoryError:
        raise
    except Exception:
        notes.append(f"the EXIF data of {shown} cannot be read; check that the picture is upright")


def _is_deep(mode: str) -> bool:
    """Return whether a mode holds grey of more than 8 bits."""
    return mode in ("I", "F") or mode.startswith("I;16")


def _black_and_white(image: Image.Image) -> tuple[float, float]:
    """Return the stored values of black and white in a picture of deep grey.

    Whole numbers are 16 bits deep (12 in a TIFF file that says so), floating point is taken as 0 to 1.
    """
    # TIFF 6.0, tags BitsPerSample (258) and PhotometricInterpretation (262, 0 is WhiteIsZero).
    tags = getattr(image, "tag_v2", {})
    bits = 12 if tags.get(258) == (12,) else 16
    top = 1.0 if image.mode == "F" else 2.0**bits - 1
    return (top, 0.0) if tags.get(262) == 0 else (0.0, top)


def _eight_bits(strip: Image.Image, black: float, white: float, shown: str) -> Image.Image:
    """Return deep grey as 8 bits, scaled and rounded, never clipped."""
    values = np.asarray(strip).astype(np.float64)
    if not np.isfinite(values).all():
        raise PictureError(f"{shown} has pixels that are not numbers", BAD_FILE_HINT)
    low, high = values.min(), values.max()
    if low < 0 or high > max(black, white):
        raise PictureError(
            f"{shown} has grey values from {low:g} to {high:g}, outside 0 to {max(black, white):g}",
            "scale its values to that range, or save it as 8-bit PNG",
        )
    return Image.fromarray(np.rint((values - black) * (255.0 / (white - black))).astype(np.uint8))


def _opacity(strip: Image.Image) -> NDArray[np.uint8]:
    if _is_deep(strip.mode):
        return np.where(np.asarray(strip) == strip.info["transparency"], 0, 255).astype(np.uint8)
    return np.asarray(strip.convert("RGBA").getchannel("A"))


def _to_srgb(
    mode: str, profile: bytes | None, shown: str, notes: list[str]
) -> Callable[[Image.Image], Image.Image]:
    """Return what takes pictures of a mode to sRGB, by their colour profile where that can be used."""
    if not profile or mode == "LAB":  # CIELAB needs no profile
        return _as_stored
    # A profile speaks of colour alone; 1-bit and deep pictures have become grey.
    plain = "L" if mode in ("1", "L", "LA") or _is_deep(mode) else "CMYK" if mode == "CMYK" else "RGB"
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        transform = ImageCms.buildTransform(source, ImageCms.createProfile("sRGB"), plain, "RGB")
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        notes.append(f"the colour profile of {shown} cannot be used; its colours are taken as sRGB")
        return _as_stored

    def transformed(strip: Image.Image) -> Image.Image:
        flat = strip if strip.mode == plain else strip.convert(plain)
        return cast(Image.Image, ImageCms.applyTransform(flat, transform))

    return _as_stored if plain == "RGB" and _changes_nothing(transformed) else transformed


def _as_stored(strip: Image.Image) -> Image.Image:
    return strip if strip.mode == "RGB" else strip.convert("RGB")


def _changes_nothing(transformed: Callable[[Image.Image], Image.Image]) -> bool:
    """Return whether a profile is sRGB itself: it moves no colour of a grid by more than rounding.

    Most photographs carry that profile, and the transform takes several times as long as decoding them.
    """
    steps = np.linspace(0, 255, 16).astype(np.uint8)
    grid = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(64, 64, 3)
    moved = np.asarray(transformed(Image.fromarray(grid)))
    return int(np.abs(moved.astype(int) - grid).max()) <= 1
