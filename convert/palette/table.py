"""A table as it is read from a file: rows of cells, each with the place where it stands."""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass

from convert.errors import PaletteError
from convert.palette.text_file import decoded

SEPARATORS = ",;\t"
MOST_ROWS = 100_000


class Plain(str):
    """A number that a spreadsheet holds as a number, written with a decimal point and without marks."""

    __slots__ = ()


class Unusable(str):
    """A cell that holds neither text nor a number: what is wrong with it.

    Parameters
    ----------
    fault : str
        What is wrong.
    text : str
        How the cell is copied.
    """

    text: str

    def __new__(cls, fault: str, text: str = "") -> "Unusable":
        """Keep the text beside the fault."""
        self = super().__new__(cls, fault)
        self.text = text
        return self


@dataclass(frozen=True, slots=True)
class Row:
    """A row that is not blank.

    Parameters
    ----------
    line : int
        Its line in the file, or its row in the sheet, from 1.
    cells : list of str
        Without spaces about them; of a spreadsheet some are `Plain` or `Unusable`.
    """

    line: int
    cells: list[str]


@dataclass(frozen=True, slots=True)
class Table:
    """The rows of a file.

    Parameters
    ----------
    source : str
        Name of the file and the sheet, for messages.
    rows : iterator of Row
        Rows that are not blank, from the top; read once.
    separator : str
        What parts the cells of a text file; empty for a sheet.
    notes : tuple of str
        What was guessed.
    sheet : str or None
        Name of the sheet in a workbook of several.
    """

    source: str
    rows: Iterator[Row]
    separator: str = ""
    notes: tuple[str, ...] = ()
    sheet: str | None = None

    @property
    def row_word(self) -> str:
        """What a row is called where it stands."""
        return "line" if self.separator else "row"


@dataclass(frozen=True, slots=True)
class Cells:
    """A row, cut down to the columns that are understood.

    Parameters
    ----------
    line : int
        Where it stands.
    of : dict of int to str
        Cells that are not empty, by the place of their column.
    first : str
        Its first cell that is not empty, of whatever column.
    beyond : int
        How many cells it has if some stand beyond the heading, 0 otherwise.
    width : int
        How many cells the heading has.
    """

    line: int
    of: dict[int, str]
    first: str
    beyond: int
    width: int


def too_many_rows(source: str) -> PaletteError:
    """Return the refusal of a table that is longer than any shelf."""
    return PaletteError(f"{source} has more than {MOST_ROWS:,} rows", "give a smaller palette")


def text_tables(data: bytes, source: str) -> list[Table]:
    """Return the table of a text file as each separator has it, the one that fits being for others to say.

    Parameters
    ----------
    data : bytes
        CSV in UTF-8, UTF-16 with a byte order mark, or Windows-1252.
    source : str
        Name of the file, for messages.

    Raises
    ------
    PaletteError
        The bytes are no text.
    """
    text, notes = decoded(data, source)
    return [Table(source, _rows(text, separator, source), separator, notes) for separator in SEPARATORS]


def _rows(text: str, separator: str, source: str) -> Iterator[Row]:
    """Yield the rows that are not blank, with the line each begins on."""
    for line, cells, _ in raw_rows(text, separator, source):
        if any(cell.strip() for cell in cells):
            yield Row(line, [cell.strip() for cell in cells])


def raw_rows(text: str, separator: str, source: str) -> Iterator[tuple[int, list[str], str]]:
    """Yield all rows: the line each begins on, its cells, and how it is written.

    Parameters
    ----------
    text : str
        The table; the rows as they are written add up to it.
    separator : str
        What parts cells.
    source : str
        Name of the file, for messages.

    Raises
    ------
    PaletteError
        A quotation mark is not closed.
    """
    taken: list[str] = []

    def lines() -> Iterator[str]:
        for line in io.StringIO(text, newline=""):
            taken.append(line)
            yield line

    reader = csv.reader(lines(), delimiter=separator, strict=True)
    line = 1
    try:
        for cells in reader:
            yield line, cells, "".join(taken)
            taken.clear()
            line = reader.line_num + 1
    except csv.Error as error:
        raise PaletteError(
            f"{source}, line {line}: not a table ({error})",
            "close every quotation mark, double those within a text, or save it as CSV again",
        ) from error
