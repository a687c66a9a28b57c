"""The errors a user can cause, each with the exit code the command line returns for it.

Every message is one line that says what is wrong and where; ``hint`` says what to do about it.
"""

import os
from pathlib import Path


class ConvertError(Exception):
    """Something the user gave cannot be used.

    Parameters
    ----------
    message : str
        What is wrong, and where (file, line, column).
    hint : str, optional
        What to do about it.
    """

    exit_code = 1

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.hint = hint


class PictureError(ConvertError, ValueError):
    """A picture cannot be read, or leaves nothing to weave."""


class PaletteError(ConvertError, ValueError):
    """A palette file is faulty, or lacks a colour that is asked for."""


class StockError(ConvertError, ValueError):
    """The beads on hand do not suffice."""


class SizeError(ConvertError, ValueError):
    """A bead size, finished size, gauge or shape is impossible."""


class PatternFileError(ConvertError, ValueError):
    """A pattern file cannot be read or contradicts itself."""


class ChangeError(ConvertError, ValueError):
    """A pattern cannot be changed as it is asked."""


class ThreadPathError(ConvertError, ValueError):
    """A thread path does not weave the patch it is meant for."""


class OutputError(ConvertError, OSError):
    """An output cannot be written."""


def printable(path: Path | str) -> str:
    """Return a path or name as one line of harmless text, whatever bytes it is made of.

    What cannot be printed is written as an escape, so that unlike names stay unlike.
    """
    text = os.fsencode(path).decode("utf-8", "backslashreplace")
    return "".join(letter if letter.isprintable() else repr(letter)[1:-1] for letter in text)
