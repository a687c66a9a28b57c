"""The errors a user can cause, each with the exit code the command line returns for it.

Every message is one line that says what is wrong and where; ``hint`` says what to do about it.
"""

import os
from pathlib import Path

# Letters of a rule shown to either side of the place that is meant.
SHOWN_BEFORE = 50


# Of a message that is told on the command line; the file's name, however long, must not push out the rest.
LONGEST_MESSAGE = 200
_LONGEST_WORD = 60
_MORE = "; and more, --verbose tells all"


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
    # For what says by itself what is wrong.
    usual_hint = "--help tells of each option what it takes"

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.hint = hint


class PictureError(ConvertError, ValueError):
    """A picture cannot be read, or leaves nothing to weave."""

    usual_hint = "give another picture, or another part of it with --crop"


class PaletteError(ConvertError, ValueError):
    """A palette file is faulty, or lacks a colour that is asked for."""

    usual_hint = "mend the palette, or give another with --palette"


class RuleError(ConvertError, ValueError):
    """A rule for colours cannot be read, or not be used on a piece.

    Parameters
    ----------
    message, hint : str
        As in `ConvertError`.
    text : str
        The rule; empty where no place in it is meant.
    place : int
        The letter of it that is meant, from 0; its length for what is missing at the end.
    """

    def __init__(self, message: str, hint: str = "", text: str = "", place: int = 0) -> None:
        super().__init__(message, hint)
        self.text, self.place = text, place

    @property
    def pointed(self) -> str:
        """The part of the rule about the place and a caret below it, two lines; empty without a place."""
        if not self.text:
            return ""
        begin = max(0, self.place - SHOWN_BEFORE)
        part = self.text[begin : self.place + SHOWN_BEFORE]
        shown = "".join(letter if letter.isprintable() else "?" for letter in part)
        return f"  {shown}\n  {' ' * (self.place - begin)}^\n"


class StockError(ConvertError, ValueError):
    """The beads on hand do not suffice."""

    usual_hint = "choose a smaller size, or leave --stock out"


class SizeError(ConvertError, ValueError):
    """A bead size, finished size, gauge or shape is impossible."""


class ShapeError(ConvertError, ValueError):
    """An outline cannot be read, or a piece not be cut in it."""


class PatternFileError(ConvertError, ValueError):
    """A pattern file cannot be read or contradicts itself."""

    usual_hint = "take the pattern.json as combweave wrote it"


class ChangeError(ConvertError, ValueError):
    """A pattern cannot be changed as it is asked."""

    usual_hint = "mend this and try again; nothing was changed"


class SetFileError(ConvertError, ValueError):
    """The file of a set cannot be read or contradicts itself."""

    usual_hint = "mend the named place; the README shows a file of a set"


class ThreadPathError(ConvertError, ValueError):
    """A thread path does not weave the patch it is meant for."""

    usual_hint = "take the pattern.json as combweave wrote it"


class UsageError(ConvertError, ValueError):
    """The command line, or a file that stands for it, asks for what there is not."""

    exit_code = 2


class OutputError(ConvertError, OSError):
    """An output cannot be written."""

    usual_hint = "name another place with --out"


def printable(path: Path | str) -> str:
    """Return a path or name as one line of harmless text, whatever bytes it is made of.

    What cannot be printed is written as an escape, so that unlike names stay unlike.
    """
    text = os.fsencode(path).decode("utf-8", "backslashreplace")
    return "".join(letter if letter.isprintable() else repr(letter)[1:-1] for letter in text)


def as_one_line(message: str) -> str:
    """Return a message as one printable line of at most `LONGEST_MESSAGE` letters.

    Long words, which are names of files, lose their middle first. Of several faults the first are told.
    """
    line = "".join(letter if letter.isprintable() else " " for letter in message)
    if len(line) <= LONGEST_MESSAGE:
        return line
    half = _LONGEST_WORD // 2
    words = [
        word if len(word) <= _LONGEST_WORD else f"{word[:half]}...{word[-half:]}" for word in line.split(" ")
    ]
    line = " ".join(words)
    if len(line) <= LONGEST_MESSAGE:
        return line
    whole = line.rfind("; ", 0, LONGEST_MESSAGE - len(_MORE) + 1)
    return line[:whole] + _MORE if whole > 0 else f"{line[: LONGEST_MESSAGE - 3]}..."
