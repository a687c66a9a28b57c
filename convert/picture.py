"""Reading a picture: upright, in sRGB, eight bits a channel, whatever it was stored as.

A picture is data from a stranger. Only raster formats that Pillow decodes by itself are opened, the size is
checked before anything is decoded, and what cannot be read whole is refused.
"""

import io
import os
import stat
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

from convert.errors import PictureError

# Pillow's own warning limit; a picture of more pixels is no photograph to weave from, or a trap.
LIMIT_MEGAPIXELS = 89.478485
# Vector and script formats (EPS, PDF, WMF, EMF) and those handed to other programs are left out.
FORMATS = (
    "AVIF", "BMP", "DDS", "DIB", "GIF", "ICNS", "ICO", "JPEG", "JPEG2000", "MPO", "PCX", "PNG", "PPM", "QOI",
    "SGI", "TGA", "TIFF", "WEBP",
)  # fmt: skip
BAD_FILE_HINT = "open it in a picture program and save it as PNG or JPEG"


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
    """

    name: str
    pixels: NDArray[np.uint8]
    alpha: NDArray[np.uint8] | None = None
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        self.pixels.flags.writeable = False
        if self.alpha is not None:
            self.alpha.flags.writeable = False


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
    shown = _printable(source)
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
            return _read(file, shown, _printable(Path(source.stem)) or "picture", limit_megapixels)
    except OSError as error:
        raise PictureError(f"cannot open {shown}: {error.strerror or error}") from error


def _printable(path: Path) -> str:
    text = os.fsencode(path).decode("utf-8", "replace")
    return "".join(letter if letter.isprintable() else "?" for letter in text)


def _read(file: Any, shown: str, name: str, limit_megapixels: float) -> Picture:
    try:
        with warnings.catch_warnings():
            # Pillow warns of large pictures and odd metadata; the size is checked here, the rest is harmless.
            warnings.simplefilter("ignore")
            Image.init()  # only a name that has been registered may be asked for
            with Image.open(file, formats=[name for name in FORMATS if name in Image.OPEN]) as image:
                _check_size(image, shown, limit_megapixels)
                return _converted(image, shown, name)
    except PictureError:
        raise
    except Image.DecompressionBombError as error:
        raise PictureError(
            f"{shown} has too many pixels: over {2 * LIMIT_MEGAPIXELS:.0f} megapixels",
            "make the picture smaller; a few megapixels are plenty for weaving",
        ) from error
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


def _check_size(image: Image.Image, shown: str, limit_megapixels: float) -> None:
    width, height = image.size
    if width * height > limit_megapixels * 1e6:
        raise PictureError(
            f"{shown} has {width} x {height} = {width * height / 1e6:.1f} megapixels,"
            f" more than the limit of {limit_megapixels:.1f}",
            "make it smaller, or raise the limit with --max-megapixels",
        )


def _converted(image: Image.Image, shown: str, name: str) -> Picture:
    notes = []
    if getattr(image, "n_frames", 1) > 1:
        notes.append(f"{shown} holds {image.n_frames} pictures; the first is used")  # type: ignore[attr-defined]
        image.seek(0)
    profile = image.info.get("icc_profile")
    # Pillow turns TIFF files upright while it loads them and leaves the others to us.
    image.load()
    ImageOps.exif_transpose(image, in_place=True)
    if image.mode in ("I", "F") or image.mode.startswith("I;16"):
        grey = _eight_bits(image, shown)
        return Picture(name, np.repeat(grey[..., None], 3, axis=2), None, tuple(notes))
    alpha = _alpha(image)
    image = _in_srgb(image, profile, shown, notes)
    return Picture(name, np.array(image), alpha, tuple(notes))


def _eight_bits(image: Image.Image, shown: str) -> NDArray[np.uint8]:
    """Return 16-bit, 32-bit and floating point grey as 8 bits, scaled and never clipped.

    Whole numbers up to 65535 are 16 bits deep; floating point is taken as 0 to 1.
    """
    values = np.asarray(image).astype(np.float64)
    if not np.isfinite(values).all():
        raise PictureError(f"{shown} has pixels that are not numbers", BAD_FILE_HINT)
    top = 1.0 if image.mode == "F" else 65535.0
    if values.min() < 0 or values.max() > top:
        raise PictureError(
            f"{shown} has grey values from {values.min():g} to {values.max():g}, outside 0 to {top:g}",
            BAD_FILE_HINT,
        )
    return np.rint(values * (255.0 / top)).astype(np.uint8)


def _alpha(image: Image.Image) -> NDArray[np.uint8] | None:
    """Return the opacity, None where all is opaque."""
    if image.has_transparency_data:
        alpha = np.array(image.convert("RGBA").getchannel("A"))
        return None if alpha.min() == 255 else alpha
    return None


def _in_srgb(image: Image.Image, profile: bytes | None, shown: str, notes: list[str]) -> Image.Image:
    """Return the picture in sRGB, by its colour profile where it has a usable one."""
    if image.mode in ("P", "PA"):
        image = image.convert("RGBA" if image.has_transparency_data else "RGB")
    if profile and image.mode in ("RGB", "RGBA", "RGBX", "CMYK", "L", "LA"):
        flat = image.convert({"RGBA": "RGB", "RGBX": "RGB", "LA": "L"}.get(image.mode, image.mode))
        try:
            embedded = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            converted = ImageCms.profileToProfile(
                flat, embedded, ImageCms.createProfile("sRGB"), outputMode="RGB", inPlace=False
            )
            if converted is not None:
                return converted
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            notes.append(f"the colour profile of {shown} cannot be used; its colours are taken as sRGB")
    return image if image.mode == "RGB" else image.convert("RGB")
