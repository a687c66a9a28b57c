"""The figures of a pattern, as words for a table and as plain values for machines."""

import math
from dataclasses import asdict, astuple
from typing import Any

from convert.instructions.finishing import needed
from convert.instructions.kinds import loop_kinds
from convert.judging.afar import Comparison, Judgement
from convert.palette.money import money
from convert.piece.about import Figures, Looks
from convert.piece.finishing import finishing
from convert.piece.materials import FinishedSize, Material, finished_size, materials, spare_told, total_cost
from convert.piece.pattern import Pattern
from convert.sentences import counted
from convert.thread.stitches import stitches
from convert.thread.verifier import ThreadReport


def summary_facts(
    pattern: Pattern,
    report: ThreadReport,
    difference: float | None = None,
    comparison: Comparison | None = None,
    colours_gap: float | None = None,
    colours_reason: str | None = None,
    before: Figures | None = None,
) -> dict[str, str]:
    """Return the figures of a pattern in words.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    report : ThreadReport
        The proof of its thread path.
    difference : float, optional
        Mean colour difference to the picture, CIEDE2000.
    comparison : Comparison, optional
        How well the beads show the picture from a distance, beside the nearest ones.
    colours_gap : float, optional
        By what share another choice of as many colours could be better at most.
    colours_reason : str, optional
        Why there are as many colours as there are.
    before : Figures, optional
        How well the piece showed its picture before it was changed.
    """
    weave, rows, copies = pattern.weave, materials(pattern), pattern.pieces
    core, connector = weave.sizes
    per_size = {
        size.name: sum(row.beads for row in rows if row.size == size)
        for size in dict.fromkeys((core, connector))
    }
    beads = sum(per_size.values())
    facts = {
        "Piece": pattern.title + _made_by(pattern),
        **({"Imprint": pattern.imprint.line} if pattern.imprint.line else {}),
        "Finished size": f"{finished_size(pattern)}{', each' if copies > 1 else ''}",
        "Beads": f"{beads:,} in {counted(weave.loops * copies, 'loop')},"
        f" {counted(pattern.colours, 'colour')}",
        "Bead size": ", ".join(f"{size} ({count:,})" for size, count in per_size.items()),
        "Weight": f"{weight_told(sum(row.grams for row in rows))} of beads, {spare_told(pattern.spare)}",
        "To buy": bought_told(rows, pattern.costs_in),
    }
    if (used := total_cost(row.cost_used for row in rows)) is not None:
        priced = sum(row.cost_used is not None for row in rows)
        facts["Cost of beads"] = (
            f"{money(used, pattern.costs_in)} by weight for those woven in, on hand or not"
            + of_the_list(priced, len(rows))
        )
    facts |= _thread_facts(pattern, report)
    if (finish := finishing(pattern)) is not None:
        facts["To finish"] = f"{needed(finish)}{', for each piece' if copies > 1 else ''}"
    if difference is not None:
        told = _since(None if before is None else before.colour_difference, difference, ".1f")
        facts["Colour difference"] = f"{told} on average (CIEDE2000; about 1 is just visible)"
    if colours_reason is not None:
        facts["Colours that pay"] = colours_reason
    if colours_gap is not None:
        facts["Choice of colours"] = (
            f"at most {percent(colours_gap)} from the best possible"
            if colours_gap > 0
            else "the best possible"
        )
    return (
        facts
        if comparison is None
        else facts | _seen_facts(comparison, None if before is None else before.chosen)
    )


def _made_by(pattern: Pattern) -> str:
    """Say how many pieces there are to be, if more than one."""
    if pattern.pieces == 1:
        return ""
    mirrored = ", half of them mirrored" if pattern.mirror_pair else ""
    if not pattern.students:
        return f", {pattern.copies} copies{mirrored}, all counted in below"
    made = f"{pattern.copies} by each of {counted(pattern.students, 'student')}{mirrored}"
    return f", {made}: {pattern.pieces:,} in all, counted in below"


def _thread_facts(pattern: Pattern, report: ThreadReport) -> dict[str, str]:
    """Return what the thread takes, in words."""
    kinds = loop_kinds(pattern.weave, stitches(pattern.weave, pattern.thread)).kinds
    copies = pattern.pieces
    return {
        "Thread": f"{report.length_mm * copies / 1000:.1f} m of {pattern.supplies.thread_mm:g} mm"
        f" in {counted(report.threads * copies, 'working thread')}",
        "Passes": f"{report.passes * copies:,} through beads,"
        f" {report.passes / report.bound:.2f} times the least possible",
        "Kinds of loop": f"{len(kinds)}, the five commonest"
        f" {sum(kind.times for kind in kinds[:5]) / pattern.weave.loops:.0%} of all;"
        f" at most {counted(report.most_open, 'loop')} open at once",
        "Most passes": f"{report.most_passes} through one bead",
    }


def _since(before: float | None, now: float, form: str) -> str:
    """Return a figure, after the one from before a change where there was one."""
    told = format(now, form)
    if before is None:
        return told
    then = format(before, form)
    return f"{told} as before" if then == told else f"{then} -> {told}"


def _seen_facts(comparison: Comparison, before: Looks | None) -> dict[str, str]:
    """Return how the beads look, in words."""
    chosen, nearest = comparison.chosen, comparison.nearest
    unrest = chosen.unrest
    then = (None,) * 4 if before is None else astuple(before)
    told, with_gaps, lone, changes = (
        _since(was, now, form)
        for was, now, form in zip(
            then,
            (chosen.seen, chosen.seen_with_gaps, unrest.lone, unrest.changes),
            (".1f", ".1f", ",", ","),
            strict=True,
        )
    )
    seen = (
        f"{told} from the picture's own colours (S-CIELAB by CIEDE2000),"
        f" {with_gaps} with the backing in the gaps"
    )
    lone = f"{lone}, colour changes {changes}"
    if nearest is not None:
        seen += f"; with the nearest beads {nearest.seen:.1f} and {nearest.seen_with_gaps:.1f}"
        lone += f"; with the nearest beads {nearest.unrest.lone:,} and {nearest.unrest.changes:,}"
    return {f"Seen from {comparison.distance_m:g} m": seen, "Lone beads": lone}


def percent(share: float) -> str:
    """Return a bound as a percentage."""
    # Rounded up: it is a bound.
    return f"{math.ceil(share * 10_000) / 100:.2f}%"


def weight_told(grams: float) -> str:
    """Return a weight with two figures that count."""
    return f"{grams:.{0 if grams >= 10 else 1 if grams >= 1 else 2}f} g"


def bought_told(rows: list[Material], currency: str) -> str:
    """Return what is missing: in packs with their cost where the palette says, or else in beads."""
    missing = [row for row in rows if row.to_buy]
    if not missing:
        return "nothing, all of it is on hand"
    beads, known = sum(row.to_buy for row in missing), [row for row in missing if row.packs is not None]
    if not known:
        return f"{beads:,} beads in {counted(len({row.colour.code for row in missing}), 'colour')}"
    told = counted(sum(row.packs or 0 for row in known), "pack")
    costs = [row.cost for row in known if row.cost is not None]
    if costs:
        told += f", {money(sum(costs), currency)}"
    return told + of_the_list(len(costs) if costs else len(known), len(missing))


def of_the_list(counted: int, everything: int) -> str:
    """Say how much of the list a sum is of, if it is not all of it."""
    return "" if counted == everything else f", for {counted} of {everything} entries of the list"


def _judged(judgement: Judgement | None) -> dict[str, float] | None:
    if judgement is None:
        return None
    unrest = judgement.unrest
    return {
        "seen": round(judgement.seen, 4),
        "seen_with_gaps": round(judgement.seen_with_gaps, 4),
        "lone_beads": unrest.lone,
        "colour_changes": unrest.changes,
    }


def _before(before: Figures) -> dict[str, Any]:
    return {"colour_difference": before.colour_difference, "judgement": asdict(before.chosen)}


def summary_json(
    pattern: Pattern,
    report: ThreadReport,
    difference: float | None = None,
    comparison: Comparison | None = None,
    colours_gap: float | None = None,
    colours_reason: str | None = None,
    before: Figures | None = None,
) -> dict[str, Any]:
    """Return the figures of a pattern as plain values, lengths in mm; parameters as in `summary_facts`.

    Loops, beads, passes, thread and cost are those of all copies of all students; the size is that of one.
    """
    pieces = pattern.pieces
    rows = materials(pattern)
    used = total_cost(row.cost_used for row in rows)
    finish = finishing(pattern)
    return {
        "title": pattern.title,
        **asdict(pattern.imprint),
        "copies": pattern.copies,
        **({"mirror_pair": True} if pattern.mirror_pair else {}),
        "students": pattern.students or None,
        **_measures(finished_size(pattern)),
        "bead_sizes": [bead.name for bead in dict.fromkeys(pattern.weave.sizes)],
        "loops": pattern.weave.loops * pieces,
        "beads": sum(row.beads for row in rows),
        "colours": pattern.colours,
        "grams": round(sum(row.grams for row in rows), 2),
        "spare": pattern.spare,
        "cost": round(sum(row.cost for row in rows if row.cost is not None), 2),
        "cost_of_beads_used": None if used is None else round(used, 2),
        "currency": pattern.costs_in,
        "thread_mm": round(report.length_mm * pieces, 1),
        "threads": report.threads * pieces,
        "finish": pattern.finish,
        "finish_thread_mm": 0.0 if finish is None else round(finish.thread_mm * pieces, 1),
        "passes": report.passes * pieces,
        "least_passes": report.bound * pieces,
        "most_passes_in_a_bead": report.most_passes,
        "most_loops_open": report.most_open,
        "step_kinds": report.step_kinds,
        "loop_kinds": len(loop_kinds(pattern.weave, stitches(pattern.weave, pattern.thread)).kinds),
        "colour_difference": None if difference is None else round(difference, 4),
        "colours_gap": colours_gap,
        "colours_reason": colours_reason,
        "view_distance_m": None if comparison is None else comparison.distance_m,
        "judgement": None if comparison is None else _judged(comparison.chosen),
        "before": None if before is None else _before(before),
        "judgement_of_nearest": None if comparison is None else _judged(comparison.nearest),
        "materials": [row_json(row) for row in rows],
    }


def row_json(row: Material) -> dict[str, Any]:
    """Return what is known of beads of one colour and size as plain values."""
    return {
        "code": row.colour.code,
        "name": row.colour.name,
        "size": row.size.name,
        "beads": row.beads,
        "grams": round(row.grams, 2),
        "on_hand": row.on_hand,
        "to_buy": row.to_buy,
        "packs": row.packs,
        "cost": row.cost,
        "cost_of_beads_used": None if row.cost_used is None else round(row.cost_used, 4),
    }


def _measures(size: FinishedSize) -> dict[str, Any]:
    """Return the finished size as plain values; of a ring, too, which measure is the way round."""
    return {
        "width_mm": round(size.width_mm, 2),
        "height_mm": round(size.height_mm, 2),
        "width_range_mm": [round(length, 2) for length in size.width_range_mm],
        "height_range_mm": [round(length, 2) for length in size.height_range_mm],
        "size_basis": size.basis,
        **({"closed": size.closed} if size.closed else {}),
    }
