import re

import numpy as np
import pytest

from convert.thread.steps import Supplies
from tests.instructions.pieces import piece, told
from tests.thread.pieces import flower


def test_cautions_and_words():
    text = told(piece(np.ones((2, 3))))
    for word in (
        "small children",
        "Never force the needle",
        "glasses",
        "rest your hands and eyes",
        "needle of",
    ):
        assert word in text
    assert text.startswith("Grebe on the lake: stitch order\n====")


def test_tight_beads_are_told():
    text = told(piece(np.ones((2, 3)), supplies=Supplies(needle_mm=0.6)))
    found = re.search(r"(\d+) beads are tight: the fullest is passed \d+ times", text)
    assert found
    listed = re.search(r"  Tight: (.*?)\.\n", text, re.DOTALL)
    assert len(re.findall(r"\((?:edge of )?\d+\.\d+", listed[1])) == int(found[1])


def introduction_of(pattern):
    return " ".join(told(pattern).split("Take care")[0].split())


@pytest.mark.parametrize(("direction", "edge"), [("across", "left"), ("along", "top")])
def test_says_where_loops_are_counted_from_where_a_row_is_set_in(direction, edge):
    woven = np.ones((6, 9), bool)
    assert "counted from" not in introduction_of(piece(woven, direction=direction))
    woven[:2, :3] = False
    pattern = piece(woven, direction=direction)
    intro = introduction_of(pattern)
    row, place = map(int, re.search(r"begins further in, begins with loop (\d+)\.(\d+)\.", intro).groups())
    assert f"counted from the {edge} edge" in intro
    weave = pattern.weave
    assert weave.loop_column[weave.loop_row == row - 1].min() == place - 1 > 0


def test_says_where_to_start_how_to_look_and_what_a_tip_is():
    plain, points = (introduction_of(piece(flower(2), edge=edge)) for edge in ("plain", "points"))
    for intro in (plain, points):
        assert "start at the bead with the ring" in intro
        assert "take the stitch back" in intro
    assert " Tip: " in points
    assert " Tip: " not in plain
