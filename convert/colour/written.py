"""Colours as tables hold them: hexadecimal, ``rgb()``, ``hsl()``, three bytes, or a name of CSS."""

import re

from PIL import ImageColor

from convert.colour.css_names import named_colour
from convert.colour.srgb import is_hex

_SHORT = re.compile("#([0-9A-Fa-f]{3})")
# CSS Color Module Level 4, sections 5.1 and 7: commas or spaces between the numbers, opaque if anything.
_FUNCTION = re.compile(r"(rgb|hsl)a?\(([^()/]*)(?:/\s*(?:1(?:\.0*)?|100%)\s*)?\)", re.IGNORECASE)
_NUMBER = r"[0-9]{1,3}(?:\.[0-9]{1,6})?"
_THREE_BYTES = re.compile(r"([0-9]{1,3})(?:\s*[,;/]\s*|\s+)([0-9]{1,3})(?:\s*[,;/]\s*|\s+)([0-9]{1,3})")
_BARE_HSL = re.compile(rf"{_NUMBER}°?[\s,;]+{_NUMBER}\s*%[\s,;]+{_NUMBER}\s*%")
_LONGEST = 60

Rgb = tuple[int, int, int]


def written_colour(text: str) -> Rgb | None:
    """Return the red, green and blue bytes of a colour in a table, None where it is none.

    Parameters
    ----------
    text : str
        ``#RRGGBB``, ``RRGGBB``, ``#RGB``, ``rgb(31, 111, 165)``, ``31,111,165``, ``hsl(204, 68%, 38%)``,
        ``204, 68%, 38%``, or a colour name of CSS, in which spaces and hyphens do not count.
    """
    rgb = numeric_colour(text)
    return css_colour(text) if rgb is None else rgb


def css_colour(text: str) -> Rgb | None:
    """Return the bytes of a colour name of CSS, in which case, spaces and hyphens do not count."""
    if len(text) > _LONGEST or not text.isascii():
        return None
    name = re.sub(r"[\s-]+", "", text)
    return named_colour(name) if name.isalpha() and not is_hex(f"#{name}") else None


def numeric_colour(text: str) -> Rgb | None:
    """Return the bytes of a colour that is written in numbers, None where it is none."""
    text = text.strip()
    if len(text) > _LONGEST or not text.removesuffix("%").replace("°", "").isascii():
        return None
    if is_hex(text) or is_hex(f"#{text}"):
        return named_colour(text)
    if short := _SHORT.fullmatch(text):
        return named_colour("#" + "".join(digit * 2 for digit in short[1]))
    if three := _THREE_BYTES.fullmatch(text):
        red, green, blue = (int(number) for number in three.groups())
        return (red, green, blue) if max(red, green, blue) <= 255 else None
    if _BARE_HSL.fullmatch(text):
        text = f"hsl({text})"
    function = _FUNCTION.fullmatch(text)
    return _of_function(function[1].lower(), function[2]) if function else None


def _of_function(name: str, inside: str) -> Rgb | None:
    """Return the bytes of CSS's function by Pillow, which knows its older form, with commas, only."""
    numbers = re.sub(r"°|deg\b", "", inside).replace(" %", "%").replace(";", ",")
    parts = [part for part in re.split(r"\s*,\s*|\s+", numbers.strip()) if part]
    if len(parts) == 4 and re.fullmatch(r"1(?:\.0*)?|100%", parts[3]):
        parts = parts[:3]
    if len(parts) != 3 or not all(re.fullmatch(rf"{_NUMBER}%?", part) for part in parts):
        return None
    values = [float(part.removesuffix("%")) for part in parts]
    percent = [part.endswith("%") for part in parts]
    if name == "hsl":
        # CSS Color 4, section 7, allows saturation and lightness without the sign, too.
        if percent[0] or percent[1] != percent[2] or values[0] > 360 or max(values[1:]) > 100:
            return None
        parts = [parts[0], f"{values[1]}%", f"{values[2]}%"]
    elif len(set(percent)) > 1 or max(values) > (100 if percent[0] else 255):
        return None
    elif not percent[0]:
        parts = [str(round(value)) for value in values]
    red, green, blue = ImageColor.getrgb(f"{name}({','.join(parts)})")[:3]
    return red, green, blue
