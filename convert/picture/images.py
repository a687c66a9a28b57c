"""A picture as Pillow decodes it: made upright, in sRGB, eight bits a channel."""

import io
from collections.abc import Callable, Mapping
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageOps

from convert.picture.arrays import check_range, eight_bits, strips
from convert.picture.heif import from_primaries
from convert.picture.model import Picture


def picture_in_file(image: Image.Image, shown: str, name: str) -> Picture:
    """Return the first picture of a file that Pillow has opened; Pillow's errors pass.

    Parameters
    ----------
    image : Image
        The file, opened and not yet decoded. It is decoded and turned in place.
    shown : str
        What to call the file in notes and errors.
    name : str
        What to call the picture.

    Raises
    ------
    PictureError
        It has grey values that mean nothing.
    """
    notes = []
    frames = _frames(image)
    if frames > 1:
        notes.append(f"{shown} holds {frames} pictures; the first is used")
    return _converted(image, getattr(image, "tag_v2", {}), shown, name, notes)


def picture_of_image(image: Image.Image, shown: str, name: str) -> Picture:
    """Return what a PIL image shows now, which is left as it is; errors are those of `picture_in_file`."""
    # Pillow takes premultiplied grey to nothing but this.
    own = image.convert("LA") if image.mode == "La" else image.copy()
    return _converted(own, getattr(image, "tag_v2", {}), shown, name, [])


def _converted(
    image: Image.Image, tags: Mapping[int, Any], shown: str, name: str, notes: list[str]
) -> Picture:
    profile = image.info.get("icc_profile")
    image.load()
    _turn_upright(image, shown, notes)
    black, white = _black_and_white(image.mode, tags)
    to_srgb = None
    if not profile and (nclx := image.info.get("nclx_profile")):
        to_srgb = from_primaries(nclx, shown, notes)
    to_srgb = to_srgb or _to_srgb(image.mode, profile, shown, notes)
    width, height = image.size
    pixels = np.empty((height, width, 3), np.uint8)
    alpha = np.empty((height, width), np.uint8) if image.has_transparency_data else None
    for rows in strips(height, width):
        strip = image.crop((0, rows.start, width, rows.stop))
        if alpha is not None:
            alpha[rows] = _opacity(strip)
        if _is_deep(strip.mode):
            strip = _flat_grey(strip, black, white, shown)
        pixels[rows] = np.asarray(to_srgb(strip))
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


def _black_and_white(mode: str, tags: Mapping[int, Any]) -> tuple[float, float]:
    """Return the stored values of black and white in a picture of deep grey.

    Whole numbers are 16 bits deep (12 in a TIFF file that says so), floating point is taken as 0 to 1.
    """
    # TIFF 6.0, tags BitsPerSample (258) and PhotometricInterpretation (262, 0 is WhiteIsZero).
    bits = 12 if tags.get(258) == (12,) else 16
    top = 1.0 if mode == "F" else 2.0**bits - 1
    return (top, 0.0) if tags.get(262) == 0 else (0.0, top)


def _flat_grey(strip: Image.Image, black: float, white: float, shown: str) -> Image.Image:
    """Return deep grey as 8 bits."""
    values = np.asarray(strip)
    hint = "scale its values to that range, or save it as 8-bit PNG"
    check_range(values, max(black, white), shown, hint, "grey values")
    return Image.fromarray(eight_bits(values, black, white))


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
