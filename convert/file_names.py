"""Names of files as messages and titles show them."""

import os
from pathlib import Path


def printable(path: Path) -> str:
    """Return a path as one line of harmless text, whatever bytes its name is made of.

    What cannot be printed is written as an escape, so that unlike names stay unlike.
    """
    text = os.fsencode(path).decode("utf-8", "backslashreplace")
    return "".join(letter if letter.isprintable() else repr(letter)[1:-1] for letter in text)
