"""The pattern file: a whole pattern as JSON that can be edited by hand.

Bead colours are kept as rows of codes, row of beads by row of beads, so that a colour is changed where it is
seen; the thread is kept as the beads it goes through, one list a working thread. Whatever is read is checked
to the same standard as what is computed: the thread path is proven again by the caller.
"""

import itertools
import json
from dataclasses import asdict
from typing import Any

import numpy as np
from pydantic import ValidationError

from convert import __version__
from convert.errors import ConvertError, PatternFileError
from convert.palette.model import BeadColour, Palette
from convert.piece.about import NO_WISHES, Figures, Imprint, Looks, Outlook, Wishes
from convert.piece.pattern import Pattern, Shape
from convert.piece.pattern_beads import bead_colours, wanted_colours
from convert.piece.pattern_bounds import check_beads, json_of
from convert.piece.pattern_schema import (
    BARE,
    FORMAT,
    VERSION,
    WOVEN,
    FiguresPart,
    FlowerPart,
    PatternPart,
    SheetPart,
    SpacingPart,
    SymmetryPart,
)
from convert.piece.pattern_versions import brought_up
from convert.settings.weave import MOST_BEADS
from convert.thread.steps import Supplies, Tail, ThreadPlan
from convert.weave.beads import BeadSize
from convert.weave.motif import FLAT
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import GAUGE_LIMIT, Spacing, model_spacing
from convert.weave.symmetry import Symmetry
from convert.weave.tips import tips_of


def _shape_part(shape: Shape) -> dict[str, Any]:
    hanging = {"hanging": shape.hanging} if shape.hanging else {}
    if isinstance(shape, Flower):
        sixths = {"sixths": shape.sixths} if shape.sixths != FLAT else {}
        return {"kind": "flower", "rounds": shape.rounds, "centre": shape.centre, **sixths, **hanging}
    rows = ["".join(WOVEN if loop else BARE for loop in row) for row in shape.woven.tolist()]
    joined = {"joined": True} if shape.joined else {}
    return {"kind": "sheet", "direction": shape.direction, **joined, "rows": rows, **hanging}


def _symmetry_part(symmetry: Symmetry | None) -> dict[str, Any]:
    """Return what maps the design onto itself; nothing where nothing is said to."""
    if symmetry is None:
        return {}
    values = {name: getattr(symmetry, name) for name in SymmetryPart.model_fields}
    return {"symmetry": {name: value for name, value in values.items() if value is not None}}


def pattern_json(pattern: Pattern) -> str:
    """Return a pattern as the text of a pattern file.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    """
    weave, plan = pattern.weave, pattern.thread
    codes = [entry.code for entry in pattern.palette.entries]
    of_bead = [codes[entry] for entry in pattern.bead_colour.tolist()]
    row_starts = np.flatnonzero(np.diff(weave.bead_row, prepend=-1)).tolist()
    bounds = [*row_starts, weave.beads]
    part = {
        "format": FORMAT,
        "version": VERSION,
        "program": f"combweave {__version__}",
        "title": pattern.title,
        **_fields(pattern.imprint),
        "copies": pattern.copies,
        **({"mirror_pair": True} if pattern.mirror_pair else {}),
        "students": pattern.students,
        "adjustments": list(pattern.adjustments),
        "spare": pattern.spare,
        "currency": pattern.currency,
        "finish": pattern.finish,
        "view": {"backing": pattern.outlook.backing, "distance_m": pattern.outlook.view_distance_m},
        **({} if pattern.figures is None else {"figures": asdict(pattern.figures)}),
        "core": _fields(pattern.weave.sizes[0]),
        "connector": _fields(pattern.weave.sizes[1]),
        "spacing": _fields(weave.spacing),
        "shape": _shape_part(pattern.shape),
        **_symmetry_part(pattern.symmetry),
        "palette": {
            "name": pattern.palette.name,
            "entries": [_fields(entry) for entry in pattern.palette.entries],
        },
        "bead_rows": [of_bead[start:end] for start, end in itertools.pairwise(bounds)],
        "tips": [of_bead[bead] for bead in tips_of(weave).numbers if bead < len(of_bead)],
        **_picture_part(pattern, bounds),
        **_wishes_part(pattern),
        **({"symbols": dict(pattern.symbols)} if pattern.symbols else {}),
        "thread": {
            **_fields(pattern.supplies),
            "path": pattern.path,
            "start": pattern.start,
            "begin": pattern.begin,
            "threads": [part.tolist() for part in np.split(plan.passes, plan.new_threads[1:])],
            "tails": [{**tail._asdict(), "beads": list(tail.beads)} for tail in plan.tails],
        },
    }
    return _laid_out(part)


def _picture_part(pattern: Pattern, bounds: list[int]) -> dict[str, Any]:
    """Return what the picture asks of rows of beads between bounds; nothing where none was followed."""
    if pattern.wanted is None:
        return {}
    wanted = pattern.wanted.astype(">u2")
    rows = [wanted[start:end].tobytes().hex().upper() for start, end in itertools.pairwise(bounds)]
    return {"wanted": rows, "unshown": list(pattern.unshown)}


def _wishes_part(pattern: Pattern) -> dict[str, Any]:
    """Return the loops to be changed; nothing where there are none."""
    if pattern.wishes == NO_WISHES:
        return {}
    return {"wishes": {name: list(loops) for name, loops in asdict(pattern.wishes).items()}}


def _fields(value: BeadSize | Spacing | BeadColour | Supplies | Imprint) -> dict[str, Any]:
    return {name: getattr(value, name) for name in value.__slots__}


def _laid_out(part: dict[str, Any]) -> str:
    """Return JSON with a line a row, so that it can be read, edited and compared."""

    def flat(value: Any) -> str:
        return json.dumps(value, ensure_ascii=False)

    def lines(value: Any, indent: str) -> str:
        deeper = indent + " "
        if isinstance(value, dict) and any(isinstance(item, list | dict) for item in value.values()):
            body = (f"{deeper}{flat(key)}: {lines(item, deeper)}" for key, item in value.items())
            return "{\n" + ",\n".join(body) + f"\n{indent}}}"
        rows = isinstance(value, list) and value and isinstance(value[0], list | dict)
        text_rows = (
            isinstance(value, list) and value and indent and isinstance(value[0], str) and len(value[0]) > 20
        )
        if rows or text_rows:
            return "[\n" + ",\n".join(f"{deeper}{flat(item)}" for item in value) + f"\n{indent}]"
        return flat(value)

    return lines(part, "") + "\n"


def parse_pattern(text: str | bytes, source: str) -> Pattern:
    """Return the pattern of a pattern file; parameters and errors as of `parse_with_notes`."""
    return parse_with_notes(text, source)[0]


def parse_with_notes(
    text: str | bytes, source: str, max_beads: int = MOST_BEADS
) -> tuple[Pattern, tuple[str, ...]]:
    """Return the pattern of a pattern file, and notes on how it was understood.

    Parameters
    ----------
    text : str or bytes
        What stands in the file; bytes are UTF-8.
    source : str
        Name of the file, for errors.
    max_beads : int
        Most beads of the piece.

    Raises
    ------
    PatternFileError
        Not such a file, a newer version, too many beads, or something in it contradicts the rest; the
        message names the line or the field.
    """
    value = json_of(text, source, max_beads)
    if not isinstance(value, dict) or value.get("format") != FORMAT:
        raise PatternFileError(f"{source}: not a pattern file", "give a pattern.json of combweave")
    value, notes = brought_up(value, source)
    try:
        part = _validated(value, source)
        check_beads(part, source, max_beads)
        return _pattern(part, source), notes
    except PatternFileError:
        raise
    except ConvertError as error:
        raise PatternFileError(f"{source}: {error}", error.hint) from error


def _validated(value: Any, source: str) -> PatternPart:
    try:
        # Lists stand for tuples in JSON, which strict mode allows only when it parses the JSON itself.
        return PatternPart.model_validate_json(json.dumps(value))
    except ValidationError as error:
        faults = error.errors(include_url=False, include_context=False, include_input=False)
        first = "; ".join(f"{_field_name(fault['loc'])}: {fault['msg'].lower()}" for fault in faults[:3])
        more = f"; and {len(faults) - 3} more" if len(faults) > 3 else ""
        raise PatternFileError(f"{source}: {first}{more}", "mend the named fields") from error


def _field_name(location: tuple[int | str, ...]) -> str:
    """Return a place in the file as people count: row 1 is the first."""
    return ", ".join(str(step) if isinstance(step, str) else f"item {step + 1}" for step in location)


def _pattern(part: PatternPart, source: str) -> Pattern:
    sizes = (BeadSize(**part.core.model_dump()), BeadSize(**part.connector.model_dump()))
    spacing = _spacing(part.spacing, sizes, source)
    shape = _shape(part.shape, source)
    weave = shape.build(sizes, spacing)
    palette = Palette(
        part.palette.name, tuple(BeadColour(**entry.model_dump()) for entry in part.palette.entries)
    )
    bead_colour = bead_colours(part, weave, palette, source)
    threads = part.thread.threads
    supplies = Supplies(part.thread.thread_mm, part.thread.needle_mm, part.thread.needleful_mm)
    starts = np.cumsum([0] + [len(thread) for thread in threads[:-1]])
    flat = [bead for thread in threads for bead in thread]
    if min(flat) < 0 or max(flat) >= len(bead_colour):
        raise PatternFileError(
            f"{source}: thread passes bead {max(flat) if min(flat) >= 0 else min(flat)},"
            f" but beads are numbered 0 to {len(bead_colour) - 1}"
        )
    tails = tuple(Tail(tail.before, tail.leaves, tuple(tail.beads)) for tail in part.thread.tails)
    plan = ThreadPlan(np.array(flat, np.int32), starts.astype(np.int32), tails)
    return Pattern(
        part.title,
        shape,
        weave,
        palette,
        bead_colour,
        plan,
        supplies,
        part.copies,
        tuple(part.adjustments),
        part.spare,
        part.currency,
        wanted_colours(part, weave, source),
        tuple(part.unshown),
        part.finish,
        _symmetry(part),
        part.mirror_pair,
        wishes=Wishes(tuple(part.wishes.drop), tuple(part.wishes.add)),
        path=part.thread.path,
        start=part.thread.start,
        begin=part.thread.begin,
        imprint=Imprint(part.maker, part.licence, part.year),
        outlook=Outlook(part.view.backing, part.view.distance_m),
        figures=_figures(part.figures),
        students=part.students,
        symbols=tuple(part.symbols.items()),
    )


def _symmetry(part: PatternPart) -> Symmetry | None:
    if part.symmetry is None:
        return None
    direction = part.shape.direction if isinstance(part.shape, SheetPart) else "across"
    return Symmetry(**part.symmetry.model_dump(), direction=direction)


def _figures(part: FiguresPart | None) -> Figures | None:
    if part is None:
        return None
    nearest = None if part.nearest is None else Looks(**part.nearest.model_dump())
    chosen = Looks(**part.chosen.model_dump())
    return Figures(part.colour_difference, chosen, nearest, part.colours_gap, part.colours_reason)


def _spacing(part: SpacingPart, sizes: tuple[BeadSize, BeadSize], source: str) -> Spacing:
    """Return the sides of the loops, which must be such as these beads can have."""
    model = model_spacing(*sizes)
    rounding = 1 + 1e-9
    most = GAUGE_LIMIT * rounding
    for name in ("core_mm", "connector_mm"):
        side, expected = getattr(part, name), getattr(model, name)
        if not expected / most <= side <= expected * most:
            raise PatternFileError(
                f"{source}: spacing, {name}: {side:g} mm cannot be these beads"
                f" (the model expects {expected:.2f} mm)",
                "give panel or motif your --gauge instead",
            )
    if not part.low / rounding <= 1 <= part.high * rounding:
        raise PatternFileError(f"{source}: spacing, low and high: 1 does not lie between them")
    return Spacing(**part.model_dump())


def _shape(part: SheetPart | FlowerPart, source: str) -> Shape:
    if isinstance(part, FlowerPart):
        return Flower(part.rounds, part.centre, part.sixths, part.hanging)
    places = len(part.rows[0])
    for number, row in enumerate(part.rows, 1):
        if len(row) != places:
            raise PatternFileError(
                f"{source}: shape, rows, item {number} has {len(row)} places where the first has {places}"
            )
    woven = np.array([[loop == WOVEN for loop in row] for row in part.rows])
    return Sheet(woven, part.direction, part.hanging, part.joined)
