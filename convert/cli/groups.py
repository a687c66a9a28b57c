"""Commands that take groups of options: what a library declares once becomes the options of a command."""

import dataclasses
import functools
import inspect
from collections.abc import Callable
from typing import Annotated, Any, get_args, get_origin

import typer

from convert.cli.config import Config
from convert.cli.values import KINDS
from convert.settings.declaring import HEADINGS, OUTPUT, Option, Settings, declared

Verbose = Annotated[
    bool,
    typer.Option(
        "--verbose", help="Details, and tracebacks of errors.", rich_help_panel=OUTPUT, show_envvar=False
    ),
]


def takes_groups(command: Callable[..., None]) -> Callable[..., None]:
    """Return a command whose groups of options are spelt out for Typer.

    Each parameter that is annotated with a group (a subclass of `Settings`) gives way to an option for each
    of its fields; the command gets the group put together again. ``--verbose`` and ``--config``, which every
    command has, come last.

    What is returned has an attribute ``put_together``: values by option in, what the command gets out.

    Parameters
    ----------
    command : callable
        A function with annotated parameters: groups, and whatever else Typer understands.
    """
    parameters: dict[str, inspect.Parameter] = {}
    headings: dict[str, int] = {}
    kinds = KINDS[command.__name__] = {"verbose": bool}
    groups: dict[str, tuple[type[Settings], dict[str, tuple[str, bool]]]] = {}
    for parameter in inspect.signature(command, eval_str=True).parameters.values():
        group = parameter.annotation
        if not (inspect.isclass(group) and issubclass(group, Settings)):
            parameters[parameter.name] = parameter.replace(kind=inspect.Parameter.KEYWORD_ONLY)
            continue
        fields = {}
        for field, (option, hint, default) in declared(group).items():
            fields[option.name] = field, get_origin(hint) is tuple
            parameters[option.name] = spelt_out(option, hint, default)
            kinds[option.name] = hint
            headings[option.name] = HEADINGS.index(option.heading)
        groups[parameter.name] = group, fields
    for name, hint, default in (("verbose", Verbose, False), ("config", Config, None)):
        parameters[name] = inspect.Parameter(
            name, inspect.Parameter.KEYWORD_ONLY, default=default, annotation=hint
        )
        headings[name] = HEADINGS.index(OUTPUT)
    parameters = dict(sorted(parameters.items(), key=lambda one: headings.get(one[0], -1)))

    def put_together(given: dict[str, Any]) -> dict[str, Any]:
        given = {name: value for name, value in given.items() if name not in ("verbose", "config")}
        # Put together before they get their names, which may be those of options.
        together = {
            name: group(
                **{field: _kept(given.pop(option), lists) for option, (field, lists) in fields.items()}
            )
            for name, (group, fields) in groups.items()
        }
        return {**given, **together}

    @functools.wraps(command)
    def run(**given: Any) -> None:
        command(**put_together(given))

    run.put_together = put_together  # type: ignore[attr-defined]
    run.__signature__ = inspect.Signature(list(parameters.values()))  # type: ignore[attr-defined]
    run.__annotations__ = {name: parameter.annotation for name, parameter in parameters.items()}
    return run


def spelt_out(option: Option, hint: Any, default: Any) -> inspect.Parameter:
    """Return a declared option as a parameter that Typer understands."""
    shown = typer.Option(
        option.flag,
        help=option.help,
        metavar=option.metavar,
        rich_help_panel=option.heading,
        min=option.least,
        max=option.most,
        # Every option can be set in the environment; saying so at each would drown the help.
        show_envvar=False,
    )
    if get_origin(hint) is tuple:
        hint, default = list[get_args(hint)[0]] | None, list(default) or None  # type: ignore[misc]
    if {int, str} <= set(get_args(hint)):
        # A number or a word: which, the group tells.
        hint = str | None if type(None) in get_args(hint) else str
    if default is dataclasses.MISSING:
        default = inspect.Parameter.empty
    return inspect.Parameter(
        option.name,
        inspect.Parameter.KEYWORD_ONLY,
        default=default,
        annotation=Annotated[hint, shown],
    )


def _kept(value: Any, is_list: bool) -> Any:
    """Return a value of the command line as a group keeps it; what is given several times is a tuple."""
    return tuple(value or ()) if is_list else value
