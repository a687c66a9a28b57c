"""Files of palettes: only regular ones of a bounded size; their text in any of the usual encodings."""

import codecs
import stat
from collections.abc import Callable
from pathlib import Path

from convert.errors import PaletteError

MOST_BYTES = 20_000_000


def read_bytes(
    path: Path, name: str, called: str = "palette file", kinds: str = "a CSV, .xlsx or .ods file"
) -> bytes:
    """Return the content of a palette file, or of another table of a bounded size.

    Parameters
    ----------
    path : Path
        The file, or a link to it.
    name : str
        What messages call it.
    called, kinds : str
        What it is, and what kinds of file there are of it.

    Raises
    ------
    PaletteError
        It is missing, unreadable, too large, or no regular file; that is told before it is opened, since
        opening a pipe waits for ever.
    """
    try:
        status = path.stat()
    except (OSError, ValueError) as error:
        raise _cannot_read(name, error, called) from error
    if stat.S_ISDIR(status.st_mode):
        raise PaletteError(f"{name} is a folder, not a {called}", f"give {kinds}")
    if not stat.S_ISREG(status.st_mode):
        raise PaletteError(f"{name} is not a regular file", f"give {kinds}")
    check_bytes(status.st_size, name)
    try:
        return path.read_bytes()
    except OSError as error:
        raise _cannot_read(name, error, called) from error


def _cannot_read(name: str, error: OSError | ValueError, called: str) -> PaletteError:
    if isinstance(error, FileNotFoundError):
        return PaletteError(f"there is no {called} {name}", "check the name")
    reason = error.strerror if isinstance(error, OSError) else error
    return PaletteError(f"cannot read the {called} {name}: {reason}", "check the name and its permissions")


def check_bytes(count: int, name: str) -> None:
    """Check that a file is of a size that people's tables have.

    Raises
    ------
    PaletteError
        It is larger.
    """
    if count > MOST_BYTES:
        raise PaletteError(
            f"{name} is larger than {MOST_BYTES // 1_000_000} MB", "give a smaller table of bead colours"
        )


_MARKS = {codecs.BOM_UTF8: "utf-8", codecs.BOM_UTF16_LE: "utf-16-le", codecs.BOM_UTF16_BE: "utf-16-be"}


def rewritten(data: bytes, change: Callable[[str], str]) -> bytes:
    """Return a text file with its text changed, in the encoding and with the byte order mark it has.

    Parameters
    ----------
    data : bytes
        The file, which `decoded` has read.
    change : callable
        Returns the new text for the old one.
    """
    mark = next((mark for mark in _MARKS if data.startswith(mark)), b"")
    encoding = _MARKS.get(mark, "utf-8")
    try:
        text = data[len(mark) :].decode(encoding)
    except UnicodeDecodeError:
        mark, encoding = b"", "cp1252"
        text = data.decode(encoding)
    return mark + change(text).encode(encoding)


def decoded(data: bytes, source: str) -> tuple[str, tuple[str, ...]]:
    """Return the text of a file, and a note where its encoding is a guess.

    Parameters
    ----------
    data : bytes
        UTF-8 with or without a byte order mark, UTF-16 with one, or Windows-1252.
    source : str
        Name of the file, for messages.

    Raises
    ------
    PaletteError
        It is not text.
    """
    marked = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    notes: tuple[str, ...] = ()
    for encoding in ("utf-16",) if marked else ("utf-8-sig", "cp1252"):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            notes = (f"{source} is not UTF-8 and was read as Windows-1252; check names with accents",)
            continue
        # Nearly every byte means something in Windows-1252, so a picture may pass; NUL gives it away.
        if "\0" not in text:
            return text, notes
        break
    raise PaletteError(
        f"{source} is not a text file", "save the palette as CSV, best in UTF-8, or as .xlsx or .ods"
    )
