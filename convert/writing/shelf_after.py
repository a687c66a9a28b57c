"""The shelf after a piece: what it has taken is gone from the stock, and what was bought for it is there.

Her table stays as it is; only cells of the stock change.
"""

import math
import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from convert.errors import PaletteError, StockError
from convert.palette.amounts import GRAMS_PER_KILOGRAM, NOTHING_SAID, written_amount
from convert.palette.model import BeadColour
from convert.palette.palette_file import Shelf
from convert.palette.table_rewriting import Changes, NewText, rewritten_text, rows_with_cells
from convert.palette.workbook import workbook_tables
from convert.piece.materials import Material, materials
from convert.piece.pattern import Pattern
from convert.weave.beads import BeadSize
from convert.writing.csv_cells import csv_text

TOLD = 10
_ROUNDING = 1e-6
_NUMBER = re.compile(r"(?:(?<![a-z])[.,])?[0-9](?:[0-9.,'’\s]*[0-9])?")


@dataclass(slots=True)
class Change:
    """What happens to the stock of one entry of a shelf.

    Parameters
    ----------
    entry : int
        Entry of the palette.
    colour : BeadColour
        That entry.
    size : BeadSize
        The size the beads are counted in; of a colour for any size, that of the first piece that takes it.
    bought_g : float
        Grams bought.
    used : dict of BeadSize to int
        Beads woven in.
    """

    entry: int
    colour: BeadColour
    size: BeadSize
    bought_g: float = 0.0
    used: dict[BeadSize, int] = field(default_factory=lambda: defaultdict(int))

    def per_gram(self, size: BeadSize) -> float:
        """Return the beads of a size in one gram."""
        return self.colour.per_gram or size.beads_per_gram

    @property
    def in_grams(self) -> bool:
        """Whether the stock is kept in grams; what is bought of a colour without any is."""
        return self.colour.on_hand is None

    @property
    def known(self) -> bool:
        """Whether the shelf says what is there, or something is bought."""
        return self.colour.on_hand is not None or self.colour.on_hand_g is not None or self.bought_g > 0

    @property
    def before(self) -> float:
        """Beads or grams on hand, with what is bought."""
        if self.in_grams:
            return (self.colour.on_hand_g or 0.0) + self.bought_g
        return (self.colour.on_hand or 0) + math.floor(self.bought_g * self.per_gram(self.size) + _ROUNDING)

    @property
    def after(self) -> float:
        """Beads or grams that stay; below zero where there are too few."""
        if self.in_grams:
            return self.before - sum(count / self.per_gram(size) for size, count in self.used.items())
        return self.before - sum(self.used.values())

    @property
    def left_g(self) -> float:
        """What stays in grams, in hundredths as a small balance gives them, rounded down."""
        grams = self.after / (1 if self.in_grams else self.per_gram(self.size))
        return math.floor(grams * 100 + _ROUNDING) / 100

    @property
    def left_beads(self) -> int:
        """What stays in beads."""
        return math.floor(self.after * (self.per_gram(self.size) if self.in_grams else 1) + _ROUNDING)

    @property
    def short(self) -> int:
        """Beads that are missing."""
        missing = -self.after * (self.per_gram(self.size) if self.in_grams else 1)
        return max(0, math.ceil(missing - _ROUNDING))


def stock_changes(shelf: Shelf, used: Sequence[Pattern], bought: Sequence[Pattern]) -> list[Change]:
    """Return what pieces change in the stock of a shelf, in its order.

    Parameters
    ----------
    shelf : Shelf
        The shelf.
    used : sequence of Pattern
        Pieces that have been woven; all their copies.
    bought : sequence of Pattern
        Pieces for which the packs have been bought that their list of beads names.

    Raises
    ------
    PaletteError
        The shelf lacks a bead, or a list does not say how much a pack holds.
    StockError
        A bead would fall below zero, or the shelf says of none what is on hand.
    """
    changes: dict[int, Change] = {}
    lacking: list[str] = []
    unweighed: list[str] = []

    def change_of(row: Material) -> Change | None:
        entry = _entry(shelf, row)
        if entry is None:
            lacking.append(_called(row.colour, row.size))
            return None
        return changes.setdefault(entry, Change(entry, shelf.palette.entries[entry], row.size))

    for pattern in bought:
        for row in materials(pattern):
            if not row.to_buy:
                continue
            if row.packs is None or row.colour.pack_g is None:
                unweighed.append(_called(row.colour, row.size))
            elif change := change_of(row):
                change.bought_g += row.packs * row.colour.pack_g
    for pattern in used:
        for row in materials(pattern):
            if change := change_of(row):
                change.used[row.size] += row.beads
    if lacking:
        raise PaletteError(
            f"{shelf.table.source} has no row for {_some(lacking)}",
            "add a row for each of them, with its stock",
        )
    if unweighed:
        raise PaletteError(
            f"the palette of the piece does not say how much a pack holds of {_some(unweighed)}",
            "fill its column pack_g and make the piece again, or write down yourself what you have bought",
        )
    _check_enough(list(changes.values()))
    return [changes[entry] for entry in sorted(changes)]


def _entry(shelf: Shelf, row: Material) -> int | None:
    """Return the entry of the shelf for a bead of a piece; a code that is another bead there is none."""
    for index, entry in enumerate(shelf.palette.entries):
        if entry.code == row.colour.code and entry.size in (None, row.size.name):
            same = entry.hex == row.colour.hex or (entry.name and entry.name == row.colour.name)
            return index if same else None
    return None


def _check_enough(changes: Sequence[Change]) -> None:
    short = [
        f"{_called(change.colour, change.size)} ({change.short:,} beads short)"
        for change in changes
        if change.known and change.short
    ]
    if short:
        raise StockError(
            f"the shelf would fall below zero: {_some(short)}",
            "count what is there, or add with --buy what you have bought for the piece",
        )
    if changes and not any(change.known for change in changes):
        raise StockError(
            "the shelf does not say what is on hand of any bead of the piece",
            "give it a column on_hand (beads) or on_hand_g (grams), and fill it",
        )


def unknown_note(shelf: Shelf, changes: Sequence[Change]) -> tuple[str, ...]:
    """Return a note on beads that were used without a stock to take them from."""
    unknown = [_called(change.colour, change.size) for change in changes if not change.known]
    if not unknown:
        return ()
    return (f"{shelf.table.source} does not say what is on hand of {_some(unknown)}: left as it is",)


def _called(colour: BeadColour, size: BeadSize) -> str:
    return f"{colour.code} {colour.name}".strip() + f" in {size.name}"


def _some(words: Sequence[str]) -> str:
    words = list(dict.fromkeys(words))
    more = f" and {len(words) - TOLD} more" if len(words) > TOLD else ""
    return ", ".join(words[:TOLD]) + more


def shelf_after(shelf: Shelf, data: bytes, changes: Sequence[Change]) -> bytes:
    """Return the file of a shelf with its stock changed: the same text file, or a CSV file for a workbook.

    Parameters
    ----------
    shelf : Shelf
        The shelf.
    data : bytes
        The file it was read from.
    changes : sequence of Change
        From `stock_changes`.

    Raises
    ------
    PaletteError
        The shelf has no column for the stock, or one row for several sizes.
    """
    cells: dict[int, dict[int, NewText]] = {}
    for change in changes:
        if not change.known:
            continue
        if not shelf.stock:
            raise PaletteError(
                f"{shelf.table.source} has no column for the stock", "add a column on_hand or on_hand_g"
            )
        line = shelf.lines[change.entry]
        if line in cells:
            raise PaletteError(
                f"{shelf.table.source}, {shelf.table.row_word} {line} is one row for several sizes",
                "give each size a row with its own stock",
            )
        cells[line] = dict(_new_cells(shelf, change))
    if shelf.table.separator:
        return rewritten_text(data, shelf.table.separator, cells, shelf.table.source)
    return _as_csv(shelf, data, cells)


def _as_csv(shelf: Shelf, data: bytes, cells: Changes) -> bytes:
    tables = workbook_tables(data, shelf.table.source, shelf.table.sheet)
    table = next(one for one in tables if one.sheet == shelf.table.sheet)
    first, *rows = rows_with_cells(list(table.rows), cells)
    return csv_text(first, rows).encode()


def _new_cells(shelf: Shelf, change: Change) -> list[tuple[int, NewText]]:
    """Return by place what the new content of the stock's cells is.

    A cell that says nothing stays so if another one does. Where none says anything, grams are written, or
    beads where there is no column for those.
    """
    filled = change.colour.on_hand is not None or change.colour.on_hand_g is not None
    places = list(shelf.stock)
    if not filled:
        places = sorted(places, key=lambda one: one[1] == "beads")[:1]
    return [(place, _writer(shelf, change, unit, filled=filled)) for place, unit in places]


def _writer(shelf: Shelf, change: Change, unit: str, *, filled: bool) -> NewText:
    def write(old: str) -> str:
        amount = written_amount(old.strip())
        if filled and (not old.strip() or old.strip().casefold() in NOTHING_SAID):
            return old
        kind = (amount.unit if amount else "") or unit
        comma = amount.decimal_mark == "," if amount and amount.decimal_mark else shelf.table.separator == ";"
        number = str(change.left_beads) if kind == "beads" else _grams(change, kind, decimal_comma=comma)
        if amount is None:
            return number
        # The unit of a cell, its ca. and the blanks about it stay.
        return _NUMBER.sub(lambda _: number, old, count=1)

    return write


def _grams(change: Change, unit: str, *, decimal_comma: bool) -> str:
    grams = change.left_g
    # Five decimals of a kilogram cannot be taken for thousands.
    text = f"{grams / GRAMS_PER_KILOGRAM:.5f}" if unit == "kg" else f"{grams:.2f}".rstrip("0").rstrip(".")
    return text.replace(".", ",") if decimal_comma else text
