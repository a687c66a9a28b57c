import re

import numpy as np
import pytest

from convert.instructions.lesson import hard_places, stages
from convert.instructions.order import OrderOfWork
from tests.instructions.pieces import piece
from tests.piece.test_kit import flower

SHEET = OrderOfWork(piece(np.ones((12, 30))))
BAND = OrderOfWork(piece(np.ones((4, 40))))
FLOWER = OrderOfWork(flower()[0])


@pytest.mark.parametrize("order", [SHEET, BAND, FLOWER], ids=["sheet", "band", "flower"])
@pytest.mark.parametrize("most", [40, 1e9])
def test_stages_are_all_of_the_work_once(order, most):
    told = stages(order, most)
    assert [one.first for one in told] == [1, *(one.last + 1 for one in told[:-1])]
    assert told[-1].last == len(order.groups)
    assert sum(one.beads for one in told) == order.pattern.weave.beads
    # A stitch is not cut, and may pick up some beads.
    assert max(one.beads for one in told) <= most + 20
    assert len([one for one in told if one.heading]) == len(order.sections)


def test_beads_of_a_stage_are_those_its_stitches_pick_up():
    for one in stages(SHEET, 60):
        picked = sum(
            len(run.beads)
            for number in range(one.first, one.last + 1)
            for step in SHEET.stitch(number).steps
            for run in step.picked_up
        )
        assert picked == one.beads


def test_the_loop_of_a_stage_is_closed_in_its_stitches():
    for one in stages(BAND, 60):
        closed = [
            BAND.names.loops[run.closes]
            for number in range(one.first, one.last + 1)
            for step in BAND.stitch(number).steps
            for run in (*step.picked_up, *step.passed)
            if run.closes >= 0
        ]
        assert one.loop == closed[-1]


def numbers(words):
    return [int(number) for number in re.findall(r"\d+", words.split(":")[0])]


def test_joins_are_where_new_threads_begin():
    (joins,) = [place for place in hard_places(SHEET) if place.startswith("The joins")]
    threads = SHEET.pattern.thread.new_threads[1:]
    assert numbers(joins) == SHEET.stitch_of[threads].tolist()
    assert not any(place.startswith("The joins") for place in hard_places(FLOWER))


def test_the_first_row_ends_where_the_work_turns_back():
    """In a sheet worked in rows of 30 loops the first end lies among the loops of the first band's end."""
    (end,) = [place for place in hard_places(SHEET) if place.startswith("The end of the first row")]
    before, after = numbers(end)[:2]
    assert after == before + 1
    loops = [loop for number in (before, after) for loop in SHEET.groups[number - 1].loops]
    places = SHEET.pattern.weave.loop_column[loops]
    assert places.max() >= 27 or SHEET.pattern.weave.loop_row[loops].max() >= 10


def test_a_flower_of_one_round_goes_on_nowhere():
    assert [place.split(",")[0] for place in hard_places(FLOWER)] == ["The beginning"]
