"""The limits of the colours that things have, as against those that a screen can light up.

Pointer (1980), "The gamut of real surface colours", Color Research and Application 5(3), 145-155, gives the
greatest chroma found on surfaces at 16 lightnesses and 36 hues of CIELAB. ``surface_gamut.csv`` is his
table, a row a lightness and a column a hue in degrees. It holds for illuminant C, taken for D65 here.
"""

from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import ArrayLike, NDArray

from convert.colour.lab import lab_to_lch


@cache
def _table() -> NDArray[np.float64]:
    text = (files("convert.colour") / "surface_gamut.csv").read_text(encoding="ascii")
    return np.array([line.split(",") for line in text.split()[1:]], np.float64)


def surface_chroma(lab: ArrayLike) -> NDArray[np.float64]:
    """Return the greatest chroma of surfaces at the lightness and hue of colours.

    Parameters
    ----------
    lab : array of shape (N, 3)
        CIELAB of the colours.

    Returns
    -------
    ndarray of shape (N,), float64
        Linear between the places of the table, and beyond them to nothing at black and at white.
    """
    from scipy.interpolate import RegularGridInterpolator

    table = _table()
    grey = np.zeros(table.shape[1] - 1)
    chroma = np.vstack([grey, table[:, 1:], grey])
    lightnesses = np.concatenate([[0.0], table[:, 0], [100.0]])
    hues = np.linspace(0, 360, chroma.shape[1] + 1)
    limit = RegularGridInterpolator((lightnesses, hues), np.column_stack([chroma, chroma[:, 0]]))
    lightness, _, hue = np.moveaxis(lab_to_lch(lab), -1, 0)
    found: NDArray[np.float64] = limit(np.column_stack([np.clip(lightness, 0, 100), np.degrees(hue) % 360]))
    return found
