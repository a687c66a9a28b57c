"""The file in which options may stand instead of on the command line."""

from contextvars import ContextVar
from pathlib import Path
from typing import Annotated, Any

import typer

from convert.bounded import UnboundedError, read_path
from convert.errors import printable
from convert.settings.declaring import OUTPUT

# Options that had another name.
_FORMERLY = {"colour": "core-colour", "second-colour": "connector-colour"}


MOST_BYTES = 1_000_000
# The file that is read, None where none is.
CONFIG_FILE: ContextVar[Path | None] = ContextVar("config file", default=None)


def _read_config(context: typer.Context, parameter: typer.CallbackParam, path: Path | None) -> Path | None:
    """Let a TOML file set options: a flag beats the environment, which beats the file."""
    CONFIG_FILE.set(path)
    if path is None:
        return None
    from convert.cli.toml_text import TOMLDecodeError, parsed

    name = printable(path)
    try:
        settings = parsed(read_path(path, MOST_BYTES).decode())
    except OSError as error:
        raise typer.BadParameter(f"cannot read {name}: {error.strerror}") from error
    except UnboundedError as error:
        raise typer.BadParameter(f"{name} {error}; give a TOML file with options") from error
    except (TOMLDecodeError, UnicodeDecodeError) as error:
        raise typer.BadParameter(f"{name}: {error}") from error
    names = {
        option.removeprefix("--"): known
        for known in context.command.params
        for option in known.opts
        if option.startswith("--") and known.name not in (parameter.name, "help")
    }
    defaults = {}
    for key, value in settings.items():
        flag = key.replace("_", "-")
        known = names.get(flag) or names.get(_FORMERLY.get(flag, ""))
        if known is None:
            raise typer.BadParameter(f"{name}: there is no option {key!r}; known: {', '.join(sorted(names))}")
        try:
            defaults[known.name] = option_words(context, known, value)
        except typer.BadParameter as error:
            # Later on nobody would know that the value came from this file.
            raise typer.BadParameter(f"{name}: {key!r} is {value!r}: {error.message}") from error
    context.default_map = {**(context.default_map or {}), **defaults}
    return path


def option_words(context: typer.Context, known: Any, value: Any) -> Any:
    """Return a TOML value of an option as the command line would have it.

    Raises
    ------
    typer.BadParameter
        It cannot be a value of the option.
    """
    words = _as_words(value)
    if words is None or (isinstance(words, bool) and not getattr(known, "is_flag", False)):
        raise typer.BadParameter("no value that this option takes")
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
