import re

import numpy as np
import pytest

from convert.instructions.order import OrderOfWork
from convert.piece.pattern import Pattern
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.shapes import Flower
from convert.weave.spacing import model_spacing
from tests.instructions.pieces import LAKE, piece, told
from tests.thread.pieces import flower, silhouette

POINTS = piece(flower(2), edge="points")
CASES = {
    "panel": {"woven": np.ones((6, 9))},
    "flower of two sizes": {"woven": flower(3), "sizes": ("11/0", "8/0"), "start": "middle"},
    "silhouette": {"woven": silhouette(1, (14, 18), 2.2, 0.4), "colours": 1},
    "thrifty": {"woven": np.ones((7, 7)), "path": "thrifty", "colours": 1},
    "points": {"woven": flower(2), "edge": "points"},
    "many threads": {"woven": np.ones((8, 20)), "colours": 1, "supplies": Supplies(needleful_mm=700)},
}


def test_a_bead_is_picked_up_for_each_tip():
    """How the rest is followed is for test_short.py to show; there are no tips."""
    names = OrderOfWork(POINTS).names
    tips = [bead for bead in POINTS.thread.passes.tolist() if names.place(bead).startswith("tip")]
    last = told(POINTS).partition("[ ] Last round: a small bead on each tip")[2]
    rows = re.findall(r"^ *\d+\. ([Tt]ip of \d+\.\d+)(?:, from| (\S+))", last, re.MULTILINE)
    assert [place.lower() for place, _ in rows] == [names.place(bead) for bead in tips]
    # The first ten stitches of the piece are told in full.
    in_short = [(code, names.beads[bead]) for (_, code), bead in zip(rows, tips, strict=True) if code]
    assert len(in_short) > 10
    assert all(code == name for code, name in in_short)
    assert len(tips) == 18


def test_equal_stitches_are_folded():
    text = told(piece(np.ones((4, 200)), colours=1))
    assert re.search(r"Repeat stitches \d+ and \d+ \d+ more times", text)
    assert len(text.splitlines()) < 200


def test_stitches_of_other_colours_are_not_folded():
    assert "Repeat" not in told(piece(np.ones((4, 40)), colours=4))


def test_every_new_thread_is_marked_and_tails_are_counted():
    pattern = piece(np.ones((10, 20)), supplies=Supplies(needleful_mm=900))
    text = told(pattern)
    threads = len(pattern.thread.new_threads)
    assert threads > 4
    assert text.count("New thread, ") == threads - 1
    assert f"Thread 1 of {threads}" in text
    report = verify(pattern.weave, pattern.thread, pattern.supplies)
    assert f"{report.length_mm / 1000:.1f} m, as {threads} working threads" in text
    assert "two tails of 15 cm each counted in" in text


def test_lines_fit_a_page():
    for case in CASES.values():
        assert max(map(len, told(piece(**case)).splitlines())) <= 100


def test_rows_are_announced():
    text = told(piece(np.ones((8, 12)), colours=1))
    assert "[ ] Rows 1 to 4, to the right\n" in text
    assert re.search(r"\[ \] Rows? \d to 8, to the left\n", text)


def test_two_loops_in_full():
    """Followed by hand on the chart: the second loop shares the bead the first began with."""
    text = told(piece(np.ones((1, 2)), colours=1))
    assert text.split("comes off at the end.\n")[1].split("\n\n")[0].splitlines() == [
        "   1. Loop 1.1, beginning with WH (1.1/1.2), to the left:",
        "      Pick up 6 x WH; pass through the 1st of them again, the same way, which closes 1.1. Out of",
        "        WH (1.1/1.2).",
        "   2. Loop 1.2, from WH (1.1/1.2), to the right:",
        "      Pick up 5 x WH; pass through WH (1.1/1.2), which closes 1.2. Out of WH (1.1/1.2).",
    ]


@pytest.mark.parametrize("centre", [3, 6, 7])
def test_flower_is_told_by_rounds_and_numbers(centre):
    sizes = (bead_size("11/0"), bead_size("8/0"))
    shape = Flower(4, centre)
    weave = shape.build(sizes, model_spacing(*sizes))
    bead_colour = weave.bead_size.astype(np.int32)
    pattern = Pattern("Water lily", shape, weave, LAKE, bead_colour, plan_thread(weave), Supplies())
    text = told(pattern)
    assert re.search(r"^\[ \] (Centre and rounds 1 to [34]|Centre)$", text, re.MULTILINE)
    assert "as numbered" not in text
