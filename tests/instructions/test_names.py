import dataclasses

import numpy as np
import pytest

from convert.instructions.names import StitchNames
from convert.piece.pattern import Pattern
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.weave.beads import bead_size
from convert.weave.shapes import Flower
from convert.weave.spacing import model_spacing
from convert.weave.tips import tips_of
from tests.instructions.pieces import LAKE, piece

# As on a compass, where y runs down the page: of a loop with corners above and below.
SIDES = {"right", "bottom right", "bottom left", "left", "top left", "top right"}


def test_loops_of_a_sheet_are_told_by_row_and_place():
    pattern = piece(np.ones((3, 4)))
    names = StitchNames(pattern)
    assert names.line == "row"
    assert names.loops[0] == "1.1"
    weave = pattern.weave
    for loop, name in enumerate(names.loops):
        assert name == f"{weave.loop_row[loop] + 1}.{weave.loop_column[loop] + 1}"


def test_loops_of_a_flower_are_numbered():
    sizes = (bead_size("11/0"), bead_size("11/0"))
    shape = Flower(1)
    weave = shape.build(sizes, model_spacing(*sizes))
    colour = np.zeros(weave.beads, np.int32)
    names = StitchNames(Pattern("lily", shape, weave, LAKE, colour, plan_thread(weave), Supplies()))
    assert names.line == "round"
    assert names.loops == [str(number) for number in range(1, 8)]


def test_a_code_is_told_apart_by_size_only_where_both_sizes_have_it():
    pattern = piece(np.ones((2, 3)), sizes=("11/0", "8/0"))
    colour = np.where(pattern.weave.bead_size == 0, 0, 1).astype(np.int32)
    colour[np.flatnonzero(pattern.weave.bead_size == 0)[:2]] = 2
    colour[np.flatnonzero(pattern.weave.bead_size == 1)[:2]] = 2
    names = StitchNames(dataclasses.replace(pattern, bead_colour=colour))
    assert names.codes == {"WH": ["WH", "WH"], "RG": ["RG", "RG"], "LB": ["LB 11/0", "LB 8/0"]}
    for bead, name in enumerate(names.beads):
        code = ("WH", "RG", "LB")[colour[bead]]
        assert name == (f"LB {('11/0', '8/0')[pattern.weave.bead_size[bead]]}" if code == "LB" else code)


def test_beads_of_one_loop_lie_round_it():
    pattern = piece(np.ones((1, 1)), colours=1)
    names, weave = StitchNames(pattern), pattern.weave
    assert {names.place(bead) for bead in range(6)} == {f"edge of 1.1, {side}" for side in SIDES}
    for bead in range(6):
        words = names.place(bead).split(", ")[1].split()
        x, y = weave.bead_xy[bead] - weave.loop_xy[0]
        assert ("right" in words) == (x > 0)
        assert ("left" in words) == (x < 0)
        assert ("bottom" in words) == (y > 1e-6)
        assert ("top" in words) == (y < -1e-6)
        assert names.bead(bead) == f"WH ({names.place(bead)})"


@pytest.mark.parametrize("woven", [np.ones((2, 2)), np.ones((1, 4))])
def test_tips_belong_to_a_loop_at_whose_corner_they_stand(woven):
    pattern = piece(woven, edge="points")
    names, weave = StitchNames(pattern), pattern.weave
    for tip, junction in enumerate(tips_of(weave).junctions.tolist()):
        place = names.place(weave.beads + tip)
        assert place.startswith("tip of ")
        loop = names.loops.index(place.removeprefix("tip of "))
        assert junction in weave.side_junction[weave.loop_start[loop] : weave.loop_start[loop + 1]]
