"""Colours as instruments give them: CIELAB under D50, XYZ, or a reflectance spectrum.

All become CIELAB under D65 for the 2-degree observer. colormath does the conversions, with the white points
adapted by Bradford's transform. It takes missing bands for 0 and impossible values for possible ones, so that
everything is checked before.
"""

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from convert.colour.lab import xyz_to_lab
from convert.errors import PaletteError

# Bands of a spectrum in nm, as hand-held spectrophotometers give them.
BANDS_NM = tuple(range(380, 740, 10))
# Brighteners give back more light in a band than falls on it.
_MOST_REFLECTANCE = 1.5
_MOST_XYZ = 150.0
_MOST_AB = 200.0


def lab_of_lab_d50(values: Sequence[float]) -> tuple[float, float, float]:
    """Return CIELAB under D65 for L*, a*, b* under D50.

    Raises
    ------
    PaletteError
        There are not three numbers, or one is out of range.
    """
    from colormath.color_conversions import convert_color
    from colormath.color_objects import LabColor, XYZColor

    lightness, a, b = _numbers(values, ("L*", "a*", "b*"))
    _within("L*", lightness, 0, 100)
    for name, value in (("a*", a), ("b*", b)):
        _within(name, value, -_MOST_AB, _MOST_AB)
    return _lab(convert_color(LabColor(lightness, a, b, observer="2", illuminant="d50"), XYZColor))


def lab_of_xyz(values: Sequence[float], illuminant: str = "d65") -> tuple[float, float, float]:
    """Return CIELAB under D65 for X, Y, Z on the scale where white has Y = 100.

    Parameters
    ----------
    values : sequence of three float
        Tristimulus values for the 2-degree observer.
    illuminant : str
        ``d65`` or ``d50``, the white they are relative to.

    Raises
    ------
    PaletteError
        There are not three numbers, or one is out of range.
    """
    from colormath.color_objects import XYZColor

    xyz = _numbers(values, ("X", "Y", "Z"))
    for name, value in zip("XYZ", xyz, strict=True):
        _within(name, value, 0, _MOST_XYZ)
    return _lab(XYZColor(*(value / 100 for value in xyz), observer="2", illuminant=illuminant))


def lab_of_spectrum(reflectances: Sequence[float]) -> tuple[float, float, float]:
    """Return CIELAB under D65 for the reflectances of `BANDS_NM`, from 0 to 1.

    Raises
    ------
    PaletteError
        Bands are missing or too many, or a reflectance is no number or out of range.
    """
    from colormath.color_conversions import convert_color
    from colormath.color_objects import SpectralColor, XYZColor

    if len(reflectances) != len(BANDS_NM):
        raise PaletteError(
            f"the spectrum has {len(reflectances)} bands, not the {len(BANDS_NM)} from {BANDS_NM[0]} to"
            f" {BANDS_NM[-1]} nm in steps of 10",
            "give one reflectance for each band, from 0 to 1",
        )
    values = _numbers(reflectances, [f"reflectance at {band} nm" for band in BANDS_NM])
    for band, value in zip(BANDS_NM, values, strict=True):
        if value > _MOST_REFLECTANCE:
            raise PaletteError(
                f"the reflectance at {band} nm is {value:g}, far above 1", "divide percentages by 100"
            )
        _within(f"reflectance at {band} nm", value, 0, _MOST_REFLECTANCE)
    bands = {f"spec_{band}nm": value for band, value in zip(BANDS_NM, values, strict=True)}
    return _lab(convert_color(SpectralColor(**bands, observer="2", illuminant="d65"), XYZColor))


MEASURED: dict[str, Callable[[Sequence[float]], tuple[float, float, float]]] = {
    "lab_d50": lab_of_lab_d50,
    "xyz": lab_of_xyz,
    "spectrum": lab_of_spectrum,
}


def _lab(xyz: Any) -> tuple[float, float, float]:
    """Return CIELAB under D65 of a colormath colour, by the one conversion of this project."""
    if xyz.illuminant != "d65":
        xyz.apply_adaptation("d65", adaptation="bradford")
    lab = xyz_to_lab(xyz.get_value_tuple())
    lightness, a, b = lab.tolist()
    for name, value in (("a*", a), ("b*", b)):
        _within(name, value, -_MOST_AB, _MOST_AB)
    # A brightener can make a bead lighter than white paper; as a colour of the palette it is white.
    return min(lightness, 100.0), a, b


def _numbers(values: Sequence[float], names: Sequence[str]) -> list[float]:
    if len(values) != len(names):
        raise PaletteError(f"{' '.join(names)} are {len(names)} numbers, not {len(values)}")
    numbers = [float(value) for value in values]
    for name, number in zip(names, numbers, strict=True):
        if not np.isfinite(number):
            raise PaletteError(f"{name} is {number}, which is no number", "measure it again, or leave it out")
    return numbers


def _within(name: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise PaletteError(f"{name} is {value:g}, not from {low:g} to {high:g}")
