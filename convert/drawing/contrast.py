"""Contrast of two colours as WCAG 2.1 defines it, and the ink that reads best on a bead.

Source: W3C, Web Content Accessibility Guidelines 2.1, "relative luminance" and "contrast ratio".
"""

from convert.colour.srgb import decode
from convert.drawing.style import RGB

BLACK: RGB = (0, 0, 0)
WHITE: RGB = (255, 255, 255)
_FLARE = 0.05


def relative_luminance(colour: RGB) -> float:
    """Return the relative luminance of a colour, from 0 to 1."""
    red, green, blue = decode([channel / 255 for channel in colour]).tolist()
    return float(0.2126 * red + 0.7152 * green + 0.0722 * blue)


def contrast_ratio(one: RGB, other: RGB) -> float:
    """Return the contrast ratio of two colours, from 1 to 21."""
    darker, lighter = sorted((relative_luminance(one), relative_luminance(other)))
    return (lighter + _FLARE) / (darker + _FLARE)


def ink_on(colour: RGB) -> RGB:
    """Return black or white, whichever stands out more; the ratio is then never below 4.5.

    The worst ground has a luminance Y with (Y + 0.05) / 0.05 = 1.05 / (Y + 0.05), which gives 4.58.
    """
    return max((BLACK, WHITE), key=lambda ink: contrast_ratio(ink, colour))
