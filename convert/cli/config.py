"""The file in which options may stand instead of on the command line."""

import os
from contextvars import ContextVar
from pathlib import Path
from typing import Annotated, Any

import typer

from convert.bounded import UnboundedError, read_path
from convert.cli.usage import unknown_variables
from convert.cli.values import KINDS, fits, refused, taken
from convert.errors import UsageError, printable
from convert.near_words import did_you_mean
from convert.settings.declaring import OUTPUT

# Options that had another name.
_FORMERLY = {"colour": "core-colour", "second-colour": "connector-colour"}


MOST_BYTES = 1_000_000
# The file that is read, None where none is.
CONFIG_FILE: ContextVar[Path | None] = ContextVar("config file", default=None)


def _read_config(context: typer.Context, parameter: typer.CallbackParam, path: Path | None) -> Path | None:
    """Let a TOML file set options: a flag beats the environment, which beats the file."""
    _tell_unknown_variables(context)
    CONFIG_FILE.set(path)
    if path is None:
        return None
    from convert.cli.toml_text import TOMLDecodeError, parsed

    name = printable(path)
    try:
        settings = parsed(read_path(path, MOST_BYTES).decode())
    except OSError as error:
        raise UsageError(f"cannot read {name}: {error.strerror}", "check the name") from error
    except UnboundedError as error:
        raise UsageError(f"{name} {error}", "give a TOML file with options") from error
    except (TOMLDecodeError, UnicodeDecodeError) as error:
        raise UsageError(f"{name}: {error}", "write an option a line, as in width = 160") from error
    names = {
        option.removeprefix("--"): known
        for known in context.command.params
        for option in known.opts
        if option.startswith("--") and known.name not in (parameter.name, "help")
    }
    kinds = KINDS[str(context.command.name)]
    defaults = {}
    for key, value in settings.items():
        if isinstance(value, dict):
            raise UsageError(
                f"{name}: [{key[:40]}] is a heading", "write options without headings in brackets"
            )
        flag = key.replace("_", "-")
        known = names.get(flag) or names.get(_FORMERLY.get(flag, ""))
        if known is None:
            raise UsageError(
                f"{name}: there is no option {key[:40]!r}",
                did_you_mean(flag, names, f"see combweave {context.info_name} --help for those there are"),
            )
        try:
            defaults[known.name] = option_words(context, known, value)
        except typer.BadParameter as error:
            # Later on nobody would know that the value came from this file.
            raise refused(f"{name}: {key!r}", value, kinds[known.name]) from error
    context.default_map = {**(context.default_map or {}), **defaults}
    return path


def _tell_unknown_variables(context: typer.Context) -> None:
    """Print a note on what of the environment looks like an option of the command and is none."""
    commands: Any = getattr(context.parent and context.parent.command, "commands", None)
    if commands is None or context.resilient_parsing:
        return
    options = [str(one.name) for one in context.command.params if one.param_type_name == "option"]
    for note in unknown_variables(os.environ, str(context.info_name), options, commands):
        typer.echo(f"Note: {note}", err=True)


def option_words(context: typer.Context, known: Any, value: Any) -> Any:
    """Return a TOML value of an option as the command line would have it.

    Raises
    ------
    typer.BadParameter
        It cannot be a value of the option.
    """
    kind = KINDS[str(context.command.name)][known.name]
    if not fits(value, kind):
        raise typer.BadParameter(f"it takes {taken(kind)}")
    words = _as_words(value)
    if known.multiple and isinstance(words, str):
        words = [words]
    known.process_value(context, words)
    return words


def _as_words(value: Any) -> Any:
    """Return a TOML value as the command line would have it; None for what stands for no option."""
    plain = (str, int, float)
    if isinstance(value, list):
        return [str(item) for item in value] if all(isinstance(item, plain) for item in value) else None
    return value if isinstance(value, plain) else None


Config = Annotated[
    Path | None,
    typer.Option(
        "--config",
        metavar="FILE",
        help="TOML file with options, such as combweave.toml.",
        callback=_read_config,
        is_eager=True,
        rich_help_panel=OUTPUT,
        show_envvar=False,
    ),
]
