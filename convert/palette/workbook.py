"""Spreadsheet files: the sheets of .xlsx and .ods as tables of text.

The cells are read by calamine, after `convert.palette.workbook_check` has made sure that they fit.
"""

import datetime
import io
from collections.abc import Iterator
from itertools import chain
from typing import Any

from convert.errors import PaletteError
from convert.palette.model import shown
from convert.palette.table import Plain, Row, Table, Unusable
from convert.palette.workbook_cells import SheetCheck
from convert.palette.workbook_check import checked_workbook

SHEETS_TOLD = 8


def workbook_tables(data: bytes, source: str, sheet: str | None = None) -> list[Table]:
    """Return the sheets of a workbook that are not blank, hidden ones only where they are named.

    Parameters
    ----------
    data : bytes
        The file: .xlsx, .ods, or .xlsm, whose macros stay where they are.
    source : str
        Its name, for messages.
    sheet : str, optional
        Name of a sheet in any case, or its number from 1.

    Raises
    ------
    PaletteError
        The file is of another kind, has a password, is too large or damaged, or has no such sheet.
    """
    checked = checked_workbook(data, source)
    names, visible, open_sheet = _opened(checked.data, source)
    wanted = visible if sheet is None else [_named(sheet, names, source)]
    notes = (f"{source}: its macros were not run",) if checked.has_macros else ()
    tables = []
    for name in wanted:
        check = checked.sheets.get(name, SheetCheck())
        called = source if len(names) == 1 else f"{source}, sheet {shown(name)}"
        rows = _rows(open_sheet(name), check)
        first = next(rows, None)
        if first is not None:
            several = name if len(names) > 1 else None
            tables.append(Table(called, chain([first], rows), notes=notes, sheet=several))
    return tables


def _named(sheet: str, names: list[str], source: str) -> str:
    wanted = sheet.strip().casefold()
    for name in names:
        if name.strip().casefold() == wanted:
            return name
    if wanted.isdecimal() and len(wanted) < 5 and 1 <= int(wanted) <= len(names):
        return names[int(wanted) - 1]
    raise PaletteError(f"{source} has no sheet {shown(sheet)}", f"it has {sheets_told(names)}")


def sheets_told(names: list[str]) -> str:
    """Return the names of sheets, so many as one line takes."""
    more = f" and {len(names) - SHEETS_TOLD} more" if len(names) > SHEETS_TOLD else ""
    return ", ".join(shown(name) for name in names[:SHEETS_TOLD]) + more


def _opened(data: bytes, source: str) -> tuple[list[str], list[str], Any]:
    """Return the names of all sheets and of those that show, and what gives the rows of one."""
    from python_calamine import CalamineError, CalamineWorkbook, SheetTypeEnum, SheetVisibleEnum

    def guarded(work: Any) -> Any:
        try:
            return work()
        except BaseException as error:
            # A slip in calamine ends in a panic, which is no Exception.
            if (
                not isinstance(error, CalamineError | OSError | ValueError)
                and "Panic" not in type(error).__name__
            ):
                raise
            raise PaletteError(
                f"{source} is damaged", "open it in a spreadsheet and save it again, or save it as CSV"
            ) from error

    workbook = guarded(lambda: CalamineWorkbook.from_filelike(io.BytesIO(data)))
    found = [one for one in workbook.sheets_metadata if one.typ == SheetTypeEnum.WorkSheet]
    return (
        [one.name for one in found],
        [one.name for one in found if one.visible == SheetVisibleEnum.Visible],
        lambda name: guarded(lambda: workbook.get_sheet_by_name(name).to_python(skip_empty_area=False)),
    )


def _rows(values: list[list[Any]], check: SheetCheck) -> Iterator[Row]:
    """Yield the rows that are not blank; a merged cell stands in each row that it covers."""
    for top, bottom, left, _ in check.merged:
        for row in range(top + 1, min(bottom + 1, len(values))):
            if left < len(values[row]) and left < len(values[top]) and values[row][left] == "":
                values[row][left] = values[top][left]
    for number, of_row in enumerate(values):
        cells = [_text(value) for value in of_row]
        if check.faults:
            cells = [
                Unusable(check.faults[number, column]) if (number, column) in check.faults else cell
                for column, cell in enumerate(cells)
            ]
        if any(cells):
            yield Row(number + 1, cells)


def _text(value: Any) -> str:
    """Return a cell as text, a number as short as it can be written."""
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, float):
        return Plain(int(value) if value.is_integer() and abs(value) < 1e15 else repr(value))
    if isinstance(value, datetime.date | datetime.time | datetime.timedelta):
        what = "a date" if isinstance(value, datetime.date) else "a time of day"
        return Unusable(
            f"is {what} ({value}), as spreadsheets make of other text: type it into a cell formatted as text",
            str(value),
        )
    return str(value)
