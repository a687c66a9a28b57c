"""Reading what the user names on the command line: pictures, palettes, patterns, or standard input."""

import sys
from collections.abc import Iterable
from contextlib import nullcontext
from pathlib import Path

from convert.bounded import UnboundedError, read_stream
from convert.cli.concerning import PALETTE, PICTURE
from convert.cli.config import CONFIG_FILE
from convert.cli.options import ForceSettings
from convert.errors import PaletteError, PatternFileError, PictureError, printable
from convert.front_door import Made, read_palette, read_pattern
from convert.noise import noise_kept_off
from convert.palette.model import Palette
from convert.palette.palette_file import STANDARD_INPUT as CALLED
from convert.palette.palette_file import Shelf, parse_shelf
from convert.palette.text_file import MOST_BYTES as PALETTE_BYTES
from convert.palette.text_file import read_bytes
from convert.picture.model import Picture
from convert.picture.reading import LIMIT_MEGAPIXELS, read_picture
from convert.piece.pattern import Pattern
from convert.piece.pattern_schema import MOST_BYTES as PATTERN_BYTES
from convert.settings.weave import BeadLimit
from convert.writing.output_folder import check_files, check_target

STANDARD_INPUT = "-"
LONGEST_STEM = 80
PATTERN_NAME = "pattern.json"
# What the outputs of the smallest piece take, in bytes.
LEAST_ROOM = 2_000_000
# What comes on standard input is kept in memory.
MOST_BYTES = {PictureError: 200_000_000, PaletteError: PALETTE_BYTES, PatternFileError: PATTERN_BYTES}


def stem(source: str) -> str:
    """Return the name of an input without its ending, to name outputs after it."""
    if source == STANDARD_INPUT:
        return "picture"
    return (Path(source).stem or "picture")[:LONGEST_STEM]


def checked_target(
    target: Path, names: Iterable[str], folder: ForceSettings, *inputs: Path | str | None
) -> None:
    """Check that a folder can take outputs and loses none of the files that are read, before any work.

    Parameters
    ----------
    target : Path
        The folder.
    names : iterable of str
        Names of the outputs.
    folder : ForceSettings
        Whether outputs that are there may be replaced.
    *inputs : Path, str or None
        What is read; None for what is not given.
    """
    check_target(target, names, force=folder.force, inputs=_files(inputs), size=LEAST_ROOM)


def checked_files(targets: Iterable[Path], replacing: ForceSettings, *inputs: Path | str | None) -> None:
    """Check that files can be written and are none of those that are read, see `checked_target`."""
    check_files(targets, force=replacing.force, inputs=_files(inputs))


def _files(inputs: Iterable[Path | str | None]) -> list[Path | str]:
    """Return the files that are read, and the one with the options."""
    given = (*inputs, CONFIG_FILE.get())
    return [path for path in given if path is not None and path != STANDARD_INPUT]


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
    return load_pattern(pattern_of(source)).pattern


def pattern_of(source: str) -> str:
    """Return the pattern file of a piece that is named by its folder of outputs, or by that file."""
    return str(Path(source) / PATTERN_NAME) if Path(source).is_dir() else source


def load_pattern(source: str, limit: BeadLimit | None = None) -> Made:
    """Return the piece of a pattern file or of standard input, its thread path proven."""
    given = standard_input(PatternFileError) if source == STANDARD_INPUT else source
    return read_pattern(given, max_beads=(limit or BeadLimit()).max_beads)


def standard_input(error: type[PictureError | PaletteError | PatternFileError]) -> bytes:
    """Return everything on standard input.

    Raises
    ------
    ConvertError
        The given kind, where there is nothing, too much, or no end.
    """
    hint = "pipe a file into the command, or name one"
    try:
        data = b"" if sys.stdin is None else read_stream(sys.stdin.buffer, MOST_BYTES[error])
    except (UnboundedError, OSError) as fault:
        raise error(f"standard input {_reason(fault)}", hint) from fault
    if not data:
        raise error("nothing came on standard input", hint)
    return data


def _reason(fault: UnboundedError | OSError) -> str:
    return str(fault) if isinstance(fault, UnboundedError) else f"cannot be read: {fault.strerror}"
