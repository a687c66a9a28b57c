"""How an option is declared: once, as a field of a frozen dataclass that the command line reads, too."""

import dataclasses
from dataclasses import dataclass
from typing import Any, Literal, Self, get_args, get_origin, get_type_hints

from convert.errors import SizeError

# Headings under which the help lists options, in this order.
CHANGES, SIZE, COLOUR, PICTURE, THREAD, KITS, OUTPUT, LIMITS = HEADINGS = (
    "Changes",
    "Size and weave",
    "Colours",
    "Picture",
    "Thread",
    "Kits for a class",
    "Output",
    "Limits",
)
_KEY = "option"


@dataclass(frozen=True, slots=True)
class Option:
    """How the command line shows a field.

    Parameters
    ----------
    flag : str
        Its name there, such as ``--width``.
    help : str
        One plain line.
    heading : str
        Under which the help lists it.
    metavar : str or None
        What stands for the value; None for what the type says.
    least, most : float or None
        Bounds of a number that the command line holds by itself.
    """

    flag: str
    help: str
    heading: str
    metavar: str | None = None
    least: float | None = None
    most: float | None = None

    @property
    def name(self) -> str:
        """The name of the option in config files and the environment."""
        return self.flag.removeprefix("--").replace("-", "_")


def option(default: Any, flag: str, text: str, heading: str, **more: Any) -> Any:
    """Return a dataclass field with its declaration; `more` as in `Option`."""
    return dataclasses.field(default=default, metadata={_KEY: Option(flag, text, heading, **more)})


@dataclass(frozen=True, kw_only=True)
class Settings:
    """A group of options. Its fields are plain values: words, numbers, yes or no, tuples of words.

    Raises
    ------
    SizeError
        A word is none of those to choose from.
    """

    def __post_init__(self) -> None:
        for name, words in _words(type(self)).items():
            value = getattr(self, name)
            if value not in words:
                known = " or ".join(str(word) for word in words if word is not None)
                raise SizeError(f"{_flag(type(self), name)} is {known}, not '{value}'")

    @classmethod
    def of(cls, options: "Settings") -> Self:
        """Return this group out of options that have all its fields, among others."""
        return cls(**{field.name: getattr(options, field.name) for field in dataclasses.fields(cls)})


def declared(group: type[Settings]) -> dict[str, tuple[Option, Any, Any]]:
    """Return the option, the type and the default of each field of a group that the command line shows."""
    hints = get_type_hints(group)
    return {
        field.name: (field.metadata[_KEY], hints[field.name], field.default)
        for field in dataclasses.fields(group)
        if _KEY in field.metadata
    }


def _words(group: type[Settings]) -> dict[str, tuple[Any, ...]]:
    """Return the words to choose from, None where that may be left out, of each field that has such."""
    found = {}
    for name, hint in get_type_hints(group).items():
        choices = [kind for kind in (hint, *get_args(hint)) if get_origin(kind) is Literal]
        if choices:
            left_out = (None,) if type(None) in get_args(hint) else ()
            found[name] = (*get_args(choices[0]), *left_out)
    return found


def _flag(group: type[Settings], name: str) -> str:
    return next((found.flag for field, (found, _, _) in declared(group).items() if field == name), name)
