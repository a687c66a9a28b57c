import json

import numpy as np
import pytest

from convert.palette.model import BeadColour, Palette
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
