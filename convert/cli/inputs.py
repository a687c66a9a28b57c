"""Reading what the user names on the command line: pictures, palettes, patterns, or standard input."""

from pathlib import Path
from typing import TYPE_CHECKING

from convert.cli.options import STANDARD_INPUT, standard_input
from convert.errors import PaletteError, PatternFileError, PictureError, printable
from convert.palette.model import Palette
from convert.picture.model import Picture
from convert.piece.pattern import Pattern

if TYPE_CHECKING:
    from convert.palette.palette_file import Shelf

DEFAULT_PALETTE = "lakeside-range"
LONGEST_STEM = 80
PATTERN_NAME = "pattern.json"


def stem(source: str) -> str:
    """Return the name of an input without its ending, to name outputs after it."""
    if source == STANDARD_INPUT:
        return "picture"
    return (Path(source).stem or "picture")[:LONGEST_STEM]


def load_picture(source: str, most_megapixels: float | None) -> Picture:
    """Return the picture of a file or of standard input."""
    from convert.picture.reading import LIMIT_MEGAPIXELS, read_picture

    limit = LIMIT_MEGAPIXELS if most_megapixels is None else most_megapixels
    if source == STANDARD_INPUT:
        return read_picture(standard_input(PictureError), limit_megapixels=limit)
    return read_picture(Path(source), limit_megapixels=limit)


def load_palette(source: str | None, sheet: str | None = None) -> tuple[Palette, tuple[str, ...]]:
    """Return the palette of a file, of standard input or the one that ships, and notes on it.

    Parameters
    ----------
    source : str or None
        The file, `STANDARD_INPUT`, or None for the palette that ships.
    sheet : str, optional
        Sheet of a workbook, by its name or its number from 1.
    """
    from convert.palette.palette_file import read_palette
    from convert.palette.resources import palette_path

    if source is None:
        return read_palette(palette_path(DEFAULT_PALETTE), sheet)
    if source == STANDARD_INPUT:
        return read_palette(standard_input(PaletteError), sheet)
    return read_palette(Path(source), sheet)


def load_shelf(source: str, sheet: str | None = None) -> tuple["Shelf", bytes]:
    """Return a palette with the places of its stock, and the file it was read from."""
    from convert.palette.palette_file import STANDARD_INPUT as CALLED
    from convert.palette.palette_file import parse_shelf
    from convert.palette.text_file import read_bytes

    if source == STANDARD_INPUT:
        data = standard_input(PaletteError)
        return parse_shelf(data, CALLED, sheet), data
    name = printable(Path(source))
    data = read_bytes(Path(source), name)
    return parse_shelf(data, name, sheet), data


def load_piece(source: str) -> Pattern:
    """Return the pattern of a piece, named by its folder of outputs or by its pattern file."""
    return load_pattern(str(Path(source) / PATTERN_NAME) if Path(source).is_dir() else source)


def load_pattern(source: str) -> Pattern:
    """Return the pattern of a file or of standard input."""
    from convert.piece.pattern_file import MOST_BYTES, parse_pattern

    if source == STANDARD_INPUT:
        return parse_pattern(standard_input(PatternFileError), "standard input")
    path = Path(source)
    name = printable(path)
    try:
        if not path.is_file():
            what = (
                "is a folder"
                if path.is_dir()
                else "is not there"
                if not path.exists()
                else "is not a regular file"
            )
            raise PatternFileError(f"the pattern file {name} {what}", "give the pattern.json of a piece")
        if path.stat().st_size > MOST_BYTES:
            raise PatternFileError(f"{name} is larger than {MOST_BYTES // 1_000_000} MB")
        return parse_pattern(path.read_bytes(), name)
    except OSError as error:
        raise PatternFileError(f"cannot read {name}: {error.strerror}") from error
