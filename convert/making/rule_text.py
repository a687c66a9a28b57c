"""The grammar of rules by which beads are coloured: from what a user writes to what is meant.

A rule is a word that says which rule it is, then colours: codes or names of the palette, in quotes where they
hold blanks or are numbers. The words are read without the palette, so that a slip is told at once.
"""

import re
from dataclasses import dataclass

from convert.errors import RuleError
from convert.near_words import did_you_mean

LONGEST_RULE = 1_000
MOST_LINES = 10_000
# Each rule, what it takes, and the line that explains it.
STRIPES, BLOCKS, SHARES, FADES, KINDS_OF_BEAD = "stripes", "blocks", "shares", "fades", "kinds of bead"
_STRIPES = "colours, each after how many lines of beads it has, or one number for all at the end: {0} 3A 1B"
RULES = {
    "rows": (STRIPES, _STRIPES),
    "columns": (STRIPES, _STRIPES),
    "rounds": (STRIPES, "colours from the middle outward, each after how many rounds it has: {0} A B 2C"),
    "diagonal": (STRIPES, _STRIPES),
    "chevron": (STRIPES, "colours, each after how many lines it has, or one number for all: {0} A B C 2"),
    "checks": (BLOCKS, "two colours or more, then how many loops wide a check is: {0} A B 2"),
    "cores": (KINDS_OF_BEAD, "two colours: {0} A connectors B"),
    "random": (SHARES, "colours, each with its share after it: {0} A 3 B 1; --seed N is another throw"),
    "shade": (FADES, "two colours or more, from one end to the other: {0} A B C"),
}
_CONNECTORS = "connectors"
_LEAST = {BLOCKS: 2, FADES: 2, KINDS_OF_BEAD: 2}
_WORD = re.compile(r"""(?P<count>\d+)??(?P<quote>["'])(?P<quoted>.*?)(?P=quote)|(?P<word>[^\s,"']+)""")
_COUNTED = re.compile(r"(\d+)([^\d.].*)")
_QUOTES = "a colour that is a number or has blanks stands in quotes, such as '101' or 'heron grey'"


@dataclass(frozen=True, slots=True)
class Called:
    """A colour as a rule calls it, where in the rule that stands, and how much there is of it."""

    name: str
    place: int
    count: int = 1


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule, understood.

    Parameters
    ----------
    kind : str
        One of `RULES`.
    colours : tuple of Called
        Its colours in turn, each with how many lines it has, its share, or how wide a check is.
    text : str
        As it was written.
    """

    kind: str
    colours: tuple[Called, ...]
    text: str

    def fault(self, called: Called, message: str, hint: str) -> RuleError:
        """Return what is wrong with one of the colours."""
        return RuleError(message, hint, self.text, called.place)


@dataclass(frozen=True, slots=True)
class _Word:
    """A word of a rule: a number that stands alone, a colour, or a colour with a number before it."""

    text: str
    place: int
    count: int | None = None
    quoted: bool = False

    @property
    def number(self) -> int | None:
        return int(self.text) if self.text.isdecimal() and not self.quoted else None


def parse_rule(text: str) -> Rule:
    """Return what a rule means.

    Parameters
    ----------
    text : str
        Such as ``chevron A B C 2``.

    Raises
    ------
    RuleError
        It cannot be read; the error shows where.
    """
    if len(text) > LONGEST_RULE:
        raise RuleError(f"a rule of {len(text):,} letters is too long", f"take at most {LONGEST_RULE:,}")
    if not text.isprintable():
        at = next(place for place, letter in enumerate(text) if not letter.isprintable())
        raise RuleError("the rule has a character that cannot be printed", "write it in one line", text, at)
    words = _words(text)
    if not words:
        raise RuleError("the rule is empty", f"it begins with {_all_rules()}")
    kind = words[0].text.lower()
    if kind not in RULES or words[0].quoted:
        hint = did_you_mean(kind, RULES)
        raise RuleError(
            f"there is no rule {words[0].text[:24]!r}",
            f"{hint}{' A' if hint else 'a'} rule begins with {_all_rules()}",
            text,
            0,
        )
    return Rule(kind, _Reading(text, kind, words[1:]).colours(), text)


def _all_rules() -> str:
    *most, last = RULES
    return f"{', '.join(most)} or {last}"


def _words(text: str) -> list[_Word]:
    words = []
    at = 0
    while at < len(text):
        if text[at].isspace() or text[at] == ",":
            at += 1
            continue
        found = _WORD.match(text, at)
        if found is None:
            raise RuleError("a quote is opened and not closed", _QUOTES, text, at)
        count = None if found["count"] is None else int(found["count"])
        if found["quote"]:
            if not found["quoted"].strip():
                raise RuleError("between these quotes stands no colour", _QUOTES, text, at)
            words.append(_Word(found["quoted"], at, count, quoted=True))
        elif (end := found.end()) < len(text) and text[end] in "\"'" and not found["word"].isdecimal():
            raise RuleError("a quote in the middle of a word", _QUOTES, text, end)
        else:
            words.append(_Word(found["word"], at))
        at = found.end()
    return words


class _Reading:
    """The words after the name of a rule."""

    def __init__(self, text: str, kind: str, words: list[_Word]) -> None:
        self._text, self._kind, self._words = text, kind, words
        self._takes, grammar = RULES[kind]
        self._grammar = f"{kind} takes {grammar.format(kind)}"

    def colours(self) -> tuple[Called, ...]:
        """Return the colours that the rule names.

        Raises
        ------
        RuleError
            The words are not those that the rule takes.
        """
        ways = {
            STRIPES: self._stripes,
            BLOCKS: self._blocks,
            SHARES: self._shares,
            FADES: self._fades,
            KINDS_OF_BEAD: self._kinds_of_bead,
        }
        found = ways[self._takes]()
        least = _LEAST.get(self._takes, 1)
        if len(found) < least:
            lacking = "no colour" if not found else f"{len(found)} colour only"
            raise self._fault(len(self._text), f"{self._kind} has {lacking}")
        return tuple(found)

    def _stripes(self) -> list[Called]:
        words, each = self._words, None
        if words and (each := words[-1].number) is not None:
            words = words[:-1]
        found = [self._counted(word) for word in words]
        if each is not None:
            if all(count is not None for _, count in found) and found:
                raise self._fault(self._words[-1].place, "every colour has a number of its own already")
            self._check_count(each, self._words[-1])
        return [Called(called.name, called.place, count or each or 1) for called, count in found]

    def _blocks(self) -> list[Called]:
        words = self._words
        if not words or (wide := words[-1].number) is None:
            raise self._fault(len(self._text), "how wide a check is must stand at the end")
        self._check_count(wide, words[-1])
        return [Called(called.name, called.place, wide) for called in map(self._plain, words[:-1])]

    def _shares(self) -> list[Called]:
        found: list[Called] = []
        shared = True
        for word in self._words:
            if (share := word.number) is None:
                called, count = self._counted(word)
                found.append(Called(called.name, called.place, count or 1))
                shared = count is not None
            elif shared:
                raise self._fault(word.place, "a share stands after its colour")
            else:
                self._check_count(share, word)
                found[-1] = Called(found[-1].name, found[-1].place, share)
                shared = True
        return found

    def _fades(self) -> list[Called]:
        return [self._plain(word) for word in self._words]

    def _kinds_of_bead(self) -> list[Called]:
        words = self._words
        wanted = ("the colour of the cores", f"the word {_CONNECTORS}", "the colour of the connectors")
        for place, what in enumerate(wanted):
            here = words[place] if place < len(words) else None
            if here is None or (place == 1 and here.text.lower() != _CONNECTORS):
                at = len(self._text) if here is None else here.place
                raise self._fault(at, f"here must stand {what}")
        if len(words) > len(wanted):
            raise self._fault(words[len(wanted)].place, f"nothing more goes with {self._kind}")
        return [self._plain(words[0]), self._plain(words[2])]

    def _plain(self, word: _Word) -> Called:
        """Return a colour that has no number of its own."""
        if word.count is not None:
            raise self._fault(word.place, "no number stands before a colour here")
        if word.number is not None:
            raise self._fault(word.place, "a number where a colour must stand", _QUOTES)
        self._refuse_options(word)
        return Called(word.text, word.place)

    def _counted(self, word: _Word) -> tuple[Called, int | None]:
        """Return a colour and the number before it, if there is one."""
        if word.number is not None:
            raise self._fault(word.place, "a number stands right before its colour, or at the end", _QUOTES)
        self._refuse_options(word)
        count, name, place = word.count, word.text, word.place
        if not word.quoted and (parts := _COUNTED.fullmatch(word.text)):
            count, name = int(parts[1]), parts[2]
            place += parts.start(2)
        if count is not None:
            self._check_count(count, word)
        return Called(name, place), count

    def _refuse_options(self, word: _Word) -> None:
        if word.text.startswith("--") and not word.quoted:
            raise self._fault(
                word.place,
                f"{word.text[:24]} is no colour",
                "options stand outside the rule: --rule 'random A 3 B 1' --seed 7",
            )

    def _check_count(self, count: int, word: _Word) -> None:
        if not 1 <= count <= MOST_LINES:
            raise self._fault(word.place, f"a number is 1 to {MOST_LINES:,} here, not {count}")

    def _fault(self, place: int, message: str, hint: str = "") -> RuleError:
        return RuleError(message, self._grammar + (f"; {hint}" if hint else ""), self._text, place)
