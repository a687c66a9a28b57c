"""The file of a set: its pieces, each with the options of a command, and what they share."""

import re
import sys
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Any

import typer

from convert.bounded import UnboundedError, read_path, read_stream
from convert.cli.config import option_words
from convert.cli.toml_text import TOMLDecodeError, parsed
from convert.errors import SetFileError, printable

KINDS = ("panel", "motif")
STANDARD_INPUT = "-"
MOST_BYTES = 1_000_000
LONGEST_TITLE = 100
_NEAREST = 3
_FILES = ("palette", "picture", "mask")
_TOP = ("title", "shared", "piece")
# Options of a command that are not for a single piece: where outputs go and how much is said.
_OF_THE_RUN = {"out", "force", "quiet", "json", "verbose", "config", "help"}
# Options that each piece may have for itself, though all may share them.
_OWN = {"dither", "dither_kind", "smooth"}
_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")
_TWICE = re.compile(r"^Cannot declare \('piece', '(.*)'\) twice")


@dataclass(frozen=True)
class SetFile:
    """What a file says.

    Parameters
    ----------
    name : str
        The file, for messages.
    folder : Path
        What paths in it are relative to.
    title : str
        What the set is called.
    shared : dict
        What all pieces share, by the names of options.
    pieces : dict of str to dict
        The same for each piece, by its name.
    text : str
        The file, to find the line of a key.
    """

    name: str
    folder: Path
    title: str
    shared: dict[str, Any]
    pieces: dict[str, dict[str, Any]]
    text: str

    def refusal(self, table: str, key: str, words: str, hint: str = "") -> SetFileError:
        """Return a refusal of a key, with its line."""
        line = _line_of(self.text, table, key)
        where = f"{self.name}, line {line}" if line else self.name
        return SetFileError(f"{where}, {table}: {words}", hint)

    def inputs(self) -> list[str]:
        """Return the files that are read for it."""
        tables = (self.shared, *self.pieces.values())
        named = [
            self.resolved(key, table[key]) for table in tables for key in (*_FILES, "outline") if key in table
        ]
        return [self.name, *(path for path in named if isinstance(path, str))]

    def resolved(self, key: str, value: Any) -> Any:
        """Return a value, a path made relative to the file."""
        if isinstance(value, str) and value != STANDARD_INPUT and (key in _FILES or _is_drawing(key, value)):
            return str(self.folder / value)
        return value


def _is_drawing(key: str, value: str) -> bool:
    """Tell whether an outline is a file and not the name of one that comes along."""
    return key == "outline" and value.lower().endswith(".svg")


def read_set_file(source: str) -> SetFile:
    """Return what the file of a set says.

    Parameters
    ----------
    source : str
        The file, or `STANDARD_INPUT`, whose paths are relative to where the command is run.

    Raises
    ------
    SetFileError
        It cannot be read, is no TOML, or has tables that are none of a set.
    """
    name = "standard input" if source == STANDARD_INPUT else printable(source)
    folder = Path() if source == STANDARD_INPUT else Path(source).parent
    text = _text(source, name)
    try:
        told = parsed(text)
    except TOMLDecodeError as error:
        raise _not_toml(str(error), name) from error
    _known(told, _TOP, name)
    shared, pieces = told.get("shared", {}), told.get("piece", {})
    if not isinstance(shared, dict):
        raise SetFileError(f"{name}: shared is not a table", "begin it with a line [shared]")
    if (
        not isinstance(pieces, dict)
        or not pieces
        or not all(isinstance(one, dict) for one in pieces.values())
    ):
        raise SetFileError(f"{name}: there is no piece", "begin each with a line such as [piece.bracelet]")
    title = told.get("title", Path(source).stem if source != STANDARD_INPUT else "set")
    if not isinstance(title, str) or not title.isprintable() or not 0 < len(title.strip()) <= LONGEST_TITLE:
        raise SetFileError(f"{name}: the title is not one line of 1 to {LONGEST_TITLE} letters")
    return SetFile(name, folder, title.strip(), shared, pieces, text)


def shared_defaults(file: SetFile, context: typer.Context) -> dict[str, Any]:
    """Return what a file sets of the options of the set itself, as the command line would have it.

    Raises
    ------
    SetFileError
        A key is no option of a set or of a piece, or has a value that it cannot have.
    """
    options = _options(context.command)
    of_pieces = {name for kind in KINDS for name in _options(_command(kind))}
    found = {}
    for key, value in file.shared.items():
        if key not in options and key not in of_pieces:
            raise _unknown(file, "[shared]", key, {*options, *of_pieces} - _OF_THE_RUN)
        if key in _OF_THE_RUN:
            raise file.refusal("[shared]", key, f"{key} is for the command line alone")
        if key in options:
            words = _words(file, "[shared]", key, value, context, options[key])
            found[options[key].name] = file.resolved(key, words)
    return found


def piece_parameters(file: SetFile, name: str, shared: dict[str, Any]) -> tuple[str, dict[str, Any]]:
    """Return the command that a piece is of, and its parameters.

    Parameters
    ----------
    file : SetFile
        The file.
    name : str
        The piece.
    shared : dict
        What the set shares, by the names of options.

    Raises
    ------
    SetFileError
        The piece says not what it is, or a key is none of its command's.
    """
    table, own = f"[piece.{name}]", dict(file.pieces[name])
    kind = own.pop("kind", None)
    if kind not in KINDS:
        said = "does not say what it is" if kind is None else f"kind is {' or '.join(KINDS)}, not {kind!r}"
        raise file.refusal(table, "kind", said, 'say kind = "panel", or kind = "motif" for a shape')
    command = _command(kind)
    options = _options(command)
    picture = own.pop("picture", None)
    if picture is not None and not isinstance(picture, str):
        raise file.refusal(table, "picture", "the picture is not the name of a file")
    if picture is None and kind == "panel" and "rule" not in own:
        raise file.refusal(table, "kind", "a panel needs a picture, or a rule", 'say picture = "FILE"')
    arguments = [] if picture is None else ["--", file.resolved("picture", picture)]
    context = command.make_context(kind, arguments, resilient_parsing=True)
    defaults = {key: value for key, value in shared.items() if key in options}
    for key, value in file.shared.items():
        if key in options and key not in shared:
            defaults[key] = _words(file, "[shared]", key, value, context, options[key])
    for key, value in own.items():
        if key in _OF_THE_RUN or (key in shared and key not in _OWN):
            raise file.refusal(
                table,
                key,
                f"{key} is chosen for the whole set",
                "put it into [shared], or on the command line",
            )
        if key not in options:
            raise _unknown(file, table, key, {*options, *_FILES, "kind"} - _OF_THE_RUN - {*shared} | _OWN)
        defaults[key] = file.resolved(key, _words(file, table, key, value, context, options[key]))
    by_parameter = {options[key].name: value for key, value in defaults.items()}
    return kind, command.make_context(kind, arguments, default_map=by_parameter).params


def _text(source: str, name: str) -> str:
    try:
        if source == STANDARD_INPUT:
            data = b"" if sys.stdin is None else read_stream(sys.stdin.buffer, MOST_BYTES)
        else:
            data = read_path(source, MOST_BYTES)
    except UnboundedError as error:
        raise SetFileError(f"{name} {error}", "give a file of a set as the README shows it") from error
    except (OSError, ValueError) as error:
        raise SetFileError(
            f"cannot read {name}: {getattr(error, 'strerror', None) or error}",
            "check the name; the README shows a file of a set",
        ) from error
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise SetFileError(f"{name} is not text in UTF-8", "save it as UTF-8") from error


def _not_toml(words: str, name: str) -> SetFileError:
    """Return the refusal of a file that TOML cannot read, with the place where it can tell."""
    place = _PLACE.search(words)
    said = words[: place.start()] if place else words
    where = name
    if place and place[1]:
        where = f"{name}, line {place[1]}, column {place[2]}"
    elif place:
        where = f"{name}, at its end"
    if twice := _TWICE.match(said):
        return SetFileError(
            f"{where}: the piece {twice[1]} is there twice", "give each piece a name of its own"
        )
    return SetFileError(f"{where}: {said[:1].lower()}{said[1:]}", "mend that place; texts stand in quotes")


def _known(told: dict[str, Any], known: tuple[str, ...], name: str) -> None:
    for key in told:
        if key not in known:
            raise SetFileError(
                f"{name}: there is no {key!r} in the file of a set",
                f"it has {', '.join(known)}; a piece begins with a line such as [piece.bracelet]",
            )


def _unknown(file: SetFile, table: str, key: str, known: set[str]) -> SetFileError:
    nearest = get_close_matches(key.replace("-", "_"), sorted(known), _NEAREST, 0.4)
    hint = f"did you mean {' or '.join(nearest)}?" if nearest else "combweave panel --help names all options"
    return file.refusal(table, key, f"there is no option {key!r}", hint)


def _words(file: SetFile, table: str, key: str, value: Any, context: typer.Context, known: Any) -> Any:
    if isinstance(value, dict):
        raise file.refusal(table, key, f"{key} is a table, not a value")
    try:
        return option_words(context, known, value)
    except typer.BadParameter as error:
        raise file.refusal(table, key, f"{key} is {value!r}: {error.message}") from error


@cache
def _command(kind: str) -> Any:
    """Return the command a piece is of; its options are those of the command line."""
    from convert.cli.app import app_of

    group: Any = typer.main.get_command(app_of(kind))
    return group.commands[kind]


def _options(command: Any) -> dict[str, Any]:
    """Return the options of a command by the names they have in files."""
    return {
        option.removeprefix("--").replace("-", "_"): known
        for known in command.params
        for option in known.opts
        if option.startswith("--")
    }


def _line_of(text: str, table: str, key: str) -> int | None:
    """Return the line on which a key of a table stands, as far as it is written in the plain way."""
    here = False
    for number, line in enumerate(text.splitlines(), 1):
        words = line.strip()
        if words.startswith("["):
            here = words.split("#")[0].replace('"', "").replace(" ", "") == table.replace(" ", "")
        elif here and re.match(rf"[\"']?{re.escape(key)}[\"']?\s*=", words):
            return number
    return None
