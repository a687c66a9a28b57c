"""A part of a picture, such as an eye, and its pixels."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from convert.errors import SizeError
from convert.picture.model import Picture

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a picture, in fractions of its width and height.

    Raises
    ------
    SizeError
        It has no area, or reaches out of the picture.
    """

    left: float
    top: float
    width: float
    height: float

    def __post_init__(self) -> None:
        values = (self.left, self.top, self.width, self.height)
        hint = "give left, top, width and height as fractions from 0 to 1, such as 0.3,0.1,0.2,0.2"
        if not all(math.isfinite(value) for value in values):
            raise SizeError(f"the part {self} of the picture is no part", hint)
        if self.width <= 0 or self.height <= 0:
            raise SizeError(f"the part {self} of the picture has no area", hint)
        if min(self.left, self.top) < 0 or max(self.left + self.width, self.top + self.height) > 1 + 1e-9:
            raise SizeError(f"the part {self} lies outside the picture", hint)

    def __str__(self) -> str:
        """Return it as the user gives it."""
        return ",".join(f"{value:.4g}" for value in (self.left, self.top, self.width, self.height))

    @property
    def is_whole(self) -> bool:
        """Whether it is all of the picture."""
        return self == WHOLE

    def within(self, other: "Part", what: str) -> "Part":
        """Return what of this part lies in another one of the same picture, in fractions of that.

        Raises
        ------
        SizeError
            Nothing does; `what` is the option that is to blame.
        """
        if self.is_whole or other.is_whole:
            return self
        left, top = max(self.left, other.left), max(self.top, other.top)
        width = min(self.left + self.width, other.left + other.width) - left
        height = min(self.top + self.height, other.top + other.height) - top
        if min(width, height) <= 0:
            raise SizeError(
                f"{what}: the part {self} shows nothing but ground", "choose a part of the drawing"
            )
        return Part(
            (left - other.left) / other.width,
            (top - other.top) / other.height,
            min(width / other.width, 1.0),
            min(height / other.height, 1.0),
        )

    def box_px(self, picture: Picture) -> Box:
        """Return left, top, right and bottom in pixels of a picture."""
        height, width = picture.pixels.shape[:2]
        return (
            self.left * width,
            self.top * height,
            min((self.left + self.width) * width, width),
            min((self.top + self.height) * height, height),
        )


WHOLE = Part(0.0, 0.0, 1.0, 1.0)


def part_named(text: str, what: str) -> Part:
    """Return the part that four numbers ``X,Y,W,H`` name.

    Raises
    ------
    SizeError
        These are not four numbers, or no part of a picture; `what` is the option that is to blame.
    """
    try:
        left, top, width, height = (float(word) for word in text.split(","))
    except ValueError as error:
        raise SizeError(
            f"{what} takes four numbers X,Y,W,H, not '{text}'",
            "left, top, width and height as fractions of the picture, such as 0.3,0.1,0.2,0.2",
        ) from error
    try:
        return Part(left, top, width, height)
    except SizeError as error:
        raise SizeError(f"{what}: {error}", error.hint) from error


def picture_part(picture: Picture, box_px: Box) -> NDArray[np.uint8]:
    """Return the whole pixels that a box touches, encoded sRGB, what is transparent laid on white."""
    rows = slice(math.floor(box_px[1]), math.ceil(box_px[3]))
    columns = slice(math.floor(box_px[0]), math.ceil(box_px[2]))
    pixels = picture.pixels[rows, columns]
    if picture.alpha is None:
        return np.ascontiguousarray(pixels)
    share = picture.alpha[rows, columns, None] / np.float32(255)
    return np.rint(255 + (pixels - np.float32(255)) * share).astype(np.uint8)


def resized(picture: Picture, box_px: Box, shape: tuple[int, int]) -> NDArray[np.uint8]:
    """Return what lies in a box of a picture, in so many rows and columns, (H, W, 3), encoded sRGB."""
    image = Image.fromarray(picture_part(picture, box_px))
    left, top = math.floor(box_px[0]), math.floor(box_px[1])
    right, bottom = min(box_px[2] - left, image.width), min(box_px[3] - top, image.height)
    finer = box_px[2] - box_px[0] < shape[1]
    kind = Image.Resampling.BILINEAR if finer else Image.Resampling.BOX
    box = (box_px[0] - left, box_px[1] - top, right, bottom)
    return np.asarray(image.resize(shape[::-1], kind, box=box))


def reduced(picture: Picture, factor: int) -> Picture:
    """Return a picture made smaller by a whole number; what is transparent stays so."""
    if factor < 2:
        return picture
    if picture.alpha is None:
        return Picture(picture.name, np.asarray(Image.fromarray(picture.pixels).reduce(factor)))
    # Pillow weighs the pixels by their opacity.
    both = Image.fromarray(np.dstack([picture.pixels, picture.alpha]), "RGBA")
    small = np.asarray(both.reduce(factor))
    return Picture(picture.name, small[..., :3].copy(), small[..., 3].copy())
