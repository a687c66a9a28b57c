"""Kits against sums done by hand: two flowers of one round for each of five students."""

from dataclasses import replace

import numpy as np
import pytest

from convert.errors import SizeError
from convert.palette.model import BeadColour, Palette
from convert.piece.about import Figures, Looks
from convert.piece.edition import for_student
from convert.piece.kit import NEEDLES, kit_of
from convert.piece.materials import materials
from convert.piece.pattern import Pattern
from convert.piece.pattern_file import parse_pattern, pattern_json
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.shapes import Flower
from convert.weave.spacing import model_spacing

SIZE = bead_size("11/0")


def flower(students=5, copies=2, spare=0.1, priced=True, on_hand=300):
    """A flower of one round: 30 beads, 7 of them reed green and the others white."""
    shape = Flower(1, 6)
    weave = shape.build((SIZE, SIZE), model_spacing(SIZE, SIZE))
    assert weave.beads == 30
    colour = np.zeros(30, np.int32)
    colour[:7] = 1
    # A gram is 50 beads; a pack 2 g, 100 beads, at 3 or at 8.
    money = {"per_gram": 50.0, "pack_g": 2.0} if priced else {}
    white = BeadColour("WH", "white", None, "#FFFFFF", (100.0, 0.0, 0.0), on_hand=on_hand, **money)
    green = BeadColour("RG", "reed", None, "#3E6B2F", (41.0, -23.0, 27.0), **money)
    if priced:
        white, green = replace(white, price=3.0), replace(green, price=8.0)
    plan = plan_thread(weave)
    palette = Palette("lake", (white, green))
    pattern = Pattern("Lily", shape, weave, palette, colour, plan, Supplies(), copies, students=students)
    return replace(pattern, spare=spare), verify(weave, plan, Supplies())


def test_a_bag_by_hand():
    kit = kit_of(*flower())
    white, green = kit.beads
    # 2 x 23 = 46, a tenth of it is 4.6, so 5 to spare: 51 beads, 1.02 g, 1.02 / 2 of a pack at 3.
    assert (white.beads, white.spare, white.grams) == (46, 5, pytest.approx(1.02))
    assert white.cost == pytest.approx(1.53)
    # 2 x 7 = 14, 1.4 to spare, so 2: 16 beads, 0.32 g, 0.16 of a pack at 8.
    assert (green.beads, green.spare, green.grams) == (14, 2, pytest.approx(0.32))
    assert green.cost == pytest.approx(1.28)
    assert kit.beads_cost == pytest.approx(2.81)


def test_what_to_buy_by_hand():
    white, green = kit_of(*flower()).rows
    # Five bags of 51 are 255, and 300 are there; of 230 woven in 70 are left.
    assert (white.beads, white.to_buy, white.packs, white.cost, white.left) == (230, 0, 0, 0.0, 70)
    # Five bags of 16 are 80: a pack of 100.
    assert (green.beads, green.to_buy, green.packs, green.cost) == (70, 80, 1, 8.0)
    # 70 beads are 1.4 g, 0.7 of a pack.
    assert green.cost_used == pytest.approx(5.6)
    assert (white.grams, green.grams) == (pytest.approx(5.1), pytest.approx(1.6))


def test_the_price_by_hand():
    assert kit_of(*flower()).price == pytest.approx(2.81)
    assert kit_of(*flower(), labour=4.19).price == pytest.approx(7.0)
    # Of 10 three tenths remain, and 7 pay for beads and labour.
    assert kit_of(*flower(), labour=4.19, margin=0.3).price == pytest.approx(10.0)
    assert kit_of(*flower(priced=False), labour=4.0).price is None


def test_thread_is_that_of_one_persons_pieces():
    pattern, report = flower()
    (thread,) = kit_of(pattern, report).threads
    assert thread.length_mm == pytest.approx(2 * report.length_mm)
    assert (thread.threads, thread.copies) == (2 * report.threads, 2)
    # A tail of 150 mm at both ends of each working thread.
    assert thread.length_mm > 2 * 300
    assert NEEDLES == 2


def test_spare_beads_are_counted_bag_by_bag():
    """One bead for each of ten bags: a tenth of ten is one, but each bag gets one of its own."""
    pattern, _ = flower(students=10, copies=1)
    colour = np.zeros(30, np.int32)
    colour[0] = 1
    pattern = replace(pattern, bead_colour=colour)
    green = materials(pattern)[1]
    assert (green.beads, green.to_buy) == (10, 20)
    assert materials(replace(pattern, students=0, copies=10))[1].to_buy == 11


def test_without_spare_a_bag_has_just_its_beads():
    kit = kit_of(*flower(spare=0.0))
    assert [(one.beads, one.spare) for one in kit.beads] == [(46, 0), (14, 0)]


def test_students_are_kept_in_the_pattern_file():
    pattern, _ = flower()
    text = pattern_json(pattern)
    assert parse_pattern(text, "p").students == 5
    # Files of before know of no students.
    older = text.replace(' "students": 5,\n', "")
    assert older != text
    assert parse_pattern(older, "p").students == 0


@pytest.mark.parametrize("students", [-3, 1_001])
def test_a_pattern_for_no_class_is_refused(students):
    pattern, _ = flower()
    with pytest.raises(SizeError, match="students are 1 to 1,000"):
        replace(pattern, students=students)


def test_what_a_student_gets_of_a_pattern():
    pattern, _ = flower()
    own = for_student(pattern)
    assert (own.students, own.copies, own.pieces, own.currency) == (0, 2, 2, "")
    assert [(row.beads, row.on_hand, row.packs, row.cost, row.cost_used) for row in materials(own)] == [
        (46, None, None, None, None),
        (14, None, None, None, None),
    ]
    # What a gram is stays: it says how much to lay ready.
    assert materials(own)[0].grams == pytest.approx(1.02)
    assert [entry.code for entry in own.palette.entries] == ["WH", "RG"]


def test_a_student_is_not_told_what_more_colours_would_cost():
    pattern, _ = flower()
    figures = Figures(5.0, Looks(4.0, 3.0, 2, 1), None, 0.01, "14 colours: 105.90 EUR less to buy")
    own = for_student(replace(pattern, figures=figures))
    assert own.figures == replace(figures, colours_reason=None)
    assert "105.90" not in pattern_json(own)
