"""A column of numbers: its cells settle for each other what one alone leaves open."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cached_property

from convert.palette.amounts import GRAMS_PER_KILOGRAM, NOTHING_SAID, Amount, Marks, written_amount
from convert.palette.headings import Heading
from convert.palette.model import RANGES, shown
from convert.palette.palette_cells import COLUMNS, CellError
from convert.palette.table import Plain

STOCK = ("on_hand", "on_hand_g")
NUMBERS = tuple(RANGES)
_NONE_LEFT = frozenset({"none", "out", "out of stock", "sold out", "nil", "empty"})


@dataclass
class NumberColumn:
    """A column whose cells are numbers.

    Parameters
    ----------
    heading : Heading
        What it holds.
    cells : list of str
        All its cells that are not empty.
    decimal_comma : bool
        Whether the file parts cells by something else than commas, so that they may part decimals.
    other_marks : callable
        Returns what the numbers of the whole table show of their marks.
    in_plain_table : bool
        Whether the table names code and colour by their plain names, as programs do.

    Attributes
    ----------
    about : list of str
        Cells that say they are rough.
    settled : dict of str to float
        Cells whose mark could be read in two ways, and what they were read as.
    currencies : dict of str to int
        Each currency, with how often it has been read.
    """

    heading: Heading
    cells: list[str]
    decimal_comma: bool
    other_marks: Callable[[], Marks]
    in_plain_table: bool = False
    about: list[str] = field(default_factory=list)
    settled: dict[str, float] = field(default_factory=dict)
    currencies: dict[str, int] = field(default_factory=dict)

    @cached_property
    def strict(self) -> bool:
        """Whether the column has its plain name among such, and only numbers as programs write them."""
        if not (self.heading.plain and self.in_plain_table):
            return False
        try:
            for cell in self.cells:
                self._strictly(cell)
        except CellError:
            return False
        return True

    @cached_property
    def _says_grams(self) -> bool:
        return any(amount.unit in ("g", "kg") for amount in amounts(self.cells))

    @cached_property
    def marks(self) -> Marks:
        """What its numbers show of their marks."""
        return Marks.shown_by(
            amounts(self.cells), whole=self.heading.field == "on_hand" and not self._says_grams
        )

    def read(self, cell: str) -> dict[str, float]:
        """Return the value of a cell by the column of `RANGES` it belongs to; empty where it says nothing.

        A cell of the stock may say that it is beads or grams, whatever the column holds else. The currency of
        a price is counted in `currencies`.

        Raises
        ------
        CellError
            It is no such number, or may be two.
        """
        name = self.heading.field
        if self.strict:
            return {name: self._strictly(cell)}
        word = cell.casefold()
        if word in NOTHING_SAID:
            return {}
        if name in STOCK and word in _NONE_LEFT:
            return {name: 0}
        amount = Amount(float(cell)) if isinstance(cell, Plain) else written_amount(str(cell))
        if amount is None:
            # What a program would read says more of what is wrong, such as the range.
            self._strictly(cell)
            raise CellError(f"{shown(cell)} is not a number that people write")
        name, value = self._with_unit(amount, self._settled(amount, cell), cell)
        least, most = RANGES[name]
        if not least <= value <= most:
            raise CellError(f"{shown(cell)} is not from {least:g} to {most:,}")
        if amount.about:
            self.about.append(cell)
        sign = amount.currency or self.heading.currency
        if name == "price" and sign:
            self.currencies[sign] = self.currencies.get(sign, 0) + 1
        return {name: int(value) if name == "on_hand" else value}

    def _strictly(self, cell: str) -> float:
        value: float = COLUMNS[self.heading.field](cell.replace(",", ".") if self.decimal_comma else cell)
        return value

    def _settled(self, amount: Amount, cell: str) -> float:
        for marks in (self.marks, self.other_marks()):
            value = marks.settle(amount)
            if value is not None:
                if amount.mark:
                    self.settled[cell] = value
                return value
        raise CellError(
            f"{shown(cell)} may be {amount.thousands:.0f} or {amount.value:g}: write it without the mark, or"
            " not with three decimals"
        )

    def _with_unit(self, amount: Amount, value: float, cell: str) -> tuple[str, float]:
        """Return the column a number belongs to by its unit, and the number in that of the column."""
        name = self.heading.field
        if amount.currency and name != "price":
            raise CellError(f"{shown(cell)} is a price")
        unit = amount.unit or self.heading.unit
        if unit == "beads" and name not in ("on_hand", "on_hand_g"):
            raise CellError(f"{shown(cell)} is a number of beads")
        if unit in ("g", "kg") and name in ("per_gram", "price"):
            raise CellError(f"{shown(cell)} is a weight")
        if unit == "kg":
            value *= GRAMS_PER_KILOGRAM
        if name == "on_hand" and not unit and value and self._says_grams:
            raise CellError(f"{shown(cell)} may be beads or grams, as other cells are grams: write the unit")
        if name in STOCK:
            name = {"g": "on_hand_g", "kg": "on_hand_g", "beads": "on_hand"}.get(unit, name)
        if name == "on_hand" and not value.is_integer():
            raise CellError(
                f"{shown(cell)} is not a whole number of beads; of grams say so, as in {shown(cell + ' g')}"
            )
        return name, value


def amounts(cells: Iterable[str]) -> Iterable[Amount]:
    """Yield the numbers among cells that people have written; those a spreadsheet holds have no marks."""
    for cell in cells:
        amount = None if isinstance(cell, Plain) else written_amount(str(cell))
        if amount is not None:
            yield amount
