"""The columns of a palette file, and how a cell of each is read."""

import re
from collections.abc import Callable, Iterable
from functools import lru_cache, partial
from typing import Any

from convert.colour.measured import MEASURED
from convert.colour.srgb import is_hex, to_hex
from convert.colour.written import written_colour
from convert.errors import PaletteError, SizeError
from convert.near_words import as_compared, near_words
from convert.palette.model import LONGEST_TEXT, MOST_CHROMATIC, RANGES, shown
from convert.palette.table import Plain, Unusable
from convert.sentences import listed
from convert.settings.money import CURRENCY_RULE, is_currency
from convert.weave.beads import bead_size, named_sizes

# Python reads more as a number than people write, such as 1_0 or the digits of other scripts. What is not
# finite passes here and fails the checks of the range, which say more about it.
_DECIMAL = re.compile(
    r"[+-]?([0-9]{1,20}(\.[0-9]{0,30})?|\.[0-9]{1,30})(e[+-]?[0-9]{1,3})?|nan|[+-]?inf", re.IGNORECASE
)
# Nothing but zeros may follow the point, and not three of them: 1.000 may be a thousand.
_WHOLE = re.compile(r"[0-9]{1,20}(\.0{1,2})?")

# Joiners (U+200C, U+200D) and the soft hyphen shape words of some scripts; they print nothing themselves.
_UNPRINTED = str.maketrans("", "", "\u200c\u200d\u00ad")
_APART = re.compile(r"\s*(?:[,;&+|]|\band\b|\s)\s*")
# 11/0 as people write it: 11°, size 11/0, 11/o, 11 / 0.
_AUGHTS = re.compile(r"(?:size|no\.?|nr\.?)?\s*([0-9]{1,2})\s*(?:/\s*[0o]|[°º])\s*(-[a-z]+)?")

Lab = tuple[float, float, float]
# See `near_words`: people keep columns of many kinds, and most are no slip.
_LEAST_LIKENESS = 0.7


class CellError(ValueError):
    """What is wrong with one cell."""


def _text(value: str) -> str:
    if len(value) > LONGEST_TEXT:
        raise CellError(f"longer than {LONGEST_TEXT} characters")
    # Line breaks in a quoted name, no-break spaces and the like become plain spaces.
    value = " ".join(value.translate(_UNPRINTED).split())
    for letter in value:
        # Control characters would break terminals and XML; those that turn the writing direction deceive.
        if not letter.isprintable():
            raise CellError(f"has a character that cannot be printed, U+{ord(letter):04X}")
    return value


def _size(value: str) -> str:
    """Return the name of a bead size as the command line knows it, in small letters."""
    name = _text(value.lower())
    aughts = _AUGHTS.fullmatch(name)
    usual = f"{aughts[1]}/0{aughts[2] or ''}" if aughts else name
    return usual if usual in named_sizes() else name


def _currency(value: str) -> str:
    value = _text(value)
    if not is_currency(value):
        raise CellError(f"{shown(value)} is not a currency of {CURRENCY_RULE}")
    return value


@lru_cache(maxsize=1024)
def sizes(value: str) -> tuple[str, ...]:
    """Return the bead sizes of a cell: several only where each part of it is one that can be woven.

    Raises
    ------
    CellError
        It cannot be shown in one line.
    """
    whole = _size(value)
    if whole in named_sizes():
        return (whole,)
    parts = [_size(part) for part in _APART.split(whole) if part]
    return tuple(dict.fromkeys(parts)) if len(parts) > 1 and all(map(can_be_woven, parts)) else (whole,)


def can_be_woven(size: str) -> bool:
    """Tell whether a size is a known one, or gives its measures."""
    try:
        bead_size(size)
    except SizeError:
        return False
    return True


@lru_cache(maxsize=4096)
def _hex(value: str) -> str:
    if is_hex(value):
        return value.upper()
    rgb = written_colour(value)
    if rgb is None:
        raise CellError(
            f"{shown(value)} is not a colour of the form #RRGGBB, nor one of rgb(), hsl() or a name of CSS"
        )
    return to_hex(rgb)


def hex_of_number(cell: Plain) -> str:
    """Return the colour of a cell that a spreadsheet has taken for a number, as it does with six digits.

    Raises
    ------
    CellError
        It may be two colours, or none.
    """
    if not cell.isdigit() or len(cell) > 6:
        raise CellError(f"{shown(cell)} is a number; format the column as text and type the colour again")
    whole = cell.zfill(6)
    if len(cell) == 3:
        short = "".join(digit * 2 for digit in cell)
        raise CellError(f"{shown(cell)} may be #{short} or #{whole}: write the one that is meant, with its #")
    return f"#{whole}"


def usable(cell: str) -> str:
    """Return a cell if it holds text or a number.

    Raises
    ------
    CellError
        It holds something else, such as a date.
    """
    if isinstance(cell, Unusable):
        raise CellError(cell)
    return cell


def _decimal(value: str) -> float:
    if not _DECIMAL.fullmatch(value):
        raise CellError(f"{shown(value)} is not a number")
    return float(value)


def _number(column: str, value: str) -> float:
    number = _decimal(value)
    least, most = RANGES[column]
    if not least <= number <= most:
        raise CellError(f"{shown(value)} is not from {least:g} to {most:,}")
    return number


def _count(column: str, value: str) -> int:
    if not _WHOLE.fullmatch(value) or float(value) > RANGES[column][1]:
        raise CellError(f"{shown(value)} is not a whole number of beads, written in digits only")
    return int(float(value))


def _decimals(value: str) -> list[float]:
    return [_decimal(part) for part in value.replace(";", " ").split()]


def _lab(value: str) -> Lab:
    numbers = _decimals(value)
    if len(numbers) != 3:
        raise CellError(f"{shown(value)} is not three numbers L a b")
    lightness, a, b = numbers
    # Written so that NaN fails, too.
    if not (0 <= lightness <= 100 and abs(a) <= MOST_CHROMATIC and abs(b) <= MOST_CHROMATIC):
        raise CellError(f"{shown(value)} is no colour: L is 0 to 100, a and b -200 to 200")
    return lightness, a, b


def _measured(convert: Callable[[list[float]], Lab]) -> Callable[[str], Lab]:
    """Return the reader of a colour that an instrument gives as several numbers in one cell."""

    def read(value: str) -> Lab:
        try:
            return convert(_decimals(value))
        except PaletteError as error:
            raise CellError(str(error)) from error

    return read


COLUMNS: dict[str, Callable[[str], Any]] = {
    "code": _text,
    "name": _text,
    "hex": _hex,
    "lab": _lab,
    **{name: _measured(convert) for name, convert in MEASURED.items()},
    "size": _size,
    "finish": _text,
    "on_hand": partial(_count, "on_hand"),
    **{name: partial(_number, name) for name in ("on_hand_g", "per_gram", "pack_g", "price")},
    "currency": _currency,
}
# In these a comma is a comma; in all others it may be a decimal comma.
WORD_COLUMNS = ("code", "name", "hex", "size", "finish", "currency")
LAB_COLUMNS = ("lab", *MEASURED)
COLOUR_COLUMNS = ("hex", *LAB_COLUMNS)


def column_meant(words: Iterable[str], known: Iterable[str] | None = None) -> str:
    """Return a hint on what the first of some words over columns may have been meant as, empty if on none.

    Parameters
    ----------
    words : iterable of str
        In quotes or not.
    known : iterable of str, optional
        Of `COLUMNS` those that are looked for; without it any.
    """
    for word in words:
        plain = word.strip("'")
        near = near_words(plain, COLUMNS if known is None else known, _LEAST_LIKENESS)
        if near and as_compared(near[0]) != as_compared(plain):
            return f"did you mean {listed(near, 'or')} by {shown(plain)}?"
    return ""
