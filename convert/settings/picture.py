"""How a picture is made ready before it is sampled."""

from dataclasses import dataclass
from typing import Literal

from convert.settings.declaring import LIMITS, PICTURE, Settings, option


@dataclass(frozen=True, kw_only=True)
class PictureSettings(Settings):
    """What is woven of a picture, and how it is turned, cropped and toned: `convert.picture.readying`."""

    ground: str | None = option(
        None,
        "--ground",
        "What is not woven: auto, the plain colour of the border from there inwards; or a colour; or"
        " keep, nothing.",
        PICTURE,
        metavar="COLOUR|auto|keep",
    )
    ground_holes: bool = option(
        False, "--ground-holes", "Leave out ground that the drawing encloses, too.", PICTURE
    )
    mask: str | None = option(
        None, "--mask", "A picture of the same view: white is woven, black is not.", PICTURE, metavar="FILE"
    )
    crop: str | None = option(
        None,
        "--crop",
        "Part of the picture in fractions of it, after turning; auto: with width and height, the part"
        " of that shape that keeps most of the edges.",
        PICTURE,
        metavar="X,Y,W,H|auto",
    )
    rotate: float = option(
        0.0, "--rotate", "Turn the picture clockwise, before all else.", PICTURE, metavar="DEG"
    )
    flip: Literal["across", "down"] | None = option(
        None, "--flip", "Swap left and right, or top and bottom.", PICTURE
    )
    brightness: float = option(
        1.0, "--brightness", "0 is black, 1 as it is, 2 twice as bright.", PICTURE, metavar="FACTOR"
    )
    contrast: float = option(1.0, "--contrast", "0 is even grey, 1 as it is.", PICTURE, metavar="FACTOR")
    saturation: float = option(
        1.0, "--saturation", "0 is without colour, 1 as it is.", PICTURE, metavar="FACTOR"
    )


@dataclass(frozen=True, kw_only=True)
class PictureLimit(Settings):
    """How large a picture may be."""

    max_megapixels: float | None = option(
        None,
        "--max-megapixels",
        "Largest picture to open, in millions of pixels; 89.5 if not given.",
        LIMITS,
        metavar="N",
    )
