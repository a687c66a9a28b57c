"""Which row of a table is its heading, and what the words in it mean."""

import csv
import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from importlib.resources import files

from convert.errors import PaletteError
from convert.palette.amounts import PER_PACK, is_currency, unit_called
from convert.palette.model import shown
from convert.palette.palette_cells import COLOUR_COLUMNS, COLUMNS
from convert.palette.table import Row, Table

# Above the heading stand titles, dates and blank lines, not whole tables.
MOST_ROWS_ABOVE = 30
# And a heading with more words than this is none.
MOST_COLUMNS = 1_000

# Beside the columns of `COLUMNS`: what only its cells or its unit tell.
COLOUR, COLOUR_CODE, PACK = "colour", "colour_code", "pack"
CHANNELS = ("red", "green", "blue")
_STOCK = ("on_hand", "on_hand_g", PACK, "pack_g")
_BRACKETED = re.compile(r"(.*?)\s*[(\[]\s*([^()\[\]]*?)\s*[)\]]\s*")
_UNIT_AFTER = re.compile(r"(.+?)(?:\s*,\s*|\s+in\s+|\s*/\s*|\s+)(\S+)")


@cache
def heading_words() -> dict[str, str]:
    """Return what words over a column mean: those of the trade and of common speech (no source).

    The columns of `COLUMNS` are meant, and `COLOUR`, `COLOUR_CODE`, `PACK` and `CHANNELS`.
    """
    text = (files("convert.palette") / "heading_words.csv").read_text(encoding="utf-8")
    # The first meaning of a word is the one it has by itself.
    return {row["word"]: row["means"] for row in reversed(list(csv.DictReader(text.splitlines())))}


@dataclass(frozen=True, slots=True)
class Heading:
    """What the word over a column means.

    Parameters
    ----------
    place : int
        Of the column, from 0.
    text : str
        As it is written.
    field : str
        A column of `COLUMNS`, or one of those that only the cells tell.
    plain : bool
        Whether it is a name of `COLUMNS` itself.
    unit : str
        ``g``, ``kg`` or ``beads``, empty where the heading names none.
    currency : str
        Sign of a currency in the heading.
    """

    place: int
    text: str
    field: str
    plain: bool
    unit: str = ""
    currency: str = ""

    @property
    def told(self) -> str:
        """What messages call the column."""
        return self.field if self.plain else " ".join(self.text.split())


@dataclass(frozen=True, slots=True)
class Header:
    """The row of a table that names its columns.

    Parameters
    ----------
    line : int
        Where it stands.
    cells : tuple of str
        Its cells, of two rows where the words are spread over both.
    headings : tuple of Heading
        Columns that are understood.
    unknown : tuple of str
        The words over the others, in order.
    rows : int
        How many of the first rows it and all that stands above it take.
    above : int
        How many of those are titles.
    """

    line: int
    cells: tuple[str, ...]
    headings: tuple[Heading, ...]
    unknown: tuple[str, ...]
    rows: int = 1
    above: int = 0
    fields: frozenset[str] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "fields", frozenset(heading.field for heading in self.headings))

    @property
    def plain(self) -> bool:
        """Whether it names a code and a colour by the names of `COLUMNS`."""
        names = {heading.field for heading in self.headings if heading.plain}
        return "code" in names and not names.isdisjoint(COLOUR_COLUMNS)

    @property
    def complete(self) -> bool:
        """Whether colours may be had from the columns it names."""
        sources = (*COLOUR_COLUMNS, COLOUR, COLOUR_CODE, "name", "code")
        return not self.fields.isdisjoint(sources) or self.fields.issuperset(CHANNELS)

    def in_plain_names(self) -> "Header":
        """Return the heading with none but the names of `COLUMNS` understood."""
        others = tuple(shown(heading.text) for heading in self.headings if not heading.plain)
        plain = tuple(heading for heading in self.headings if heading.plain)
        return replace(self, headings=plain, unknown=(*self.unknown, *others))

    def repeated_by(self, row: Row) -> bool:
        """Tell whether a row says the same words once more, as at the top of each printed page."""
        cells = [cell.casefold() for cell in row.cells if cell]
        return len(cells) > 1 and cells == [cell.casefold() for cell in self.cells if cell]


def header_of(cells: Sequence[str], line: int) -> Header:
    """Return what the cells of a row mean if it is the heading.

    Parameters
    ----------
    cells : sequence of str
        The row.
    line : int
        Where it stands.
    """
    headings, unknown = [], []
    for place, cell in enumerate(cells):
        heading = _heading(cell, place)
        if heading is not None:
            headings.append(heading)
        elif cell:
            unknown.append(shown(cell))
    found = {heading.field for heading in headings}
    if not found.issuperset(CHANNELS) and not (found.issuperset(CHANNELS[::2]) and "on_hand_g" in found):
        # A colour of light alone is a word that happens to stand there.
        unknown += [shown(heading.text) for heading in headings if heading.field in CHANNELS]
        headings = [heading for heading in headings if heading.field not in CHANNELS]
    elif "green" not in found:
        # Between r and b, g is no weight.
        headings = [
            replace(heading, field="green") if heading.text.casefold() == "g" else heading
            for heading in headings
        ]
    return Header(line, tuple(cells), tuple(headings), tuple(unknown))


def _heading(cell: str, place: int) -> Heading | None:
    name = "_".join(cell.lower().split())
    if name in COLUMNS:
        return Heading(place, cell, name, True)
    text = " ".join(cell.casefold().split())
    bracketed = _BRACKETED.fullmatch(text)
    words, unit = (bracketed[1], bracketed[2]) if bracketed else (text, "")
    found = _field(words)
    if found is None and not unit:
        after = _UNIT_AFTER.fullmatch(text)
        if after and (unit_called(after[2]) or is_currency(after[2])):
            words, unit = after[1], after[2]
            found = _field(words)
    return None if found is None else _with_unit(Heading(place, cell, found, False), unit)


def _field(words: str) -> str | None:
    plain = re.sub(r"[.:_*\-]+", " ", words) if any(letter.isalpha() for letter in words) else words
    plain = " ".join(plain.split())
    name = plain.replace(" ", "_")
    known = heading_words()
    return name if name in COLUMNS else known.get(plain, known.get(words))


def _with_unit(heading: Heading, unit: str) -> Heading | None:
    """Return a heading with its unit heeded, None where the unit makes it another thing."""
    place, text, name = heading.place, heading.text, heading.field
    measure = unit_called(unit)
    if not measure and name == "on_hand_g" and not unit:
        measure = "g"
    if name in _STOCK:
        if unit and not measure:
            return None
        if measure in ("g", "kg"):
            name = {"on_hand": "on_hand_g", PACK: "pack_g"}.get(name, name)
        elif measure == "beads" and name != "on_hand":
            return None
        return Heading(place, text, name, False, measure)
    if name == "price":
        sign = unit.upper() if is_currency(unit) else ""
        return Heading(place, text, name, False, "", sign) if sign or not unit or unit in PER_PACK else None
    if name in (COLOUR, COLOUR_CODE) and unit:
        name = "hex" if _field(unit) == "hex" or unit == "#rrggbb" else "name" if unit == "name" else name
    return Heading(place, text, name, False)


def find_header(rows: Sequence[Row], table: Table) -> Header | None:
    """Return the heading of a table, None where no row can be one.

    Parameters
    ----------
    rows : sequence of Row
        The first rows that are not blank, some more than `MOST_ROWS_ABOVE`.
    table : Table
        Where they come from.

    Raises
    ------
    PaletteError
        Two rows can be the heading.
    """
    first = header_of(rows[0].cells, rows[0].line) if rows else None
    if first is None or first.plain:
        return first
    found = [
        header
        for number, row in enumerate(rows[:MOST_ROWS_ABOVE])
        if len(row.cells) <= MOST_COLUMNS
        and (header := _over(rows, number)).complete
        and (len(header.fields) > 1 or _only_words(row, header))
    ]
    best = max(found, key=lambda header: len(header.fields), default=None)
    if best is None:
        return None
    for other in found:
        # The best joins two rows, or the words above it are the headings of groups of columns.
        beside = best.above - 1 <= other.above < best.rows
        fewer = len(other.fields) < len(best.fields)
        if other is best or len(other.fields) == 1 or (beside and fewer) or _same(other, best):
            continue
        upper, lower = sorted((other, best), key=lambda header: header.line)
        raise PaletteError(
            f"{table.source}: {table.row_word} {upper.line} and {table.row_word} {lower.line} can both be the"
            f" heading: {_quoted(upper)}, and {_quoted(lower)}",
            "delete the one that is not",
        )
    return next(header for header in found if _same(header, best))


def _over(rows: Sequence[Row], number: int) -> Header:
    """Return the heading that a row gives, joined with the next where that ends its words or names units."""
    row = rows[number]
    header, taken = header_of(row.cells, row.line), 1
    if number + 1 < len(rows) and len(rows[number + 1].cells) <= MOST_COLUMNS:
        below = rows[number + 1].cells
        pairs = itertools.zip_longest(row.cells, below, fillvalue="")
        both = header_of([f"{upper} {lower}".strip() for upper, lower in pairs], row.line)
        known = {heading.place for heading in both.headings}
        ends_words = all(place in known for place, cell in enumerate(below) if cell)
        if ends_words and not header_of(below, row.line).complete:
            header, taken = both, 2
    return replace(header, rows=number + taken, above=number)


def _only_words(row: Row, header: Header) -> bool:
    return len(header.headings) == len([cell for cell in row.cells if cell])


def _same(one: Header, other: Header) -> bool:
    return [cell.casefold() for cell in one.cells if cell] == [
        cell.casefold() for cell in other.cells if cell
    ]


def _quoted(header: Header) -> str:
    words = [" ".join(cell.split()) for cell in header.cells if cell]
    return shown(", ".join(words))
