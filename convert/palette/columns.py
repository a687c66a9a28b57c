"""What the columns of a table hold, where the heading alone does not tell: the cells do."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from convert.colour.written import css_colour, numeric_colour
from convert.errors import PaletteError
from convert.palette.amounts import written_amount
from convert.palette.headings import CHANNELS, COLOUR, COLOUR_CODE, PACK, Header, Heading
from convert.palette.model import shown
from convert.palette.number_column import STOCK
from convert.palette.palette_cells import COLOUR_COLUMNS, column_meant
from convert.palette.table import Cells, Table, Unusable

# What a column holds, in a sentence.
IN_WORDS = {
    "code": "code",
    "name": "name",
    "hex": "colour",
    "size": "bead size",
    "finish": "finish",
    "on_hand": "beads on hand",
    "on_hand_g": "grams on hand",
    "per_gram": "beads in a gram",
    "pack_g": "grams in a pack",
    "price": "price of a pack",
    "currency": "currency",
}
# Of a shelf from a photograph: to be read by people, and no fault of the file.
PASSED_OVER = {"spread"}
_SIX_DIGITS = re.compile("[0-9]{6}")


@dataclass(frozen=True, slots=True)
class Columns:
    """Which column holds what.

    Parameters
    ----------
    headings : tuple of Heading
        Columns that are read, each with a field of `COLUMNS` or of `CHANNELS`.
    ignored : tuple of str
        Words over the columns that are not.
    named_colours : bool
        Whether the colour is to be had from the name, by CSS.
    """

    headings: tuple[Heading, ...]
    ignored: tuple[str, ...]
    named_colours: bool = False

    def of(self, name: str) -> Heading | None:
        """Return the column that holds something, None where none does."""
        return next((heading for heading in self.headings if heading.field == name), None)


def understood(header: Header, rows: Sequence[Cells], table: Table) -> Columns:
    """Return what each column holds.

    Parameters
    ----------
    header : Header
        The heading of the table.
    rows : sequence of Cells
        All rows below it.
    table : Table
        Where they stand, for messages.

    Raises
    ------
    PaletteError
        Two columns can be the same thing, or one can be two things.
    """
    where = f"{table.source}, {table.row_word} {header.line}"
    kept, dropped = _told_by_cells(header, rows, where)
    kept, more = _one_of_each(kept, header.plain, where)
    ignored = [
        word for word in (*header.unknown, *dropped, *more) if word.strip("'").casefold() not in PASSED_OVER
    ]
    fields = {heading.field for heading in kept}
    has_colour = not fields.isdisjoint(COLOUR_COLUMNS) or fields.issuperset(CHANNELS)
    if not has_colour:
        kept, has_colour = _colour_from_code(kept, rows)
    columns = Columns(tuple(kept), tuple(ignored), named_colours=not has_colour)
    name = columns.of("name")
    if columns.named_colours and not (name and any(css_colour(row.of.get(name.place, "")) for row in rows)):
        what = ", and no name in it is a colour of CSS" if name and rows else ""
        raise PaletteError(
            f"{where}: the header has no column for the colour{what}",
            column_meant(ignored, COLOUR_COLUMNS) or f"name one column {' or '.join(COLOUR_COLUMNS)}",
        )
    return columns


def _told_by_cells(header: Header, rows: Sequence[Cells], where: str) -> tuple[list[Heading], list[str]]:
    """Return the columns with what their cells make of them, and the words over those that stay unknown."""
    fields = header.fields
    has_colour = not fields.isdisjoint(COLOUR_COLUMNS) or fields.issuperset(CHANNELS)
    kept, dropped = [], []
    for heading in header.headings:
        cells = [cell for row in rows if not isinstance(cell := row.of.get(heading.place, ""), Unusable)]
        cells = [cell for cell in cells if cell]
        name: str | None = heading.field
        if heading.field == COLOUR:
            name = _colour_or_name(heading, cells, where, has_colour=has_colour, has_name="name" in fields)
        elif heading.field == COLOUR_CODE:
            name = _colour_or_code(heading, cells, where, has_colour=has_colour, has_code="code" in fields)
        elif heading.field == PACK:
            weights = [written_amount(cell) for cell in cells]
            grams = heading.unit or any(amount and amount.unit in ("g", "kg") for amount in weights)
            name = "pack_g" if grams else None
        if name is None:
            dropped.append(shown(heading.text))
        else:
            kept.append(replace(heading, field=name))
    return kept, dropped


def _colour_or_name(
    heading: Heading, cells: Sequence[str], where: str, *, has_colour: bool, has_name: bool
) -> str | None:
    """Tell whether a column called colour holds colours or what they are called."""
    written = [cell for cell in cells if numeric_colour(cell) is not None]
    if has_colour:
        return None if has_name or len(written) * 2 > len(cells) else "name"
    others = [cell for cell in cells if numeric_colour(cell) is None]
    unclear = written and any(css_colour(cell) is None for cell in others) and len(written) <= len(others)
    if unclear and not has_name:
        raise PaletteError(
            f"{where}, column {heading.told}: cells such as {shown(written[0])} ({len(written)}) are colours,"
            f" and those such as {shown(others[0])} ({len(others)}) may be names",
            "give names a column 'name' and colours a column 'hex'",
        )
    if written or (cells and has_name and all(css_colour(cell) for cell in cells)):
        return "hex"
    return None if has_name else "name"


def _colour_or_code(
    heading: Heading, cells: Sequence[str], where: str, *, has_colour: bool, has_code: bool
) -> str | None:
    """Tell whether a column called colour code holds colours or what the beads are ordered by."""
    written = [cell for cell in cells if numeric_colour(cell) is not None]
    if not has_colour and written and len(written) * 2 > len(cells):
        if not has_code and all(_SIX_DIGITS.fullmatch(cell) for cell in cells):
            raise PaletteError(
                f"{where}, column {heading.told}: {shown(cells[0])} may be a colour or the code of a bead",
                "call the column 'hex' or 'code'",
            )
        return "hex"
    return None if has_code else "code"


def _one_of_each(headings: list[Heading], plain: bool, where: str) -> tuple[list[Heading], list[str]]:
    """Return the columns that are read, one for each thing, and the words over the others.

    A plain name goes before words of common speech. In a table that has plain names for code and colour such
    words add what is missing only.
    """
    has_stock = any(heading.plain and heading.field in STOCK for heading in headings)
    kept: list[Heading] = []
    dropped: list[str] = []
    for heading in headings:
        rivals = [other for other in headings if other.field == heading.field and other is not heading]
        if heading.plain and any(other.plain for other in rivals):
            raise PaletteError(f"{where}, column {heading.field}: occurs twice", "keep one of them")
        surplus = (plain and not heading.plain) and (
            heading.field in CHANNELS or (has_stock and heading.field in STOCK)
        )
        if surplus or any(other.plain for other in rivals):
            dropped.append(shown(heading.text))
        elif rivals and not heading.plain:
            both = " and ".join(shown(one.text) for one in (heading, rivals[0]))
            raise PaletteError(
                f"{where}: columns {both} can both be the {IN_WORDS.get(heading.field, heading.field)}",
                "rename or delete the one that is not",
            )
        else:
            kept.append(heading)
    return kept, dropped


def _colour_from_code(headings: list[Heading], rows: Sequence[Cells]) -> tuple[list[Heading], bool]:
    """Add the codes as colours, where all of them are written as such."""
    code = next((heading for heading in headings if heading.field == "code"), None)
    cells = [row.of.get(code.place, "") for row in rows] if code else []
    if code is None or not cells or not all(cell.startswith("#") and numeric_colour(cell) for cell in cells):
        return headings, False
    return [*headings, replace(code, field="hex", plain=False)], True
