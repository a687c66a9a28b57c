"""Turns of phrase that all words about the work share: lists, runs, spans, numbers."""

import itertools
import re
from collections.abc import Iterable, Sequence

from convert.sentences import listed

_NUMBERS = ("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


# A space at which no line is broken.
GLUE = "\N{NO-BREAK SPACE}"
# A bead and where it lies stay together, a count and what is counted, an arrow and what it leads to; so does
# what might be taken for the number of a stitch at the beginning of a line, with the word before it.
_TOGETHER = re.compile(r" (?=\()|(?<= x) | (?=x )|(?<=\N{RIGHTWARDS ARROW}) | (?=\d)")
_IN_BRACKETS = re.compile(r"\([^()]*\)")


def glued(text: str) -> str:
    """Return a line in which what belongs together is joined by `GLUE`, so that it is not broken there.

    Parameters
    ----------
    text : str
        One line; spaces at its beginning stay as they are.
    """
    indent = len(text) - len(text.lstrip())
    whole = _IN_BRACKETS.sub(lambda found: found[0].replace(" ", GLUE), text[indent:])
    return text[:indent] + _TOGETHER.sub(GLUE, whole)


def sentence(text: str) -> str:
    """Return words as a sentence.

    Parameters
    ----------
    text : str
        At least one letter.
    """
    return f"{capitalised(text)}."


def capitalised(text: str) -> str:
    """Return words with a capital at the beginning, the rest as it is.

    Parameters
    ----------
    text : str
        At least one letter.
    """
    return text[0].upper() + text[1:]


def plural(word: str, count: int) -> str:
    """Return a word in the number that a count asks for.

    Parameters
    ----------
    word : str
        A word whose plural ends in s.
    count : int
        How many.
    """
    return f"{word}s" if count > 1 else word


def folded_names(names: Iterable[str], times: str = " x ") -> list[str]:
    """Return names in their order, a run of equal ones folded as in ``3 x WH``.

    Parameters
    ----------
    names : iterable of str
        Names of beads.
    times : str
        What stands between the number and the name.
    """
    runs = [(name, len(list(run))) for name, run in itertools.groupby(names)]
    return [name if count == 1 else f"{count}{times}{name}" for name, count in runs]


def counted(told: Sequence[str], count: int) -> str:
    """Return folded names in one phrase, with the number of beads where it does not show.

    Parameters
    ----------
    told : sequence of str
        Names as `folded_names` gives them.
    count : int
        How many beads they are.
    """
    return told[0] if len(told) == 1 else f"{count}: {', '.join(told)}"


def number_word(count: int) -> str:
    """Return a number in words up to twelve, in figures beyond.

    Parameters
    ----------
    count : int
        Two or more.
    """
    return _NUMBERS[count - 2] if count - 2 < len(_NUMBERS) else str(count)


def ordinal(count: int) -> str:
    """Return an ordinal in figures: ``1st``, ``12th``, ``22nd``.

    Parameters
    ----------
    count : int
        One or more.
    """
    ending = "th" if 10 < count % 100 < 14 else {1: "st", 2: "nd", 3: "rd"}.get(count % 10, "th")
    return f"{count}{ending}"


def span(first: int, last: int) -> str:
    """Return a span of numbers: ``3``, ``3 and 4``, ``3 to 7``.

    Parameters
    ----------
    first, last : int
        Both counted.
    """
    if last - first < 2:
        return f"{first} and {last}" if last > first else f"{first}"
    return f"{first} to {last}"


def spans(numbers: Sequence[int]) -> str:
    """Return ascending numbers as a list in which runs without gaps are told by their ends.

    Parameters
    ----------
    numbers : sequence of int
        At least one.
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return listed([f"{run[0]} to {run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs])
