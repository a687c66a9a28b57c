"""The columns of a palette file, and how a cell of each is read."""

import re
from collections.abc import Callable
from functools import partial
from typing import Any

from convert.colour.measured import MEASURED
from convert.colour.srgb import parse_hex
from convert.errors import PaletteError
from convert.palette.model import LONGEST_TEXT, MOST_CHROMATIC, RANGES
from convert.settings.money import CURRENCY_RULE, is_currency

LONGEST_SHOWN = 24

# Python reads more as a number than people write, such as 1_0 or the digits of other scripts. What is not
# finite passes here and fails the checks of the range, which say more about it.
_DECIMAL = re.compile(
    r"[+-]?([0-9]{1,20}(\.[0-9]{0,30})?|\.[0-9]{1,30})(e[+-]?[0-9]{1,3})?|nan|[+-]?inf", re.IGNORECASE
)
# Nothing but zeros may follow the point, and not three of them: 1.000 may be a thousand.
_WHOLE = re.compile(r"[0-9]{1,20}(\.0{1,2})?")

Lab = tuple[float, float, float]


class CellError(ValueError):
    """What is wrong with one cell."""


def shown(value: str) -> str:
    """Return a text from the file as messages quote it: short, and printable."""
    short = value if len(value) <= LONGEST_SHOWN else value[: LONGEST_SHOWN - 3] + "..."
    return "'" + "".join(letter if letter.isprintable() else "?" for letter in short) + "'"


def _text(value: str) -> str:
    if len(value) > LONGEST_TEXT:
        raise CellError(f"longer than {LONGEST_TEXT} characters")
    # Line breaks in a quoted name, no-break spaces and the like become plain spaces.
    value = " ".join(value.split())
    for letter in value:
        # Control characters would break terminals and XML; those that turn the writing direction deceive.
        if not letter.isprintable():
            raise CellError(f"has a character that cannot be printed, U+{ord(letter):04X}")
    return value


def _size(value: str) -> str:
    """Return the name of a bead size as the command line knows it, in small letters."""
    return _text(value.lower())


def _currency(value: str) -> str:
    value = _text(value)
    if not is_currency(value):
        raise CellError(f"{shown(value)} is not a currency of {CURRENCY_RULE}")
    return value


def _hex(value: str) -> str:
    try:
        parse_hex(value)
    except PaletteError as error:
        raise CellError(f"{shown(value)} is not a colour of the form #RRGGBB") from error
    return value.upper()


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
