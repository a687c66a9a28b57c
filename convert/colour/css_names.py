"""Colours as people type them: ``#1F6FA5``, ``1f6fa5`` or a name of CSS."""

from PIL import ImageColor

from convert.colour.srgb import is_hex, parse_hex
from convert.errors import ConvertError
from convert.near_words import did_you_mean

_HOW = "write six hexadecimal digits, as in 1F6FA5, or a colour name of CSS, as in teal"


def named_colour(text: str) -> tuple[int, int, int] | None:
    """Return the red, green and blue bytes of a written colour, None where it is none.

    Parameters
    ----------
    text : str
        ``#`` and six hexadecimal digits; the digits alone, since many shells take ``#`` for a comment; or one
        of the 148 named colours of CSS Color Module Level 4, in any case.
    """
    name = text.strip().lower()
    written = name if name.startswith("#") else f"#{name}"
    if is_hex(written):
        return parse_hex(written)
    if name not in ImageColor.colormap:
        return None
    red, green, blue = ImageColor.getrgb(name)[:3]
    return red, green, blue


def colour_called(text: str) -> tuple[int, int, int]:
    """Return the red, green and blue bytes of a written colour.

    Raises
    ------
    ConvertError
        The text is no colour; the hint names the CSS colours that are written like it.
    """
    rgb = named_colour(text)
    if rgb is None:
        raise ConvertError(f"{text!r} is no colour", did_you_mean(text, ImageColor.colormap, _HOW))
    return rgb
