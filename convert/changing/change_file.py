"""A list of beads of other colours, kept as a table: a bead and its colour a row."""

from dataclasses import dataclass
from pathlib import Path

from convert.errors import ChangeError, PaletteError, printable
from convert.palette.table import SEPARATORS, raw_rows
from convert.palette.text_file import decoded, read_bytes

_BEAD = {"bead", "beads", "place", "where", "loop"}
_COLOUR = {"colour", "color", "code"}
_PLAIN_COLUMNS = 2
_AS = "give a CSV file with the columns bead and colour, such as 2.5/3.4 and RU3"


@dataclass(frozen=True, slots=True)
class Recolour:
    """A bead, or all beads of a loop, to be of another colour.

    Parameters
    ----------
    where : str
        Where that is asked, for messages.
    bead : str
        The bead as the chart names it, see `convert.changing.finding.Finder`.
    colour : str
        Its colour as the palette names it.
    """

    where: str
    bead: str
    colour: str


def read_changes(source: Path | str) -> tuple[Recolour, ...]:
    """Return the changes that stand in a file.

    Parameters
    ----------
    source : Path or str
        A CSV file with commas, semicolons or tabs; a first row with ``bead`` and ``colour`` may be missing.

    Raises
    ------
    ChangeError
        It cannot be read, or is no such table.
    """
    name = printable(source)
    try:
        data = read_bytes(Path(source), name, "file of changes", "a CSV file")
        text, _ = decoded(data, name)
    except PaletteError as error:
        raise ChangeError(str(error), _AS) from error
    rows = _rows(text, name)
    first, head = rows[0][0], [cell.casefold() for cell in rows[0][1]]
    bead, colour = (
        next((place for place, cell in enumerate(head) if cell in words), None) for words in (_BEAD, _COLOUR)
    )
    if bead is not None and colour is not None:
        rows = rows[1:]
    elif bead is None and colour is None and len(head) == _PLAIN_COLUMNS:
        bead, colour = range(_PLAIN_COLUMNS)
    else:
        raise ChangeError(f"{name}, line {first}: this is not a bead and its colour", _AS)
    if not rows:
        raise ChangeError(f"{name} has a header but no bead", _AS)
    # A row that is too short lacks what it lacks; that is told with the rest.
    width = max(bead, colour) + 1
    padded = ((line, cells + [""] * (width - len(cells))) for line, cells in rows)
    return tuple(Recolour(f"{name}, line {line}", cells[bead], cells[colour]) for line, cells in padded)


def _rows(text: str, name: str) -> list[tuple[int, list[str]]]:
    """Return line and cells of each row that is not blank, by the separator that parts the first row."""
    found: list[list[tuple[int, list[str]]]] = []
    fault: PaletteError | None = None
    for separator in SEPARATORS:
        try:
            rows = [
                (line, [cell.strip() for cell in cells]) for line, cells, _ in raw_rows(text, separator, name)
            ]
            found.append([(line, cells) for line, cells in rows if any(cells)])
        except PaletteError as error:
            fault = fault or error
    if not any(found):
        raise ChangeError(str(fault or f"{name} is empty"), _AS) from fault
    return max(found, key=lambda rows: len(rows[0][1]))
