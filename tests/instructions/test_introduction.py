import dataclasses
import re

import numpy as np
import pytest

from convert.thread.steps import Supplies
from tests.instructions.pieces import LAKE, piece, told
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
        assert "Start at the bead with the ring" in intro
        assert "do not turn it over" in intro
        assert "take the stitch back" in intro
    assert " Tip: " in points
    assert " Tip: " not in plain


def test_only_so_many_tight_beads_are_named():
    pattern = piece(np.ones((9, 9)), supplies=Supplies(needle_mm=0.6))
    text = told(pattern)
    number = int(re.search(r"(\d+) beads are tight", text)[1])
    listed = " ".join(re.search(r"  Tight: (.*?)\.\n\n", text, re.DOTALL)[1].split())
    assert listed.count("(") == 24
    assert listed.endswith(f" and {number - 24:,} more")


def test_what_is_needed_stands_in_columns():
    pattern = piece(np.ones((40, 40)), sizes=("11/0", "11/0"), colours=1)
    colour = pattern.bead_colour.copy()
    colour[:3] = 3
    palette = dataclasses.replace(
        LAKE, entries=(*LAKE.entries[:3], dataclasses.replace(LAKE.entries[3], code="BEAK"))
    )
    lines = told(dataclasses.replace(pattern, bead_colour=colour, palette=palette)).splitlines()
    at = lines.index("You need")
    rows = lines[at + 2 : at + 4]
    assert rows == [
        f"  {pattern.weave.beads - 3:,} WH    11/0  chalk white",
        "      3 BEAK  11/0  beak",
    ]


def test_sizes_of_names_of_unequal_length_stand_in_a_column():
    text = told(piece(np.ones((2, 2)), sizes=("8/0", "11/0"), colours=1))
    lines = text.split("You need\n--------\n")[1].splitlines()[:2]
    assert [re.sub(r"^ +\d+ ", "", line) for line in lines] in (
        ["WH  8/0   chalk white", "WH  11/0  chalk white"],
        ["WH  11/0  chalk white", "WH  8/0   chalk white"],
    )
