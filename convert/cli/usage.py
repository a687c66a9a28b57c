"""What is wrong with a command line or with the environment, with the words that may have been meant."""

from collections.abc import Iterable, Mapping
from typing import Any

import typer

from convert.cli.values import KINDS, refused
from convert.errors import UsageError, printable
from convert.near_words import did_you_mean, near_words
from convert.sentences import listed

PREFIX = "COMBWEAVE_"
# The framework hands out only one of its errors of usage; its parent is that of them all.
FrameworkUsageError: Any = typer.BadParameter.__mro__[1]
VARIABLES_TOLD = 5
# What the framework tells of a number that is out of bounds.
_BOUNDS = {"ge", "le", "gt", "lt"}


def told_plainly(error: Any, wanted: str | None, commands: Iterable[str]) -> UsageError:
    """Return an error of usage that the framework raised as one of ours, of one line and a hint.

    Parameters
    ----------
    error : FrameworkUsageError
        What was raised.
    wanted : str or None
        The command that was asked for.
    commands : iterable of str
        Those there are.
    """
    context = error.ctx
    if wanted and wanted not in commands:
        return UsageError(f"there is no command {wanted[:40]!r}", did_you_mean(wanted, commands, _help("")))
    command = wanted or ""
    parameters = context.command.params if context is not None else ()
    if hasattr(error, "possibilities"):
        flags = [flag for one in parameters for flag in one.opts if flag.startswith("--")]
        name = error.option_name
        return UsageError(f"there is no option {name[:40]}", did_you_mean(name, flags, _help(command)))
    parameter = getattr(error, "param", None)
    flag = parameter.opts[0] if parameter is not None and parameter.opts[0].startswith("-") else ""
    faults = getattr(error.__cause__, "errors", None)
    kind = KINDS.get(command, {}).get(parameter.name) if parameter is not None else None
    if (
        flag
        and faults is not None
        and kind is not None
        and not _BOUNDS & (fault := faults()[0]).get("ctx", {}).keys()
    ):
        return refused(flag, fault["input"], kind)
    message = " ".join(error.format_message().split()).rstrip(".")
    return UsageError(message[:1].lower() + message[1:], _help(command))


def unknown_variables(
    environment: Mapping[str, str], wanted: str, names: Iterable[str], commands: Iterable[str]
) -> list[str]:
    """Return a note on each variable of the environment that looks like an option and is none.

    Parameters
    ----------
    environment : mapping
        The variables.
    wanted : str
        The command that is run; those of the others are passed over.
    names : iterable of str
        Of its options.
    commands : iterable of str
        Those there are.
    """
    known = [name.upper() for name in names]
    own = {f"{wanted.upper()}_{name}" for name in known}
    others = tuple(f"{command.upper()}_" for command in commands if command != wanted)
    notes = []
    for variable in sorted(environment):
        rest = variable.removeprefix(PREFIX)
        if rest == variable or rest.startswith(others) or rest in own:
            continue
        # Whoever leaves out the command, or misspells it, has the option behind it.
        tail = rest.removeprefix(f"{wanted.upper()}_")
        near = near_words(tail, known) or near_words(tail.partition("_")[2], known)
        meant = listed([f"{PREFIX}{wanted.upper()}_{name}" for name in near], "or") if near else ""
        told = f"; did you mean {meant}?" if meant else ""
        notes.append(f"{printable(variable)[:80]} in the environment sets no option{told}")
    return notes[:VARIABLES_TOLD]


def _help(command: str) -> str:
    return f"see combweave {command + ' ' if command else ''}--help"
