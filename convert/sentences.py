"""Counts and lists as they stand in a sentence, whoever says it."""

from collections.abc import Iterable


def listed(words: Iterable[str], last: str = "and") -> str:
    """Return words as a list, such as ``1.1, 1.2 and 1.3``; nothing for none.

    Parameters
    ----------
    words : iterable of str
        Any number.
    last : str
        What stands before the last of several.
    """
    words = list(words)
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def counted(number: int, what: str) -> str:
    """Return a number with what it counts, such as ``2 loops``."""
    return f"{number:,} {what}{'s' * (number != 1)}"
