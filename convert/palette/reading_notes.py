"""What the reader of a palette file should know of how it was read: understood, guessed and left out."""

from collections.abc import Iterator, Sequence

from convert.palette.columns import IN_WORDS, Columns
from convert.palette.headings import Header
from convert.palette.model import BeadColour, shown
from convert.palette.palette_cells import column_meant
from convert.palette.palette_rows import FAULTS_TOLD, RowReader
from convert.palette.table import Table
from convert.weave.beads import named_sizes

NAMES_TOLD = 10
# Letters and digits that cannot be told apart on paper.
_LOOK_ALIKE = str.maketrans("OoIl|", "00111")


def column_notes(columns: Columns, kept_out: Sequence[str], table: Table) -> tuple[str, ...]:
    """Return a note on the columns that are not read; of those that cannot be read with the reason."""
    ignored = [*columns.ignored, *kept_out]
    if not ignored:
        return ()
    told = f"{table.source}: ignored column{'s' * (len(ignored) > 1)} {', '.join(ignored[:5])}"
    return ("; ".join(part for part in (told, column_meant(columns.ignored)) if part),)


def reading_notes(columns: Columns, header: Header, table: Table, colours: int) -> tuple[str, ...]:
    """Return how the table was understood, unless it says so itself by plain names in its first row."""
    if header.plain and not header.above and all(heading.plain for heading in columns.headings):
        return ()
    return (_reading_told(columns, colours, table, header.above),)


def row_notes(reader: RowReader, table: Table) -> Iterator[str]:
    """Yield what was guessed and left out in the rows."""
    if reader.uncoloured:
        rows = [f"{shown(name)} ({table.row_word} {line})" for line, name in reader.uncoloured]
        yield f"{table.source}: left out, as no colour of CSS has the name: {_some(rows, NAMES_TOLD)}"
    if reader.weighed_too:
        times = f"{reader.weighed_too} time{'s' * (reader.weighed_too > 1)}"
        yield f"{table.source}: stock in beads and in grams that agree ({times}): the beads count"
    for column in reader.numbers.values():
        where = f"{table.source}, column {column.heading.told}"
        for cell, value in list(column.settled.items())[:1]:
            yield f"{where}: {shown(cell)} was read as {value:.10g}"
        if column.about:
            told = _some([shown(cell) for cell in dict.fromkeys(column.about)], 3)
            yield f"{where}: rough numbers are taken as they are: {told}"


def _some(words: Sequence[str], most: int) -> str:
    more = f" and {len(words) - most} more" if len(words) > most else ""
    return ", ".join(words[:most]) + more


def size_notes(entries: list[BeadColour], lines: list[int], table: Table) -> tuple[str, ...]:
    """Return a note on sizes that have no known measures: most often they are misspelt."""
    first: dict[str, int] = {}
    for entry, line in zip(entries, lines, strict=True):
        if entry.size is not None:
            first.setdefault(entry.size, line)
    unknown = [
        f"{shown(size)} ({table.row_word} {line})"
        for size, line in first.items()
        if size not in named_sizes()
    ]
    if not unknown:
        return ()
    return (
        f"{table.source}: no known bead size: {_some(unknown, FAULTS_TOLD)};"
        " such colours are used only where --beads or --connectors names and measures that size",
    )


def code_notes(entries: list[BeadColour], lines: list[int], table: Table) -> tuple[str, ...]:
    """Return a note on codes that differ in letters and digits only that look alike."""
    first: dict[str, tuple[str, int]] = {}
    alike = []
    for entry, line in zip(entries, lines, strict=True):
        code, at = first.setdefault(entry.code.translate(_LOOK_ALIKE), (entry.code, line))
        if code != entry.code:
            alike.append(f"{shown(code)} and {shown(entry.code)} ({table.row_word}s {at} and {line})")
    alike = list(dict.fromkeys(alike))
    return (f"{table.source}: codes that look alike: {_some(alike, FAULTS_TOLD)}",) if alike else ()


def _reading_told(columns: Columns, colours: int, table: Table, above: int) -> str:
    """Say how a table has been understood."""
    told = []
    for heading in columns.headings:
        word = " ".join(heading.text.split())
        means = IN_WORDS.get(heading.field, heading.field)
        if columns.named_colours and heading.field == "name":
            means = "colour by its name in CSS"
        alike = word.casefold() in (means, heading.field)
        told.append(word if alike and means != "colour by its name in CSS" else f"{word} (as {means})")
    where = f"{table.source}: read {colours} colour{'s' * (colours != 1)} from columns {', '.join(told)}"
    passed = f"; {above} row{'s' * (above > 1)} above the heading passed over" if above else ""
    codes = ""
    if columns.of("code") is None:
        codes = "; names serve as codes" if columns.of("name") else "; the codes are numbers from 1"
    return where + passed + codes
