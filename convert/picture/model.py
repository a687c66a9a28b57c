"""A picture, ready to be sampled."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.errors import PictureError

ALL = (0.0, 0.0, 1.0, 1.0)


@dataclass(frozen=True, eq=False, slots=True)
class Picture:
    """A picture, ready to be sampled.

    It looks at the arrays it is given and copies nothing, as pictures are large. Its own views are read-only;
    whoever still holds the arrays keeps them as they are, and should not write to them any more.

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
    adjustments : tuple of str
        How it was turned, cropped and toned, and what was left out of it, in words.
    coloured_throughout : bool
        Whether pixels that are transparent have a colour, too, since a ground or a mask has made them so.
    kept : tuple of float
        Left, top, width and height of what is left of the picture as it was turned and cropped, in fractions
        of that; less than all where margins of ground were cut.

    Raises
    ------
    PictureError
        An array is of another shape or type, or has no pixels. `read_picture` takes arrays of other kinds.
    """

    name: str
    pixels: NDArray[np.uint8]
    alpha: NDArray[np.uint8] | None = None
    notes: tuple[str, ...] = ()
    adjustments: tuple[str, ...] = ()
    coloured_throughout: bool = False
    kept: tuple[float, float, float, float] = ALL

    def __post_init__(self) -> None:
        pixels, alpha = self.pixels, self.alpha
        if not (_is_uint8(pixels) and pixels.ndim == 3 and pixels.shape[2] == 3 and pixels.size):
            raise _unfit("pixels", "(H, W, 3)", pixels)
        object.__setattr__(self, "pixels", _read_only(pixels))
        if alpha is not None:
            if not (_is_uint8(alpha) and alpha.shape == pixels.shape[:2]):
                raise _unfit("opacity", str(pixels.shape[:2]), alpha)
            object.__setattr__(self, "alpha", _read_only(alpha))

    @property
    def is_opaque(self) -> bool:
        """Whether it is shown everywhere."""
        return self.alpha is None or int(self.alpha.min()) == 255

    @property
    def aspect(self) -> float:
        """Width divided by height."""
        height, width = self.pixels.shape[:2]
        return float(width / height)


def _is_uint8(array: object) -> bool:
    return isinstance(array, np.ndarray) and array.dtype == np.uint8


def _unfit(what: str, wanted: str, given: object) -> PictureError:
    found = type(given).__name__
    if isinstance(given, np.ndarray):
        found = f"{given.dtype} of shape {given.shape}"
    return PictureError(
        f"the {what} of a picture must be an array of uint8 of shape {wanted}, not {found}",
        "read_picture takes arrays of other kinds",
    )


def _read_only(array: NDArray[np.uint8]) -> NDArray[np.uint8]:
    view = array.view()
    view.flags.writeable = False
    return view
