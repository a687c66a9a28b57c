"""Numbers as people write them: ``1 250``, ``2,75 €``, ``ca. 200``, ``12 g``.

A single mark before three digits may part thousands or decimals; `Amount` keeps both readings until other
cells settle it, see `Marks`.
"""

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

GRAMS = frozenset({"g", "gr", "gm", "gms", "grm", "gram", "grams", "gramme", "grammes"})
KILOGRAMS = frozenset({"kg", "kilo", "kilos"})
BEADS = frozenset({"bead", "beads", "pc", "pcs", "piece", "pieces", "st", "stk"})
PER_PACK = frozenset({"each", "per pack", "/pack", "/ pack", "a pack", "pack"})
NOTHING_SAID = frozenset({"-", "--", "–", "—", "?", "n/a", "na", "n.a."})
GRAMS_PER_KILOGRAM = 1000
# Beside the signs of Unicode's category Sc: letters that stand for a currency (common practice, no source),
# and codes of ISO 4217. Not all of those, as ALL and TOP are words.
_LETTER_SIGNS = frozenset({"kr", "zł", "kč", "ft", "fr", "lei", "rm", "rs"})
_CODES = re.compile(
    "aed|ars|aud|bgn|brl|cad|chf|clp|cny|cop|czk|dkk|egp|eur|gbp|hkd|huf|idr|ils|inr|isk|jpy|kes|krw|mxn|myr|ngn"
    "|nok|nzd|pen|php|pln|ron|sar|sek|sgd|thb|try|twd|uah|usd|vnd|zar"
)

_LONGEST = 40
_ABOUT = re.compile(
    r"(?:circa|approximately|approx|about|around|roughly|ca|c)\b\.?\s*|[~≈]\s*", re.IGNORECASE
)
_PARTS = re.compile(r"(?P<before>[^0-9.,\s]*)\s*(?P<number>[0-9.,][0-9.,\s'’]*?)\s*(?P<after>[^0-9]*)")
_GROUP_MARKS = " \u00a0\u2009\u202f'’"
_GROUPED = re.compile(
    rf"(?P<whole>[0-9]{{1,3}}(?P<mark>[{_GROUP_MARKS}])[0-9]{{3}}(?:(?P=mark)[0-9]{{3}})*)(?:(?P<point>[.,])(?P<rest>[0-9]+))?"
)
_SINGLE = re.compile(r"(?P<whole>[0-9]*)(?P<mark>[.,])(?P<rest>[0-9]*)")
# India parts lakhs and crores by twos, but for the last three digits.
_MANY = re.compile(r"[0-9]{1,3}(?P<mark>[.,])[0-9]{2,3}(?:(?P=mark)[0-9]{2,3})*(?P=mark)[0-9]{3}")
_BOTH = re.compile(
    r"(?P<whole>[0-9]{1,3}(?P<mark>[.,])(?:[0-9]{2,3}(?P=mark))*[0-9]{3})(?P<point>(?!(?P=mark))[.,])(?P<rest>[0-9]*)"
)


@dataclass(frozen=True, slots=True)
class Amount:
    """A number as it is written.

    Parameters
    ----------
    value : float
        The number, a mark that leaves doubt taken for a decimal one.
    thousands : float or None
        The number if that mark parts thousands; None where there is no doubt.
    mark : str
        The mark in doubt, ``.`` or ``,``; empty where there is none.
    unit : str
        ``g``, ``kg``, ``beads``, or empty.
    currency : str
        Sign or letters of a currency, as written; empty without.
    about : bool
        Whether it is said to be a rough number.
    decimal_mark, thousands_mark : str
        Marks whose meaning this number shows; empty where it shows none.
    """

    value: float
    thousands: float | None = None
    mark: str = ""
    unit: str = ""
    currency: str = ""
    about: bool = False
    decimal_mark: str = ""
    thousands_mark: str = ""


@dataclass(frozen=True, slots=True)
class Marks:
    """What the marks in numbers mean, as far as other numbers show.

    Parameters
    ----------
    decimal, thousands : frozenset of str
        Marks that surely part decimals, and thousands.
    """

    decimal: frozenset[str] = frozenset()
    thousands: frozenset[str] = frozenset()

    @classmethod
    def shown_by(cls, amounts: Iterable[Amount], *, whole: bool = False) -> "Marks":
        """Return what numbers show of their marks.

        Parameters
        ----------
        amounts : iterable of Amount
            The numbers.
        whole : bool
            Whether all are whole, so that a fraction cannot be meant.
        """
        decimal, thousands = set(), set()
        for amount in amounts:
            decimal.add(amount.decimal_mark)
            thousands.add(amount.thousands_mark)
            if whole and amount.mark and not amount.value.is_integer():
                thousands.add(amount.mark)
        return cls(frozenset(decimal - {""}), frozenset(thousands - {""}))

    def settle(self, amount: Amount) -> float | None:
        """Return the number that is meant, None where that stays in doubt."""
        if amount.thousands is None:
            return amount.value
        other = {".": ",", ",": "."}[amount.mark]
        parts_decimals = amount.mark in self.decimal or other in self.thousands
        parts_thousands = amount.mark in self.thousands or other in self.decimal
        if parts_decimals == parts_thousands:
            return None
        return amount.value if parts_decimals else amount.thousands


@lru_cache(maxsize=4096)
def written_amount(text: str) -> Amount | None:
    """Return the number a text holds, with its unit and its currency; None where it holds none.

    Parameters
    ----------
    text : str
        The cell. Signs (``+``, ``-``) and exponents are not what people write on a shelf.
    """
    if len(text) > _LONGEST:
        return None
    rest = _ABOUT.sub("", text.strip(), count=1) if _ABOUT.match(text.strip()) else text.strip()
    about = rest != text.strip()
    # Prices without cents: 5,- and 5.–
    rest = re.sub(r"(?<=[0-9])[.,][-–—]{1,2}", "", rest)
    parts = _PARTS.fullmatch(rest)
    number = _number(parts["number"].strip()) if parts else None
    if parts is None or number is None:
        return None
    currency, unit = "", ""
    for word in (parts["before"].strip(), parts["after"].strip()):
        if not word:
            continue
        sign, _, more = word.partition(" ")
        if word == parts["after"].strip() and unit_called(word):
            unit = unit_called(word)
        elif not currency and is_currency(word):
            currency = word
        elif not currency and is_currency(sign) and more.strip().casefold() in PER_PACK:
            currency = sign
        elif word.casefold() in PER_PACK:
            continue
        else:
            return None
    value, thousands, mark, decimal_mark, thousands_mark = number
    return Amount(value, thousands, mark, unit, currency, about, decimal_mark, thousands_mark)


def unit_called(word: str) -> str:
    """Return ``g``, ``kg`` or ``beads`` for a word that means it, empty where none does."""
    plain = word.casefold().rstrip(".")
    for unit, words in (("g", GRAMS), ("kg", KILOGRAMS), ("beads", BEADS)):
        if plain in words:
            return unit
    return ""


def is_currency(word: str) -> bool:
    """Tell whether a word is the sign or the letters of a currency."""
    plain = word.casefold().rstrip(".")
    if plain in _LETTER_SIGNS or _CODES.fullmatch(plain):
        return True
    # A sign, or a sign after the letters of a country: US$.
    return (
        len(word) <= 3
        and unicodedata.category(word[-1:] or " ") == "Sc"
        and word[:-1].isalpha() == (len(word) > 1)
    )


def _number(text: str) -> tuple[float, float | None, str, str, str] | None:
    """Return the number, what it is with thousands, the mark in doubt, and what it shows of its marks."""
    if text.isdigit() and text.isascii():
        return float(text), None, "", "", ""
    if grouped := _GROUPED.fullmatch(text):
        whole = re.sub(f"[{_GROUP_MARKS}]", "", grouped["whole"])
        return float(f"{whole}.{grouped['rest'] or 0}"), None, "", grouped["point"] or "", ""
    if both := _BOTH.fullmatch(text):
        whole = both["whole"].replace(both["mark"], "")
        return float(f"{whole}.{both['rest'] or 0}"), None, "", both["point"], both["mark"]
    if many := _MANY.fullmatch(text):
        return float(text.replace(many["mark"], "")), None, "", "", many["mark"]
    single = _SINGLE.fullmatch(text)
    if single is None or not (single["whole"] or single["rest"]):
        return None
    mark, whole, rest = single["mark"], single["whole"], single["rest"]
    value = float(f"{whole or 0}.{rest or 0}")
    if len(rest) == 3 and 1 <= len(whole) <= 3 and not whole.startswith("0"):
        return value, float(whole + rest), mark, "", ""
    return value, None, "", mark, ""
