"""Bead colours, and the palette of those to choose from."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.colour.srgb import is_hex, parse_hex
from convert.errors import PaletteError
from convert.near_words import NEAREST_TOLD, near_words
from convert.sentences import listed
from convert.settings.money import check_currency

LONGEST_TEXT = 200
LONGEST_SHOWN = 24
# See `near_words`: codes are short, so that one slip makes them quite unlike.
_LEAST_LIKENESS = 0.5
# No material reaches further from grey; generous, so that only slips of the pen are refused.
MOST_CHROMATIC = 200.0
# What numbers may be: beyond any shelf and any purse only slips of the keyboard and formulas gone wrong lie.
RANGES: dict[str, tuple[float, float]] = {
    "on_hand": (0, 1_000_000_000),
    "on_hand_g": (0, 1_000_000_000),
    "per_gram": (0.001, 1_000_000),
    "pack_g": (0.001, 1_000_000),
    "price": (0, 1_000_000_000),
}
_ROUNDING = 1e-6


def shown(value: str) -> str:
    """Return a text that a user gave as messages quote it: short, and printable."""
    short = value if len(value) <= LONGEST_SHOWN else value[: LONGEST_SHOWN - 3] + "..."
    return "'" + "".join(letter if letter.isprintable() else "?" for letter in short) + "'"


@dataclass(frozen=True, slots=True)
class BeadColour:
    """A colour of bead, in one size or in any.

    Parameters
    ----------
    code : str
        What the bead is ordered by; unique in a palette per size.
    name : str
        What it is called; may be empty.
    size : str or None
        Name of the bead size, such as ``11/0``; None fits any size.
    hex : str
        The colour for the screen, ``#RRGGBB`` in encoded sRGB.
    lab : tuple of float
        The colour for comparison, CIELAB under D65 and the 2-degree observer. It may lie outside sRGB, where
        `hex` cannot follow.
    finish : str
        Surface, such as "matte"; may be empty.
    on_hand : int or None
        Beads in stock; None is not known.
    on_hand_g : float or None
        Stock in grams, an alternative to `on_hand`.
    per_gram : float or None
        Beads in one gram; None is the average of the size.
    pack_g : float or None
        Grams in one pack.
    price : float or None
        Price of one pack.
    currency : str
        What the price is in; may be empty.

    Raises
    ------
    PaletteError
        A text is too long or cannot be shown in one line, a number is out of range, or `hex` is no colour.
    """

    code: str
    name: str
    size: str | None
    hex: str
    lab: tuple[float, float, float]
    finish: str = ""
    on_hand: int | None = None
    on_hand_g: float | None = None
    per_gram: float | None = None
    pack_g: float | None = None
    price: float | None = None
    currency: str = ""

    def __post_init__(self) -> None:
        if not self.code.strip():
            raise PaletteError("a bead colour has no code")
        if self.size is not None and not self.size.strip():
            raise PaletteError(f"bead {self.code!r}: its size is blank", "leave it out for any size")
        for what, text in (
            ("code", self.code),
            ("name", self.name),
            ("size", self.size or ""),
            ("finish", self.finish),
        ):
            if not text.isprintable() or len(text) > LONGEST_TEXT:
                raise PaletteError(
                    f"bead {self.code[:20]!r}: its {what} is not one line of at most {LONGEST_TEXT} letters"
                )
        check_currency(self.currency)
        if not is_hex(self.hex):
            raise PaletteError(f"bead {self.code!r}: {self.hex[:20]!r} is not a colour of the form #RRGGBB")
        lightness, a, b = self.lab
        # Written so that NaN fails, too.
        within = -_ROUNDING <= lightness <= 100 + _ROUNDING
        if not (within and abs(a) <= MOST_CHROMATIC and abs(b) <= MOST_CHROMATIC):
            raise PaletteError(
                f"bead {self.code!r}: L {lightness:g}, a {a:g}, b {b:g} is not a colour",
                f"L goes from 0 to 100, a and b from -{MOST_CHROMATIC:g} to {MOST_CHROMATIC:g}",
            )
        for what, (least, most) in RANGES.items():
            number = getattr(self, what)
            if number is not None and not least <= number <= most:
                raise PaletteError(f"bead {self.code!r}: {what} is not from {least:g} to {most:,}")

    def beads_on_hand(self, per_gram: float | None) -> int | None:
        """Return how many beads are in stock, None where that is not known.

        Parameters
        ----------
        per_gram : float or None
            Beads in one gram on the average of the size, for stock in grams of a colour that does not say.
        """
        if self.on_hand is not None or self.on_hand_g is None:
            return self.on_hand
        beads = self.on_hand_g * (self.per_gram or per_gram or math.nan) if self.on_hand_g else 0.0
        return None if math.isnan(beads) else math.floor(beads + _ROUNDING)


@dataclass(frozen=True, slots=True)
class Palette:
    """The bead colours to choose from.

    Parameters
    ----------
    name : str
        What the palette is called, usually the name of its file.
    entries : tuple of BeadColour
        Its colours, in the order that decides ties.

    Raises
    ------
    PaletteError
        There are no entries, two cannot be told apart by code and size, or their prices cannot be added up.
    """

    name: str
    entries: tuple[BeadColour, ...]

    def __post_init__(self) -> None:
        if not self.entries:
            raise PaletteError(f"palette {self.name} has no colours")
        for later, _ in clashes((entry.code, entry.size) for entry in self.entries):
            entry = self.entries[later]
            raise PaletteError(
                f"palette {self.name} has code {entry.code!r} twice for {size_in_words(entry.size)}",
                "give each colour of a size a code of its own",
            )
        if clash := currency_clash(entry.currency for entry in self.entries):
            raise PaletteError(
                f"palette {self.name} has prices in {self.entries[clash[0]].currency}"
                f" and in {self.entries[clash[1]].currency}",
                "give all prices in one currency",
            )

    @property
    def currency(self) -> str:
        """What the prices are in; empty where no entry says."""
        return next((entry.currency for entry in self.entries if entry.currency), "")

    def labs(self) -> NDArray[np.float64]:
        """Return CIELAB of all entries, shape (K, 3)."""
        return np.array([entry.lab for entry in self.entries], dtype=np.float64)

    def rgb(self) -> NDArray[np.uint8]:
        """Return encoded sRGB of all entries, shape (K, 3)."""
        return np.array([parse_hex(entry.hex) for entry in self.entries], np.uint8)

    def colour_numbers(self) -> NDArray[np.int32]:
        """Return the colour each entry is, shape (K,), counted from 0 in the palette's order.

        A palette lists a colour once for each bead size it comes in. Entries of the same code, name, hex and
        finish are one colour, since the eye sees the size; of a size there is at most one of them.
        """
        numbers: dict[tuple[str, str, str, str], int] = {}
        found = (
            numbers.setdefault((entry.code, entry.name, entry.hex, entry.finish), len(numbers))
            for entry in self.entries
        )
        return np.fromiter(found, dtype=np.int32, count=len(self.entries))

    def for_size(self, name: str) -> NDArray[np.int32]:
        """Return the indices of the entries that come in a bead size, shape (E,), in the palette's order.

        Parameters
        ----------
        name : str
            Name of the size, compared letter by letter; entries without a size come in every one.
        """
        usable = (index for index, entry in enumerate(self.entries) if entry.size in (None, name))
        return np.fromiter(usable, dtype=np.int32)

    def find(self, called: str, size: str | None = None) -> int:
        """Return the index of the first entry that is called so.

        Parameters
        ----------
        called : str
            A code, a name, or the beginning of a name that one colour only has; in any case. A code that is
            written so goes before a name, a whole name before a beginning.
        size : str, optional
            Name of a bead size it is to come in.

        Raises
        ------
        PaletteError
            There is none, or there are several; the nearest are told.
        """
        usable = [
            index for index, entry in enumerate(self.entries) if size is None or entry.size in (None, size)
        ]
        wanted = _plain(called)
        ways: tuple[Callable[[BeadColour], bool], ...] = (
            lambda entry: entry.code == called,
            lambda entry: _plain(entry.code) == wanted,
            lambda entry: _plain(entry.name) == wanted,
            lambda entry: _plain(entry.name or entry.code).startswith(wanted),
        )
        for fits in ways if wanted else ():
            found = {
                self.entries[index].code: index for index in reversed(usable) if fits(self.entries[index])
            }
            if len(found) == 1:
                return next(iter(found.values()))
            if found:
                several = _or(self.entries[index] for index in sorted(found.values()))
                raise PaletteError(
                    f"palette {self.name} has {len(found)} colours that {shown(called)} may be: {several}",
                    "give the code of the one that is meant",
                )
        within = "" if size is None else f" in size {size}"
        near = self._nearest(wanted, usable)
        raise PaletteError(
            f"palette {self.name} has no bead {shown(called)}{within}",
            f"did you mean {_or(self.entries[index] for index in near)}?" if near else "",
        )

    def _nearest(self, wanted: str, usable: list[int]) -> list[int]:
        """Return the entries whose codes or names are written most like a word, one of each code."""
        words: dict[str, int] = {}
        for index in usable:
            for word in (self.entries[index].code, self.entries[index].name):
                if word:
                    words.setdefault(_plain(word), index)
        near = near_words(wanted, words, _LEAST_LIKENESS, 2 * NEAREST_TOLD)
        first = {self.entries[words[word]].code: words[word] for word in reversed(near)}
        return list(reversed(first.values()))[:NEAREST_TOLD]


def _plain(text: str) -> str:
    """Return a text as it is compared: case and the width of blanks do not matter."""
    return " ".join(text.casefold().split())


def _or(entries: Iterable[BeadColour]) -> str:
    told = [f"{entry.name} ({entry.code})" if entry.name else entry.code for entry in entries]
    if len(told) > NEAREST_TOLD:
        told = [*told[:NEAREST_TOLD], f"one of {len(told) - NEAREST_TOLD} more"]
    return listed(told, "or")


def clashes(keys: Iterable[tuple[str, str | None]]) -> list[tuple[int, int]]:
    """Return the entries that an earlier one leaves ambiguous.

    Parameters
    ----------
    keys : iterable of (code, size)
        Of each entry in turn. An entry without a size clashes with every other of its code.

    Returns
    -------
    list of (int, int)
        Index of the entry, and of the first one it clashes with.
    """
    first: dict[str, int] = {}
    first_of_size: dict[tuple[str, str | None], int] = {}
    found = []
    for index, (code, size) in enumerate(keys):
        earlier = first.get(code) if size is None else first_of_size.get((code, size))
        earlier = first_of_size.get((code, None)) if earlier is None else earlier
        if earlier is not None:
            found.append((index, earlier))
        first.setdefault(code, index)
        first_of_size.setdefault((code, size), index)
    return found


def currency_clash(currencies: Iterable[str]) -> tuple[int, int] | None:
    """Return the first entry that names a currency and the first that names another, None if all agree."""
    first: tuple[int, str] | None = None
    for index, currency in enumerate(currencies):
        if currency and first is None:
            first = index, currency
        elif first is not None and currency not in ("", first[1]):
            return first[0], index
    return None


def size_in_words(size: str | None) -> str:
    """Name a bead size in a sentence."""
    return "any size" if size is None else f"size {size}"
