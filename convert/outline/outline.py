"""An outline: one closed line, as a polygon fine enough that no loop can tell it from the curve."""

from dataclasses import dataclass
from pathlib import PurePath

import numpy as np
from numpy.typing import NDArray

from convert.errors import ShapeError
from convert.near_words import did_you_mean
from convert.outline.drawn import DRAWN, flattened
from convert.outline.svg_file import read_outline

# Of a polygon's area: how much may differ from its mirror image that counts as symmetric.
_LIKE_ITS_IMAGE = 0.01
_ROWS = 400


@dataclass(frozen=True, eq=False, slots=True)
class Outline:
    """A closed line.

    Parameters
    ----------
    name : str
        What a piece of this outline is called.
    points : ndarray of shape (N, 2), float64
        Its corners in turn, y down, from 0 in both directions to 1 in the longer. Read-only.
    symmetric : tuple of bool
        Whether it is its own mirror image with left and right swapped, and with top and bottom swapped.
    """

    name: str
    points: NDArray[np.float64]
    symmetric: tuple[bool, bool]

    @classmethod
    def of(cls, name: str, points: NDArray[np.float64]) -> "Outline":
        """Return the outline through some points.

        Raises
        ------
        ShapeError
            It has no area.
        """
        points = points - points.min(axis=0)
        size = points.max(axis=0)
        if not size.min() > 1e-6 * size.max() > 0:
            raise ShapeError(f"the outline of {name} encloses no area", "draw a closed line round an area")
        points = points / size.max()
        points.flags.writeable = False
        return cls(name, points, (_is_mirrored(points, 0), _is_mirrored(points, 1)))

    @property
    def size(self) -> NDArray[np.float64]:
        """Width and height, the longer of which is 1."""
        return np.asarray(self.points.max(axis=0))

    @property
    def area(self) -> float:
        """Share of its box that it covers."""
        x, y = self.points.T
        twice = (x * np.roll(y, -1) - y * np.roll(x, -1)).sum()
        return float(abs(twice) / 2 / self.size.prod())

    @property
    def aspect(self) -> float:
        """Width by height."""
        return float(self.size[0] / self.size[1])


def outline_named(wanted: str) -> Outline:
    """Return an outline by its name or from an SVG file.

    Parameters
    ----------
    wanted : str
        One of `convert.outline.drawn.DRAWN`, or the path of a file that ends in ``.svg``.

    Raises
    ------
    ShapeError
        There is no such outline, or the file has none.
    """
    if wanted in DRAWN:
        return Outline.of(wanted, flattened(DRAWN[wanted], wanted))
    path = PurePath(wanted)
    if path.suffix.lower() != ".svg":
        raise ShapeError(
            f"there is no outline {wanted[:40]!r}",
            did_you_mean(wanted, DRAWN, f"it is {', '.join(DRAWN)}, or a file that ends in .svg"),
        )
    return Outline.of(path.stem, read_outline(wanted))


def _is_mirrored(points: NDArray[np.float64], axis: int) -> bool:
    """Return whether a polygon is alike on both sides of its middle, on lines across an axis."""
    along, across = points[:, 1 - axis], points[:, axis]
    low, high = along.min(), along.max()
    lines = low + (np.arange(_ROWS) + 0.5) / _ROWS * (high - low)
    start, end = along, np.roll(along, -1)
    # Where each edge crosses each line; sorted crossings of a line and those of the image must agree.
    crosses = (start[None] <= lines[:, None]) != (end[None] <= lines[:, None])
    slope = np.divide(
        np.roll(across, -1) - across, end - start, out=np.zeros(len(points)), where=end != start
    )
    at = across + (lines[:, None] - start) * slope
    middle = (across.min() + across.max()) / 2
    off = np.where(crosses, at - middle, 0.0)
    # Signed sums of odd powers vanish where the two sides are alike.
    reach = np.ptp(across) / 2
    uneven = np.abs(off.sum(axis=1)).max() / reach, np.abs((off**3).sum(axis=1)).max() / reach**3
    return bool(max(uneven) < _LIKE_ITS_IMAGE * 4)
