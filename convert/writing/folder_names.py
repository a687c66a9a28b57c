"""What a folder of outputs is called: after the title of its piece, never like one that is there."""

import itertools
import os
import re
import unicodedata
from pathlib import Path

# File systems allow 255 bytes; a number comes behind, and the folder is to be read.
MOST_BYTES = 120
_NAMELESS = "piece"
# Names that some systems keep for devices.
_KEPT = re.compile(r"con|prn|aux|nul|(com|lpt)\d", re.IGNORECASE)
_NUMBER = re.compile(r"-[1-9]\d*$")
# Written beside each other by every piece; one of another piece would hardly have both.
_OF_A_PIECE = ("beads.csv", "stitches.txt")


def folder_name(title: str) -> str:
    """Return the name of a folder for a title: its letters and digits, small, with hyphens between.

    Whatever else stands in it, such as what parts folders in a path, becomes a hyphen.

    Parameters
    ----------
    title : str
        The title.
    """
    letters = unicodedata.normalize("NFC", title).casefold()
    kept = "".join(letter if letter.isalnum() else "-" for letter in letters)
    name = re.sub("-+", "-", kept).strip("-").encode()[:MOST_BYTES].decode(errors="ignore").strip("-")
    return f"{_NAMELESS}-{name}" if _KEPT.fullmatch(name) else name or _NAMELESS


def folder_beside(pattern: Path | None, title: str) -> Path:
    """Return the folder of a piece that is made anew: beside the old one and called after the title.

    A folder that bears the title, and more, keeps its name. The first that is not there is taken of the name
    itself, ``-2``, ``-3`` and so on.

    Parameters
    ----------
    pattern : Path or None
        The pattern file; None where it came on standard input.
    title : str
        Title of the piece.
    """
    name = folder_name(title)
    home = Path() if pattern is None else pattern.parent
    if pattern is not None and all((home / other).is_file() for other in _OF_A_PIECE):
        old = home.resolve()
        stem = _NUMBER.sub("", old.name)
        if (stem + "-").casefold().startswith(name + "-"):
            name = stem
        home = old.parent if home == Path() else home.parent
    numbered = (name if number == 1 else f"{name}-{number}" for number in itertools.count(1))
    return next(home / one for one in numbered if not os.path.lexists(home / one))
