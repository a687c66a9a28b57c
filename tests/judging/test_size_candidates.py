from types import SimpleNamespace

import pytest

from convert.judging.detail import Surviving
from convert.judging.size_candidates import (
    SAME_WIDTH,
    Candidate,
    sizes_name,
    sizes_named,
    sizes_of,
)
from convert.palette.model import BeadColour, Palette
from tests.piece.test_materials import LAB, make


def candidate(*, edges=0.9, priced=(True, True), pair="11/0+8/0"):
    """A sheet of 77 beads in two colours, of 100 beads to the gram and packs of 0.25 g."""
    known = [
        {"pack_g": 0.25, "price": price} if said else {}
        for price, said in zip((1.5, 2.0), priced, strict=True)
    ]
    entries = [
        BeadColour(code, "", None, "#777777", LAB, per_gram=100.0, **more)
        for code, more in zip("AB", known, strict=True)
    ]
    sizes = sizes_named(pair)
    pattern = make(entries, [0] * 70 + [1] * 7, beads=[size.name for size in sizes])
    result = SimpleNamespace(pattern=pattern, thread=SimpleNamespace(length_mm=2500.0))
    part = None if edges is None else Surviving(edges, 0.9, 1.0, whole=False)
    return Candidate(sizes, SAME_WIDTH, result, None, part, 10.0, 0.77)


def test_what_a_candidate_tells():
    one = candidate(pair="11/0")
    assert (one.name, one.beads, one.loops, one.colours, one.marked) == ("11/0", 77, 20, 2, False)
    # A tenth to spare: 77 and 8 beads of 100 to the gram, in four packs of 1.50 and one of 2.00.
    assert one.grams == pytest.approx(0.85)
    assert one.cost == pytest.approx(4 * 1.5 + 2.0)
    assert one.thread_m == 2.5
    assert one.finished.width_mm == pytest.approx(5.5 * one.result.pattern.weave.spacing.pitch_mm + 2.1)
    # Two rows of loops, see `convert.judging.detail`.
    assert one.lines_kept_mm == 3 * one.result.pattern.weave.spacing.side_mm


@pytest.mark.parametrize(
    ("priced", "cost"), [((True, False), 6.0), ((False, True), 2.0), ((False, False), None)]
)
def test_cost_is_that_of_what_has_a_price(priced, cost):
    assert candidate(priced=priced, pair="11/0").cost == cost


@pytest.mark.parametrize(("edges", "survives"), [(0.8, True), (0.79, False), (None, False)])
def test_a_part_survives_from_four_fifths_of_its_edges_on(edges, survives):
    assert candidate(edges=edges).survives == survives


def test_without_edges_nothing_can_be_lost():
    part = Surviving(None, 0.9, 1.0, whole=True)
    assert part.enough
    assert Surviving(0.5, 0.9, 1.0, whole=True).enough
    assert not Surviving(0.49, 0.9, 1.0, whole=True).enough


@pytest.mark.parametrize("text", ["11/0", "11/0+8/0", "8/0+11/0"])
def test_sizes_are_called_as_they_are_given(text):
    assert sizes_name(sizes_named(text)) == text


def test_core_comes_before_connector():
    core, connector = sizes_named("8/0+15/0")
    assert (core.name, connector.name) == ("8/0", "15/0")
    assert sizes_name(sizes_named("11/0+11/0")) == "11/0"


def test_sizes_of_a_palette_come_once_and_smallest_first():
    sizes = ["8/0", None, "15/0", "11/0", "8/0", "no size"]
    entries = [BeadColour(f"A{number}", "", size, "#777777", LAB) for number, size in enumerate(sizes)]
    found = sizes_of(Palette("p", tuple(entries)))
    assert [(core.name, connector.name) for core, connector in found] == [
        ("15/0", "15/0"), ("11/0", "11/0"), ("8/0", "8/0"),
    ]  # fmt: skip
