import json
from dataclasses import replace

import numpy as np
import pytest

from convert.choice.smoothing import Unrest
from convert.instructions.finishing import needed
from convert.judging.afar import Comparison, Judgement
from convert.palette.model import BeadColour, Palette
from convert.piece.finishing import finishing
from convert.piece.materials import finished_size, materials
from convert.piece.pattern import Pattern
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.shapes import Flower
from convert.weave.spacing import model_spacing
from convert.writing.summary import summary_facts, summary_json


def told(*, rounds=1, copies=1, colours_gap=None, **entry):
    sizes = (bead_size("11/0"),) * 2
    shape = Flower(rounds)
    weave = shape.build(sizes, model_spacing(*sizes))
    plan = plan_thread(weave)
    palette = Palette("lake", (BeadColour("WH", "white", None, "#FFFFFF", (100.0, 0.0, 0.0), **entry),))
    colour = np.zeros(weave.beads, np.int32)
    pattern = Pattern("Grebe", shape, weave, palette, colour, plan, Supplies(), copies)
    report = verify(weave, plan, Supplies())
    return summary_facts(pattern, report, colours_gap=colours_gap), summary_json(pattern, report)


@pytest.mark.parametrize(("rounds", "weight"), [(1, "0.31 g"), (3, "1.4 g"), (9, "8.9 g"), (11, "13 g")])
def test_small_weights_are_not_rounded_away(rounds, weight):
    # 9 r squared + 15 r + 6 beads and a tenth, 108 to the gram.
    facts, values = told(rounds=rounds)
    assert facts["Weight"].startswith(f"{weight} ")
    assert float(weight.split()[0]) == pytest.approx(values["grams"], rel=0.05)


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ({}, "33 beads in 1 colour"),
        ({"on_hand": 20}, "13 beads in 1 colour"),
        ({"on_hand": 33, "pack_g": 5.0, "price": 2.0}, "nothing, all of it is on hand"),
        ({"pack_g": 0.25, "price": 2.0}, "2 packs, 4.00"),
        ({"pack_g": 0.25, "price": 2.0, "currency": "EUR"}, "2 packs, 4.00 EUR"),
        ({"pack_g": 5.0}, "1 pack"),
    ],
)
def test_what_to_buy_is_told_with_and_without_prices(entry, words):
    assert told(**entry)[0]["To buy"] == words


def test_cost_of_the_beads_is_told_beside_that_of_the_packs():
    priced = {"per_gram": 100.0, "pack_g": 10.0, "price": 50.0, "currency": "kr"}
    for stock, packs in (({}, 1), ({"on_hand": 1000}, 0)):
        facts, values = told(**priced, **stock)
        # 30 beads are 0.3 g, of 10 g for 50 kr.
        assert facts["Cost of beads"].startswith("1.50 kr by weight")
        assert (values["cost"], values["cost_of_beads_used"], values["currency"]) == (50 * packs, 1.5, "kr")
        assert values["materials"][0]["cost_of_beads_used"] == 1.5
    facts, values = told()
    assert "Cost of beads" not in facts
    assert (values["cost_of_beads_used"], values["currency"]) == (None, "")


@pytest.mark.parametrize(
    ("gap", "words"),
    [(0.0, "the best possible"), (1e-6, "at most 0.01% from the"), (0.0123, "at most 1.23% from the")],
)
def test_a_bound_on_the_choice_of_colours_is_never_told_too_low(gap, words):
    assert told(colours_gap=gap)[0]["Choice of colours"].startswith(words)


def test_copies_are_counted_in_everywhere_or_said_to_be_of_one():
    one, two = told(), told(copies=2)
    assert two[0]["Beads"].startswith("60 in 14 loops")
    assert two[0]["Passes"].startswith(f"{2 * one[1]['passes']:,} ")
    assert two[0]["Finished size"] == f"{one[0]['Finished size']}, each"
    for what in ("loops", "beads", "passes", "least_passes", "thread_mm", "threads"):
        assert two[1][what] == pytest.approx(2 * one[1][what], rel=1e-3)
    json.dumps(two[1], allow_nan=False)


def test_one_is_not_many():
    facts, _ = told(rounds=1)
    assert "1 working thread" in facts["Thread"]
    assert "working threads" not in facts["Thread"]
    assert "1 loops" not in str(facts)
    assert "1 kinds" not in str(facts)


def in_two_sizes(*, copies=3):
    sizes = bead_size("11/0"), bead_size("15/0")
    shape = Flower(3)
    weave = shape.build(sizes, model_spacing(*sizes))
    plan = plan_thread(weave)
    entries = tuple(
        BeadColour(code, "", size, "#FFFFFF", (100.0, 0.0, 0.0), pack_g=7.3, price=3.37, currency="EUR")
        for code, size in (("WH", "11/0"), ("GR", "15/0"))
    )
    pattern = Pattern(
        "Grebe",
        shape,
        weave,
        Palette("lake", entries),
        weave.bead_size.astype(np.int32),
        plan,
        Supplies(),
        copies,
    )
    return pattern, verify(weave, plan, Supplies())


def judged(seen, gaps, lone, changes):
    return Judgement(seen, Unrest(lone, changes, 99), gaps)


COMPARED = Comparison(judged(1.234567, 2.345678, 1, 2345), judged(3.456789, 4.567891, 6, 7), 2.0)


def test_figures_for_machines_have_the_digits_that_count():
    pattern, report = in_two_sizes()
    told = summary_json(pattern, report, 4.567891, COMPARED, 0.0123, "few pay")
    size, rows = finished_size(pattern), materials(pattern)
    figures = {
        "width_mm": round(size.width_mm, 2),
        "height_mm": round(size.height_mm, 2),
        "grams": round(sum(row.grams for row in rows), 2),
        "cost": round(sum(row.cost for row in rows), 2),
        "cost_of_beads_used": round(sum(row.cost_used for row in rows), 2),
        "colour_difference": 4.5679,
        "colours_gap": 0.0123,
        "colours_reason": "few pay",
    }
    assert {name: told[name] for name in figures} == figures
    assert told["width_range_mm"] == [round(length, 2) for length in size.width_range_mm]
    assert told["height_range_mm"] == [round(length, 2) for length in size.height_range_mm]
    assert told["thread_mm"] == round(3 * report.length_mm, 1)
    assert (told["colour_difference"], told["colours_gap"], told["colours_reason"]) == (
        4.5679,
        0.0123,
        "few pay",
    )
    assert told["view_distance_m"] == 2.0
    assert told["judgement"] == {
        "seen": 1.2346,
        "seen_with_gaps": 2.3457,
        "lone_beads": 1,
        "colour_changes": 2345,
    }
    assert told["judgement_of_nearest"]["seen"] == 3.4568
    for shown, row in zip(told["materials"], rows, strict=True):
        assert shown["grams"] == round(row.grams, 2)
        assert shown["cost_of_beads_used"] == round(row.cost_used, 4)
    # So that a digit less would be noticed.
    for number in (size.width_mm, size.height_mm, *size.width_range_mm, *size.height_range_mm):
        assert round(number, 2) != round(number, 1)
    assert (told["loops"], told["threads"], told["passes"], told["least_passes"]) == (
        3 * pattern.weave.loops,
        3 * report.threads,
        3 * report.passes,
        3 * report.bound,
    )
    assert told["most_passes_in_a_bead"] == report.most_passes
    assert (told["most_loops_open"], told["step_kinds"]) == (report.most_open, report.step_kinds)
    bare = summary_json(pattern, report)
    for name in ("colour_difference", "view_distance_m", "judgement", "judgement_of_nearest"):
        assert bare[name] is None


def test_every_fact_in_words():
    pattern, report = in_two_sizes()
    facts = summary_facts(pattern, report, 4.567, COMPARED, 0.0123, "6 colours: few pay")
    counts = [3 * int((pattern.weave.bead_size == size).sum()) for size in (0, 1)]
    assert facts["Piece"] == "Grebe, 3 copies, all counted in below"
    assert facts["Finished size"].endswith(", each")
    assert facts["Beads"] == f"{sum(counts):,} in {3 * pattern.weave.loops} loops, 2 colours"
    assert facts["Bead size"] == f"11/0 ({counts[0]:,}), 15/0 ({counts[1]:,})"
    assert facts["To buy"].startswith("2 packs, 6.74 EUR")
    assert "list" not in facts["To buy"]
    assert facts["Thread"].startswith(f"{3 * report.length_mm / 1000:.1f} m of 0.2 mm in ")
    assert facts["Passes"] == (
        f"{3 * report.passes:,} through beads, {report.passes / report.bound:.2f} times the least possible"
    )
    assert facts["Most passes"] == f"{report.most_passes} through one bead"
    assert facts["Colour difference"] == "4.6 on average (CIEDE2000; about 1 is just visible)"
    assert facts["Colours that pay"] == "6 colours: few pay"
    assert facts["Choice of colours"] == "at most 1.23% from the best possible"
    assert facts["Seen from 2 m"] == (
        "1.2 from the picture's own colours (S-CIELAB by CIEDE2000), 2.3 with the backing in the gaps;"
        " with the nearest beads 3.5 and 4.6"
    )
    assert facts["Lone beads"] == "1, colour changes 2,345; with the nearest beads 6 and 7"
    plain = summary_facts(pattern, report, comparison=Comparison(COMPARED.chosen, None, 2.0))
    assert "nearest" not in plain["Seen from 2 m"] + plain["Lone beads"]
    assert not {"Colour difference", "Colours that pay", "Choice of colours"} & set(plain)


def test_what_it_takes_to_finish_is_told_for_each_piece():
    pattern, report = in_two_sizes()
    assert "To finish" not in summary_facts(pattern, report)
    assert (summary_json(pattern, report)["finish"], summary_json(pattern, report)["finish_thread_mm"]) == (
        "none",
        0.0,
    )
    sewn = replace(pattern, finish="clasp")
    assert summary_facts(sewn, report)["To finish"] == f"{needed(finishing(sewn))}, for each piece"
    assert summary_facts(replace(sewn, copies=1), report)["To finish"] == needed(finishing(sewn))
    told = summary_json(sewn, report)
    assert told["finish"] == "clasp"
    assert told["finish_thread_mm"] == round(3 * finishing(sewn).thread_mm, 1) > 0
