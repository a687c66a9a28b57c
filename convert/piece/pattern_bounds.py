"""How much a pattern file may ask for, told before it is built."""

import json
from typing import Any

from convert.errors import PatternFileError
from convert.piece.pattern_schema import WOVEN, FlowerPart, PatternPart
from convert.weave.motif import flower_beads

# A bead has a code and is passed a few times; the rest is palette and rows.
_VALUES_A_BEAD, _VALUES_BESIDE = 12, 200_000
# A sheet is laid out with the places where nothing is woven.
_PLACES_BESIDE = 100_000
# A loop has six beads, and shares each with one other at most.
_LEAST_BEADS_A_LOOP = 3


def json_of(text: str | bytes, source: str, max_beads: int) -> Any:
    """Return what the JSON of a file says, unless it has far more values than a piece of so many beads has.

    Parameters
    ----------
    text : str or bytes
        The file; values that stand beside each other have a comma between them.
    source : str
        Its name, for messages.
    max_beads : int
        Most beads of a piece.

    Raises
    ------
    PatternFileError
        It has more, or is no JSON.
    """
    values = text.count(b",") if isinstance(text, bytes) else text.count(",")
    if values > _VALUES_BESIDE + _VALUES_A_BEAD * max(0, max_beads):
        raise PatternFileError(
            f"{source}: {values:,} values are more than a piece of {max_beads:,} beads has",
            "give a pattern.json of combweave, or raise the limit with --max-beads",
        )
    try:
        decoded = text.decode("utf-8-sig") if isinstance(text, bytes) else text
        return json.loads(decoded, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        raise PatternFileError(
            f"{source}, line {error.lineno}, column {error.colno}: not valid JSON ({error.msg})",
            "mend the place, or take a pattern.json as combweave wrote it",
        ) from error
    except (UnicodeDecodeError, ValueError, RecursionError) as error:
        raise PatternFileError(f"{source}: not a pattern file", "give a pattern.json of combweave") from error


def _no_constant(name: str) -> None:
    raise ValueError(name)


def check_beads(part: PatternPart, source: str, max_beads: int) -> None:
    """Refuse a piece of too many beads before it is laid out; parameters and errors as of `json_of`."""
    shape = part.shape
    places = 0
    if isinstance(shape, FlowerPart):
        beads = flower_beads(shape.rounds, shape.centre)
    else:
        beads = _LEAST_BEADS_A_LOOP * sum(row.count(WOVEN) for row in shape.rows)
        places = sum(map(len, shape.rows))
    if beads > max_beads:
        raise PatternFileError(
            f"{source}: this piece has {beads:,} beads or more, more than the limit of {max_beads:,}",
            "raise the limit with --max-beads if your computer has the memory",
        )
    if places > _PLACES_BESIDE + max_beads:
        raise PatternFileError(
            f"{source}: shape, rows: {places:,} places are more than a piece of {max_beads:,} beads has",
            "leave out rows and places at the edge where nothing is woven, or raise the limit with"
            " --max-beads",
        )
