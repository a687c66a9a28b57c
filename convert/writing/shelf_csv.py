"""A shelf as a palette file and as plain values, and the table of the card's patches."""

import csv
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from convert.palette.model import BeadColour
from convert.shelf.card import PATCHES
from convert.shelf.shelf import Shelf
from convert.writing.csv_cells import csv_text

_ALWAYS = ("code", "name", "size", "hex", "lab")
_IF_KNOWN = ("finish", "on_hand", "on_hand_g", "per_gram", "pack_g", "price")
SPREAD = "spread"

Key = tuple[str, str | None]


def shelf_csv(entries: Sequence[BeadColour], spreads: Sequence[float | None]) -> str:
    """Return a shelf as a palette file in CSV.

    Parameters
    ----------
    entries : sequence of BeadColour
        The bead colours.
    spreads : sequence of float or None
        How much each varies, CIEDE2000, for the column ``spread``; None is not known.
    """
    known = [name for name in _IF_KNOWN if any(getattr(entry, name) not in (None, "") for entry in entries)]
    rows = (
        [*(_cell(entry, name) for name in (*_ALWAYS, *known)), None if spread is None else f"{spread:.1f}"]
        for entry, spread in zip(entries, spreads, strict=True)
    )
    return csv_text((*_ALWAYS, *known, SPREAD), rows)


def former_spreads(path: Path) -> dict[Key, float]:
    """Return the spreads that a file of `shelf_csv` holds, by code and size; none of any other file."""
    try:
        with path.open(encoding="utf-8", newline="") as file:
            rows = [row for row in csv.DictReader(file) if SPREAD in row]
    except (
        OSError,
        UnicodeDecodeError,
        csv.Error,
    ):  # a table of another program, which the palette's reader takes
        return {}
    found = {}
    for row in rows:
        # An empty cell, or one that she has written into, tells nothing.
        with suppress(TypeError, ValueError, KeyError):
            found[row["code"], row["size"] or None] = float(row[SPREAD])
    return found


def card_csv() -> str:
    """Return the values that stand on the card, as a table to write measured ones into."""
    return csv_text(("code", "lab"), [(patch.code, " ".join(map(str, patch.lab))) for patch in PATCHES])


def shelf_json(shelf: Shelf) -> dict[str, Any]:
    """Return a shelf as plain values."""
    places = [(row, place) for row, count in enumerate(shelf.rows, 1) for place in range(1, count + 1)]
    off = shelf.correction.off
    return {
        "light": shelf.correction.basis,
        "card_missed_by": None if off is None else round(off, 2),
        "rows": list(shelf.rows),
        "heaps": [
            {
                "code": entry.code,
                "name": entry.name,
                "size": entry.size,
                "hex": entry.hex,
                "lab": list(entry.lab),
                "spread": round(spread, 1),
                "row": row,
                "place": place,
            }
            for entry, spread, (row, place) in zip(shelf.entries, shelf.spreads, places, strict=True)
        ],
    }


def _cell(entry: BeadColour, name: str) -> object:
    value = getattr(entry, name)
    return " ".join(f"{round(number, 2):g}" for number in value) if name == "lab" else value
