"""Turning, cropping and toning a picture before it is sampled.

The order is fixed: the picture is rotated, then flipped, then cropped, and last its brightness, contrast and
saturation are changed. These three are Pillow's ``ImageEnhance``, a blend on encoded sRGB in which 1 changes
nothing: brightness blends with black, contrast with the picture's mean grey, saturation with the picture in
grey (luma of ITU-R BT.601).
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageEnhance

from convert.colour.lab import srgb_to_lab
from convert.errors import PictureError, SizeError
from convert.picture.model import ALL, Picture
from convert.picture.part import Part, part_named

FLIPS = ("across", "down")
AUTO = "auto"
MOST_FACTOR = 10.0
# Edges are looked for in a picture of at most so many pixels a side.
_SEARCH_PX = 512
_EDGE_SPREAD = 2.0


@dataclass(frozen=True, slots=True)
class Adjustment:
    """What is done to a picture.

    Parameters
    ----------
    crop : Part, str or None
        Part of the picture as it is turned; ``auto`` for the part of the wanted shape that keeps most of the
        edges; None for all of it.
    rotate : float
        Degrees clockwise.
    flip : str or None
        ``across`` swaps left and right, ``down`` top and bottom.
    brightness, contrast, saturation : float
        Factors; 1 changes nothing.

    Raises
    ------
    SizeError
        A number that is none.
    """

    crop: Part | str | None = None
    rotate: float = 0.0
    flip: str | None = None
    brightness: float = 1.0
    contrast: float = 1.0
    saturation: float = 1.0

    def __post_init__(self) -> None:
        if not math.isfinite(self.rotate):
            raise SizeError(f"a picture cannot be rotated by {self.rotate:g} degrees")
        if self.flip is not None and self.flip not in FLIPS:
            raise SizeError(f"a picture is flipped {' or '.join(FLIPS)}, not '{self.flip}'")
        for name in ("brightness", "contrast", "saturation"):
            factor = getattr(self, name)
            if not 0 <= factor <= MOST_FACTOR:
                raise SizeError(
                    f"the {name} must be 0 to {MOST_FACTOR:g}, not {factor:g}", "1 changes nothing"
                )

    @property
    def words(self) -> tuple[str, ...]:
        """What is done, in words; empty where nothing is."""
        said = []
        if self.rotate % 360:
            said.append(f"rotated {self.rotate:g} degrees clockwise")
        if self.flip:
            said.append(f"flipped {self.flip}")
        if self.crop is not None:
            said.append(f"cropped to {self.crop}")
        tones = ("brightness", "contrast", "saturation")
        said += [f"{name} {getattr(self, name):g}" for name in tones if getattr(self, name) != 1]
        return tuple(said)


def crop_named(text: str | None) -> Part | str | None:
    """Return the crop that ``X,Y,W,H`` or ``auto`` names.

    Raises
    ------
    SizeError
        It names neither, or no part of a picture.
    """
    if text is None or text.strip().lower() == AUTO:
        return None if text is None else AUTO
    return part_named(text, "--crop")


def adjusted(picture: Picture, adjustment: Adjustment, aspect: float | None = None) -> Picture:
    """Return a picture turned, cropped and toned; the same one where nothing is to be done.

    Parameters
    ----------
    picture : Picture
        The picture.
    adjustment : Adjustment
        What to do.
    aspect : float, optional
        Width divided by height of the wanted shape, for an automatic crop.

    Raises
    ------
    SizeError
        The crop is automatic and no shape is wanted.
    """
    if not adjustment.words:
        return picture
    if adjustment.crop == AUTO and aspect is None:
        raise SizeError("--crop auto needs a shape to crop to", "give both --width and --height")
    pixels, alpha = _turned(picture, adjustment)
    if adjustment.crop is not None:
        part = adjustment.crop
        if not isinstance(part, Part):
            assert aspect is not None
            part = best_crop(pixels, aspect)
        adjustment = replace(adjustment, crop=part)
        rows, columns = _cut(part, pixels.shape)
        pixels, alpha = pixels[rows, columns], None if alpha is None else alpha[rows, columns]
    image = Image.fromarray(np.ascontiguousarray(pixels))
    for enhance, factor in (
        (ImageEnhance.Brightness, adjustment.brightness),
        (ImageEnhance.Contrast, adjustment.contrast),
        (ImageEnhance.Color, adjustment.saturation),
    ):
        if factor != 1:
            image = enhance(image).enhance(factor)
    note = f"the picture was {', '.join(adjustment.words)}"
    if alpha is not None:
        alpha = np.ascontiguousarray(alpha)
        if not alpha.any():
            raise PictureError("the crop shows nothing of the picture", "choose another --crop")
    return replace(
        picture,
        pixels=np.array(image),
        alpha=alpha,
        notes=(*picture.notes, note),
        adjustments=(*picture.adjustments, *adjustment.words),
        kept=picture.kept if adjustment.crop is None else ALL,
    )


def _turned(picture: Picture, adjustment: Adjustment) -> tuple[NDArray[np.uint8], NDArray[np.uint8] | None]:
    """Return pixels and opacity, rotated and flipped."""
    planes = [picture.pixels] if picture.alpha is None else [picture.pixels, picture.alpha]
    quarters, rest = divmod(adjustment.rotate % 360, 90)
    planes = [np.rot90(plane, -int(quarters)) for plane in planes]
    if rest:
        planes = _rotated(planes, rest)
    if adjustment.flip:
        planes = [np.flip(plane, axis=1 if adjustment.flip == "across" else 0) for plane in planes]
    return planes[0], planes[1] if len(planes) > 1 else None


def _rotated(planes: list[NDArray[np.uint8]], degrees: float) -> list[NDArray[np.uint8]]:
    """Return planes rotated clockwise, cut to the largest upright rectangle without empty corners."""
    height, width = planes[0].shape[:2]
    wide, high = _inscribed(width, height, math.radians(degrees))
    turned = []
    for plane in planes:
        image = Image.fromarray(np.ascontiguousarray(plane))
        whole = np.asarray(image.rotate(-degrees, Image.Resampling.BICUBIC, expand=True))
        # A pixel less at each side: the outermost are mixed with the empty corners.
        columns, rows = max(1, math.floor(wide) - 2), max(1, math.floor(high) - 2)
        top, left = (whole.shape[0] - rows) // 2, (whole.shape[1] - columns) // 2
        turned.append(whole[top : top + rows, left : left + columns])
    return turned


def _inscribed(width: float, height: float, angle: float) -> tuple[float, float]:
    """Return width and height of the largest upright rectangle in a rotated one."""
    sine, cosine = abs(math.sin(angle)), abs(math.cos(angle))
    longer, shorter = max(width, height), min(width, height)
    if shorter <= 2 * sine * cosine * longer or abs(sine - cosine) < 1e-9:
        # Two corners touch the longer sides, the others lie in the middle.
        half = shorter / 2
        return (half / sine, half / cosine) if width >= height else (half / cosine, half / sine)
    double = cosine**2 - sine**2
    return (width * cosine - height * sine) / double, (height * cosine - width * sine) / double


def _cut(part: Part, shape: tuple[int, ...]) -> tuple[slice, slice]:
    """Return rows and columns of a crop, at least one of each."""
    slices = []
    for start, span, pixels in ((part.top, part.height, shape[0]), (part.left, part.width, shape[1])):
        first = min(round(start * pixels), pixels - 1)
        slices.append(slice(first, max(first + 1, min(round((start + span) * pixels), pixels))))
    return slices[0], slices[1]


def best_crop(pixels: NDArray[np.uint8], aspect: float) -> Part:
    """Return the largest part of a shape that keeps most of a picture's edges, in fractions.

    Edges are those of Canny (1986; scikit-image's) in L*. Of places that keep as many the one nearest the
    middle is taken.

    Parameters
    ----------
    pixels : ndarray of shape (H, W, 3), uint8
        Encoded sRGB.
    aspect : float
        Width divided by height.

    Raises
    ------
    SizeError
        The shape has no area.
    """
    from skimage.feature import canny

    if not (math.isfinite(aspect) and aspect > 0):
        raise SizeError(f"a shape of width to height {aspect:g} has no area")
    height, width = pixels.shape[:2]
    image = Image.fromarray(np.ascontiguousarray(pixels))
    image.thumbnail((_SEARCH_PX, _SEARCH_PX), Image.Resampling.BOX)
    light = srgb_to_lab(np.array(image))[..., 0]
    edges = canny(np.ascontiguousarray(light), _EDGE_SPREAD, 5.0, 15.0)  # type: ignore[no-untyped-call]
    across = aspect < width / height
    share = aspect * height / width if across else width / height / aspect
    along = edges.sum(axis=0 if across else 1)
    kept = max(1, round(share * len(along)))
    sums = np.concatenate([[0], np.cumsum(along)])
    counts = sums[kept:] - sums[:-kept]
    best = np.flatnonzero(counts == counts.max())
    start = int(best[np.abs(best - (len(counts) - 1) / 2).argmin()]) / len(along)
    start = min(start, 1 - share)
    return Part(start, 0.0, share, 1.0) if across else Part(0.0, start, 1.0, share)
