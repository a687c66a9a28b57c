"""What an option takes, and what to say of a value that it does not take."""

from types import UnionType
from typing import Any, Literal, Union, get_args, get_origin

from convert.errors import UsageError
from convert.near_words import did_you_mean
from convert.sentences import listed

LONGEST_SHOWN = 40
# What each option takes, by command and by its name in config files: filled as commands are put together.
KINDS: dict[str, dict[str, Any]] = {}


def refused(where: str, value: Any, kind: Any) -> UsageError:
    """Return the refusal of a value that an option does not take.

    Parameters
    ----------
    where : str
        Which option, and where it was set.
    value : object
        As it was given.
    kind : type
        What the option takes.
    """
    return UsageError(
        f"{where} is {shown_value(value)}: it takes {taken(kind)}",
        did_you_mean(str(value), _choices(kind), "--help tells of each option what it takes"),
    )


def fits(value: Any, kind: Any) -> bool:
    """Return whether a value of TOML is of the kind that an option takes, so far as its type tells.

    A word passes: the option itself reads it as the command line does.
    """
    plain = _plain_kinds(kind)
    if isinstance(value, list):
        return tuple in plain and all(isinstance(one, str) for one in value)
    if isinstance(value, bool):
        return bool in plain
    if isinstance(value, int):
        return bool({int, float} & plain) or value in get_args(_literal(kind))
    if isinstance(value, float):
        return float in plain
    return isinstance(value, str)


def shown_value(value: Any) -> str:
    """Return a value as a message quotes it: one short line, a truth value as TOML writes it."""
    text = str(value).lower() if isinstance(value, bool) else repr(value)
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 3] + "..."


def taken(kind: Any) -> str:
    """Return in words what an option takes."""
    if words := _choices(kind):
        return listed(words, "or")
    plain = _plain_kinds(kind)
    if tuple in plain:
        return 'words in quotes, as in ["A", "B"]'
    if bool in plain:
        return "true or false"
    if int in plain:
        return "a whole number" + (" or a word" if str in plain else "")
    return "a number" if float in plain else "words in quotes"


def _plain_kinds(kind: Any) -> set[Any]:
    """Return the types that an option takes, `tuple` for one that may be given several times."""
    parts = get_args(kind) if get_origin(kind) in (Union, UnionType) else (kind,)
    return {get_origin(part) or part for part in parts}


def _literal(kind: Any) -> Any:
    parts = get_args(kind) if get_origin(kind) in (Union, UnionType) else (kind,)
    return next((part for part in parts if get_origin(part) is Literal), None)


def _choices(kind: Any) -> list[str]:
    return [str(word) for word in get_args(_literal(kind))]
