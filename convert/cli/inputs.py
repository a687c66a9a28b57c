"""Reading what the user names on the command line: pictures, palettes, patterns, or standard input."""

import sys
from pathlib import Path

from convert.errors import PaletteError, PatternFileError, PictureError
from convert.front_door import Made, read_palette, read_pattern
from convert.palette.model import Palette
from convert.picture.model import Picture
from convert.picture.reading import LIMIT_MEGAPIXELS, read_picture

STANDARD_INPUT = "-"
LONGEST_STEM = 80


def stem(source: str) -> str:
    """Return the name of an input without its ending, to name outputs after it."""
    if source == STANDARD_INPUT:
        return "picture"
    return (Path(source).stem or "picture")[:LONGEST_STEM]


def load_picture(source: str, max_megapixels: float | None) -> Picture:
    """Return the picture of a file or of standard input."""
    limit = LIMIT_MEGAPIXELS if max_megapixels is None else max_megapixels
    data = standard_input(PictureError) if source == STANDARD_INPUT else Path(source)
    return read_picture(data, limit_megapixels=limit)


def load_palette(source: str | None) -> tuple[Palette, tuple[str, ...]]:
    """Return the palette of a file, of standard input or the one that ships, and notes on it."""
    return read_palette(standard_input(PaletteError) if source == STANDARD_INPUT else source)


def load_pattern(source: str) -> Made:
    """Return the piece of a pattern file or of standard input, its thread path proven."""
    return read_pattern(standard_input(PatternFileError) if source == STANDARD_INPUT else source)


def standard_input(error: type[PictureError | PaletteError | PatternFileError]) -> bytes:
    """Return everything on standard input.

    Raises
    ------
    ConvertError
        The given kind, where there is nothing.
    """
    data = sys.stdin.buffer.read() if sys.stdin is not None else b""
    if not data:
        raise error("nothing came on standard input", "pipe a file into the command, or name one")
    return data
