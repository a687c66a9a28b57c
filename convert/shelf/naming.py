"""The codes and names that heaps get."""

import re
import unicodedata
from collections.abc import Collection, Sequence
from pathlib import Path

from convert.errors import PaletteError, printable
from convert.palette.model import LONGEST_TEXT
from convert.palette.text_file import decoded

_MOST_BYTES = 1_000_000
_SEPARATORS = re.compile(r"[,;\t]")
# Letters that are taken for digits are left out.
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
_CODE = re.compile(r"([A-Z]+)[0-9]+")
# What stands in a list of names for a word that is found.
AS_FOUND, REST_AS_FOUND = "-", "..."


def numbered(words: Sequence[str], taken: Collection[str] = ()) -> list[str]:
    """Return words with numbers, so that every name is there once: ``dark green 1``, ``dark green 2``.

    Parameters
    ----------
    words : sequence of str
        In the order of numbering.
    taken : collection of str
        Names that are there already.
    """
    used = {name.casefold() for name in taken}
    names = []
    for word in words:
        number = 1
        while f"{word} {number}".casefold() in used:
            number += 1
        names.append(f"{word} {number}")
        used.add(names[-1].casefold())
    return names


def codes(rows: Sequence[int], taken: Collection[str] = ()) -> list[str]:
    """Return codes in reading order: a letter for the row and a number for the place, ``A1``, ``A2``, ``B1``.

    Parameters
    ----------
    rows : sequence of int
        How many heaps each row holds.
    taken : collection of str
        Codes that are there already; rows get letters that none of them begins with.
    """
    used = {match[1] for code in taken if (match := _CODE.fullmatch(code.upper()))}
    found: list[str] = []
    letters = (name for name in map(_letters, range(len(rows) + len(used))) if name not in used)
    for count, name in zip(rows, letters, strict=False):
        found += [f"{name}{place}" for place in range(1, count + 1)]
    return found


def _letters(number: int) -> str:
    """Return the letters of a row, from 0: A to Z without I and O, then AA, AB and so on."""
    first, last = divmod(number, len(_LETTERS))
    return (_letters(first - 1) if first else "") + _LETTERS[last]


def read_names(path: Path) -> list[list[str]]:
    """Return the names of a file, in the rows in which its lines give them.

    Parameters
    ----------
    path : Path
        A text file in reading order: a name a line, or the names of a row on a line, with commas, semicolons
        or tabs between them. `AS_FOUND` in place of a name keeps the word that is found; `REST_AS_FOUND` as
        the last line keeps those of all heaps that follow. Blank lines count for nothing.

    Raises
    ------
    PaletteError
        It cannot be read, is no text, or a name cannot be used.
    """
    shown = printable(path)
    try:
        if not path.is_file():
            what = "is a folder" if path.is_dir() else "is not there" if not path.exists() else "is no file"
            raise PaletteError(f"the list of names {shown} {what}", "give a text file with a name a line")
        if path.stat().st_size > _MOST_BYTES:
            raise PaletteError(
                f"{shown} is larger than {_MOST_BYTES // 1_000_000} MB", "give a list of names"
            )
        text, _ = decoded(path.read_bytes(), shown)
    except (OSError, ValueError) as error:
        if isinstance(error, PaletteError):
            raise
        reason = getattr(error, "strerror", None) or error
        raise PaletteError(f"cannot read the list of names {shown}: {reason}") from error
    rows = []
    for number, line in enumerate(text.splitlines(), start=1):
        names = [_name(part, f"{shown}, line {number}") for part in _SEPARATORS.split(line)]
        if any(names):
            if not all(names):
                raise PaletteError(
                    f"{shown}, line {number}: a name is empty", "write a name between two commas"
                )
            rows.append(names)
    return rows


def check_names(rows: list[list[str]], heaps: Sequence[int], source: str) -> list[str]:
    """Return the names in reading order, `AS_FOUND` where none is given, once they fit the heaps.

    Parameters
    ----------
    rows : list of list of str
        As `read_names` gives them.
    heaps : sequence of int
        How many heaps each row of the photograph holds.
    source : str
        What messages call the list.

    Raises
    ------
    PaletteError
        There are more or fewer names than heaps, in all or in a row.
    """
    hint = (
        f"name the heaps in reading order; write {AS_FOUND} for one to keep the word that is found, and"
        f" {REST_AS_FOUND} as the last line for all that follow"
    )
    open_end = rows[-1:] == [[REST_AS_FOUND]]
    rows = rows[:-1] if open_end else rows
    if any(len(row) > 1 for row in rows):
        if len(rows) != len(heaps) and not (open_end and len(rows) < len(heaps)):
            told = f"{len(rows)} row{'s' * (len(rows) != 1)}"
            raise PaletteError(f"{source} names {told}, the photograph shows {len(heaps)}", hint)
        for number, (row, count) in enumerate(zip(rows, heaps, strict=False), start=1):
            if len(row) != count:
                raise PaletteError(
                    f"{source}: row {number} has {len(row)} names, the photograph shows {count} heaps there",
                    hint,
                )
    names = [name for row in rows for name in row]
    if open_end:
        names += [AS_FOUND] * (sum(heaps) - len(names))
    if len(names) != sum(heaps):
        raise PaletteError(f"{source} has {len(names)} names, the photograph shows {sum(heaps)} heaps", hint)
    return names


def _name(text: str, where: str) -> str:
    """Return a name on one line, without characters that cannot be seen."""
    seen = "".join(letter for letter in text if unicodedata.category(letter) != "Cf")
    name = " ".join(seen.split())
    if len(name) > LONGEST_TEXT or not name.isprintable():
        raise PaletteError(f"{where}: a name is not one line of at most {LONGEST_TEXT} letters")
    return name
