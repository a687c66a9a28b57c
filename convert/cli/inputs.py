"""Reading what the user names on the command line: pictures, palettes, patterns, or standard input."""

import sys
from contextlib import nullcontext
from pathlib import Path

from convert.cli.concerning import PALETTE, PICTURE
from convert.errors import PaletteError, PatternFileError, PictureError, printable
from convert.front_door import Made, read_palette, read_pattern
from convert.noise import noise_kept_off
from convert.palette.model import Palette
from convert.palette.palette_file import STANDARD_INPUT as CALLED
from convert.palette.palette_file import Shelf, parse_shelf
from convert.palette.text_file import read_bytes
from convert.picture.model import Picture
from convert.picture.reading import LIMIT_MEGAPIXELS, read_picture
from convert.piece.pattern import Pattern

STANDARD_INPUT = "-"
LONGEST_STEM = 80
PATTERN_NAME = "pattern.json"


def stem(source: str) -> str:
    """Return the name of an input without its ending, to name outputs after it."""
    if source == STANDARD_INPUT:
        return "picture"
    return (Path(source).stem or "picture")[:LONGEST_STEM]


def load_picture(source: str, max_megapixels: float | None) -> Picture:
    """Return the picture of a file or of standard input."""
    limit = LIMIT_MEGAPIXELS if max_megapixels is None else max_megapixels
    data = standard_input(PictureError) if source == STANDARD_INPUT else Path(source)
    # Whoever wants all that is told gets what decoders print, too.
    with nullcontext() if "--verbose" in sys.argv else noise_kept_off():
        picture = read_picture(data, limit_megapixels=limit)
    PICTURE.set("the picture on standard input" if source == STANDARD_INPUT else printable(source))
    return picture


def load_palette(source: str | None, sheet: str | None = None) -> tuple[Palette, tuple[str, ...]]:
    """Return the palette of a file, of standard input or the one that ships, and notes on it.

    Parameters
    ----------
    source : str or None
        The file, `STANDARD_INPUT`, or None for the palette that ships.
    sheet : str, optional
        Sheet of a workbook, by its name or its number from 1.
    """
    if source is not None:
        PALETTE.set(CALLED if source == STANDARD_INPUT else printable(source))
    return read_palette(standard_input(PaletteError) if source == STANDARD_INPUT else source, sheet)


def load_shelf(source: str, sheet: str | None = None) -> tuple[Shelf, bytes]:
    """Return a palette with the places of its stock, and the file it was read from."""
    if source == STANDARD_INPUT:
        data = standard_input(PaletteError)
        return parse_shelf(data, CALLED, sheet), data
    name = printable(Path(source))
    data = read_bytes(Path(source), name)
    return parse_shelf(data, name, sheet), data


def load_piece(source: str) -> Pattern:
    """Return the pattern of a piece, named by its folder of outputs or by its pattern file."""
    return load_pattern(str(Path(source) / PATTERN_NAME) if Path(source).is_dir() else source).pattern


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
