"""The beads of a pattern file: what each is, and what the picture asks of it, checked against the shape."""

from typing import Any

import numpy as np

from convert.errors import PatternFileError
from convert.palette.model import Palette, shown
from convert.piece.pattern_schema import PatternPart
from convert.weave.model import Weave
from convert.weave.tips import tips_of

# Four hexadecimal digits a channel.
_DIGITS = 12
_LEAVE_OUT = "mend it, or leave out wanted and unshown: nothing is then told of the picture"


def bead_colours(part: PatternPart, weave: Weave, palette: Palette, source: str) -> np.ndarray[Any, Any]:
    """Return the entry of each bead, checked against the bead's size.

    Parameters
    ----------
    part : PatternPart
        What the file says.
    weave : Weave
        The piece that its shape makes.
    palette : Palette
        The file's own.
    source : str
        What to call the file in messages.

    Raises
    ------
    PatternFileError
        If they do not fit the shape or the palette.
    """
    counts = _beads_in_rows(weave)
    if [len(row) for row in part.bead_rows] != counts:
        if len(part.bead_rows) != len(counts):
            raise PatternFileError(
                f"{source}: bead_rows has {len(part.bead_rows)} rows where the shape has {len(counts)}"
            )
        number = next(
            i for i, (row, count) in enumerate(zip(part.bead_rows, counts, strict=True)) if len(row) != count
        )
        raise PatternFileError(
            f"{source}: bead_rows, row {number + 1} has {len(part.bead_rows[number])} beads"
            f" where the shape has {counts[number]}"
        )
    tips = tips_of(weave)
    if part.tips and len(part.tips) != len(tips):
        raise PatternFileError(
            f"{source}: tips has {len(part.tips)} beads where the shape has {len(tips)} tips"
        )
    entry_of: list[dict[str, int]] = [
        {palette.entries[entry].code: entry for entry in palette.for_size(size.name).tolist()}
        for size in weave.sizes
    ]
    bead_size = tips.extended(weave.bead_size, tips.size_index).tolist()[
        : len(weave.bead_size) + len(part.tips)
    ]
    codes = [code for row in part.bead_rows for code in row] + part.tips
    entries = np.empty(len(codes), np.int32)
    for bead, (code, size) in enumerate(zip(codes, bead_size, strict=True)):
        entry = entry_of[size].get(code)
        if entry is None:
            raise PatternFileError(
                f"{source}: {_bead_place(bead, counts)} is {shown(code)}, which the palette does not have"
                f" in size {weave.sizes[size].name}",
                "use a code of the file's palette, or add the colour there",
            )
        entries[bead] = entry
    return entries


def _beads_in_rows(weave: Weave) -> list[int]:
    starts = np.flatnonzero(np.diff(weave.bead_row, prepend=-1)).tolist()
    return list(np.diff([*starts, weave.beads]).tolist())


def wanted_colours(part: PatternPart, weave: Weave, source: str) -> np.ndarray[Any, Any] | None:
    """Return what the picture asks of each bead, see `Pattern`, checked against the shape.

    Parameters
    ----------
    part : PatternPart
        What the file says.
    weave : Weave
        The piece that its shape makes.
    source : str
        What to call the file in messages.

    Raises
    ------
    PatternFileError
        If they do not fit the shape.
    """
    if part.wanted is None:
        if part.unshown:
            raise PatternFileError(f"{source}: unshown names beads, but wanted is not there", _LEAVE_OUT)
        return None
    counts = _beads_in_rows(weave)
    if len(part.wanted) != len(counts):
        raise PatternFileError(
            f"{source}: wanted has {len(part.wanted)} rows where the shape has {len(counts)}", _LEAVE_OUT
        )
    for number, (row, count) in enumerate(zip(part.wanted, counts, strict=True), 1):
        if len(row) != _DIGITS * count:
            raise PatternFileError(
                f"{source}: wanted, row {number} has {len(row)} digits where {count} beads have"
                f" {_DIGITS * count}",
                _LEAVE_OUT,
            )
    unshown = set(part.unshown)
    if max(unshown, default=0) >= weave.beads or len(unshown) == weave.beads:
        raise PatternFileError(
            f"{source}: unshown must be some, not all, of the beads 0 to {weave.beads - 1}", _LEAVE_OUT
        )
    return np.frombuffer(bytes.fromhex("".join(part.wanted)), ">u2").astype(np.uint16).reshape(-1, 3)


def _bead_place(bead: int, counts: list[int]) -> str:
    ends = np.cumsum(counts)
    if bead >= ends[-1]:
        return f"tips, bead {bead - int(ends[-1]) + 1}"
    row = int(np.searchsorted(ends, bead, side="right"))
    return f"bead_rows, row {row + 1}, bead {bead - int(ends[row]) + counts[row] + 1}"
