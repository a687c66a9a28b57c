"""Words that somebody may have meant who wrote another: the one place that looks for them."""

from collections.abc import Iterable
from difflib import get_close_matches

from convert.sentences import listed

NEAREST_TOLD = 3
# Of two words by difflib, from 0 to 1: below it they are no slip of each other.
LEAST_LIKENESS = 0.6
# Longer than any word that is known; to compare takes time that grows with the square of it.
_LONGEST = 100
_BLANKS = str.maketrans("-_", "  ")


def near_words(
    word: str, known: Iterable[str], least: float = LEAST_LIKENESS, most: int = NEAREST_TOLD
) -> list[str]:
    """Return the words that one is most like, the nearest first.

    Case, hyphens and the width of blanks do not matter. Of a word that several begin with, these are meant.

    Parameters
    ----------
    word : str
        As somebody wrote it.
    known : iterable of str
        The words there are.
    least : float
        How like they must be, from 0 to 1.
    most : int
        How many at most.
    """
    wanted = as_compared(word[:_LONGEST])
    if not wanted:
        return []
    there: dict[str, str] = {}
    for one in known:
        there.setdefault(as_compared(one[:_LONGEST]), one)
    begun = sorted((one for one in there if len(wanted) > 1 and one.startswith(wanted)), key=len)
    alike = get_close_matches(wanted, there, n=most, cutoff=least)
    return [there[one] for one in list(dict.fromkeys((*begun, *alike)))[:most]]


def did_you_mean(word: str, known: Iterable[str], otherwise: str = "") -> str:
    """Return the hint that names the nearest words.

    Parameters
    ----------
    word, known
        As for `near_words`.
    otherwise : str
        The hint where no word is near.
    """
    near = near_words(word, known)
    return f"did you mean {listed(near, 'or')}?" if near else otherwise


def as_compared(text: str) -> str:
    """Return a text as it is compared: case, hyphens and the width of blanks do not matter."""
    return " ".join(text.casefold().translate(_BLANKS).split())
