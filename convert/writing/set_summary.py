"""The figures of a set, as words for a table and as plain values for machines."""

from collections.abc import Sequence
from typing import Any

from convert.judging.afar import Comparison
from convert.palette.money import money
from convert.piece.collection import Collection
from convert.piece.kit import Kit
from convert.piece.materials import finished_size, spare_told, total_cost
from convert.sentences import counted
from convert.writing.summary import (
    bought_told,
    of_the_list,
    percent,
    row_json,
    summary_json,
    weight_told,
)


def set_facts(
    collection: Collection,
    kit: Kit | None,
    colours_gap: float | None = None,
    colours_reason: str | None = None,
) -> dict[str, str]:
    """Return the figures of a set in words.

    Parameters
    ----------
    collection : Collection
        The set.
    kit : Kit or None
        Kits, with their price.
    colours_gap : float, optional
        By what share another choice of as many colours could be better at most.
    colours_reason : str, optional
        Why there are as many colours as there are.
    """
    rows, currency = collection.rows, collection.costs_in
    pieces = zip(collection.names, collection.patterns, strict=True)
    facts = {
        "Set": collection.title
        + (f", for {counted(collection.students, 'student')}" if collection.students else ""),
        **{name: _piece_told(pattern) for name, pattern in pieces},
        "Beads": f"{sum(row.beads for row in rows):,} in {counted(collection.colours, 'colour')}",
        "Weight": f"{weight_told(sum(row.grams for row in rows))} of beads, {spare_told(collection.spare)}",
        "To buy": bought_told(rows, currency),
    }
    if (used := total_cost(row.cost_used for row in rows)) is not None:
        priced = sum(row.cost_used is not None for row in rows)
        facts["Cost of beads"] = (
            f"{money(used, currency)} by weight for those woven in, on hand or not"
            + of_the_list(priced, len(rows))
        )
    facts["Thread"] = f"{_thread_mm(collection) / 1000:.1f} m"
    if kit is not None and kit.price is not None:
        facts["Price of a kit"] = money(kit.price, currency) + of_the_list(kit.priced, len(kit.rows))
    if colours_reason is not None:
        facts["Colours that pay"] = colours_reason
    if colours_gap is not None:
        facts["Choice of colours"] = (
            f"at most {percent(colours_gap)} from the best possible for all pieces together"
            if colours_gap > 0
            else "the best possible for all pieces together"
        )
    return facts


def _piece_told(pattern: Any) -> str:
    mirrored = ", half of them mirrored" if pattern.mirror_pair else ""
    times = f", {pattern.copies} of it{mirrored}" if pattern.copies > 1 else ""
    beads, colours = f"{len(pattern.bead_colour):,} beads", counted(pattern.colours, "colour")
    size = finished_size(pattern)
    return f"{size.width_mm:.0f} x {size.height_mm:.0f} mm, {beads}, {colours}{times}"


def _thread_mm(collection: Collection) -> float:
    pieces = zip(collection.patterns, collection.reports, strict=True)
    return sum(report.length_mm * pattern.pieces for pattern, report in pieces)


def set_json(
    collection: Collection,
    learnt: Sequence[tuple[float | None, Comparison | None]],
    colours_gap: float | None = None,
    colours_reason: str | None = None,
) -> dict[str, Any]:
    """Return the figures of a set as plain values, lengths in mm.

    Parameters
    ----------
    collection : Collection
        The set.
    learnt : sequence of (float or None, Comparison or None)
        Of each piece the mean difference to its picture, and how it looks from a distance.
    colours_gap, colours_reason
        As of `set_facts`.
    """
    rows = collection.rows
    used = total_cost(row.cost_used for row in rows)
    of_each = zip(collection.names, collection.patterns, collection.reports, learnt, strict=True)
    shared = ("materials", "cost", "currency", "spare", "students")
    pieces = {}
    for name, pattern, report, figures in of_each:
        told = summary_json(pattern, report, *figures)
        pieces[name] = {key: value for key, value in told.items() if key not in shared}
    return {
        "title": collection.title,
        "students": collection.students or None,
        "beads": sum(row.beads for row in rows),
        "colours": collection.colours,
        "grams": round(sum(row.grams for row in rows), 2),
        "spare": collection.spare,
        "cost": round(sum(row.cost for row in rows if row.cost is not None), 2),
        "cost_of_beads_used": None if used is None else round(used, 2),
        "currency": collection.costs_in,
        "thread_mm": round(_thread_mm(collection), 1),
        "colours_gap": colours_gap,
        "colours_reason": colours_reason,
        "pieces": pieces,
        "materials": [
            {**row_json(row), "by_piece": {name: of[number] for name, of in collection.by_piece.items()}}
            for number, row in enumerate(rows)
        ],
    }
