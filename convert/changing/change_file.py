"""A list of beads of other colours, kept as a table: a bead and its colour a row."""

from dataclasses import dataclass
from pathlib import Path

from convert.errors import ChangeError, PaletteError, printable
from convert.palette.table import SEPARATORS, raw_rows
from convert.palette.text_file import decoded, read_bytes

_BEAD = {"bead", "beads", "place", "where", "loop"}
_COLOUR = {"colour", "color", "code"}
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
        tables = [list(raw_rows(text, separator, name)) for separator in SEPARATORS]
    except PaletteError as error:
        raise ChangeError(str(error), _AS) from error
    # The separator that parts the first row.
    rows = max(
        ([(line, cells) for line, cells, _ in table if any(map(str.strip, cells))] for table in tables),
        key=lambda rows: len(rows[0][1]) if rows else 0,
    )
    if not rows:
        raise ChangeError(f"{name} is empty", _AS)
    head = [cell.strip().casefold() for cell in rows[0][1]]
    bead, colour = (
        next((i for i, cell in enumerate(head) if cell in words), -1) for words in (_BEAD, _COLOUR)
    )
    if (bead < 0) != (colour < 0) or (bead < 0 and len(head) != 2):
        raise ChangeError(
            f"{name}, line {rows[0][0]}: {len(head)} columns, of which none is bead and colour", _AS
        )
    if bead < 0:
        bead, colour = 0, 1
    else:
        rows = rows[1:]
    if not rows:
        raise ChangeError(f"{name} has a header but no bead", _AS)

    def cell(cells: list[str], place: int) -> str:
        return cells[place].strip() if place < len(cells) else ""

    return tuple(
        Recolour(f"{name}, line {line}", cell(cells, bead), cell(cells, colour)) for line, cells in rows
    )
