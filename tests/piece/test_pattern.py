import numpy as np
import pytest

from convert.palette.model import BeadColour, Palette
from convert.piece.pattern import Pattern
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.weave.beads import bead_size
from convert.weave.shapes import Sheet
from convert.weave.spacing import model_spacing
from convert.weave.tips import tips_of


def piece(colour, *, points=False, beads=("11/0", "8/0")):
    sizes = bead_size(beads[0]), bead_size(beads[1])
    shape = Sheet(np.ones((3, 4), bool))
    weave = shape.build(sizes, model_spacing(*sizes))
    # A and C come twice, so that four entries are two colours of bead and one.
    codes = [("A", "11/0"), ("A", "8/0"), ("C", None), ("D", None)]
    entries = [BeadColour(code, "", size, "#777777", (50.0, 0.0, 0.0)) for code, size in codes]
    beads = weave.beads + points * len(tips_of(weave))
    return Pattern(
        "reeds",
        shape,
        weave,
        Palette("p", tuple(entries)),
        np.resize(np.asarray(colour, np.int32), beads),
        plan_thread(weave, edge="points" if points else "plain"),
        Supplies(),
    )


def test_one_piece_is_made_if_nothing_is_said():
    assert piece([0]).copies == 1


def test_colours_cannot_be_changed_behind_its_back():
    with pytest.raises(ValueError, match="read-only"):
        piece([0]).bead_colour[0] = 1


def test_beads_are_counted_by_entry_and_size():
    made = piece([2, 3, 3])
    size, colour = made.weave.bead_size, made.bead_colour
    assert made.counts.tolist() == [
        [int(((colour == entry) & (size == which)).sum()) for which in (0, 1)] for entry in range(4)
    ]
    assert made.counts.sum() == made.weave.beads


def test_used_entries_come_most_beads_first_and_ties_in_their_order():
    assert piece([3, 1, 1]).used.tolist() == [1, 3]
    even = piece([3, 2])
    # An odd number of beads: the first has one more.
    assert even.weave.beads % 2 == 1
    assert even.used.tolist() == [3, 2]
    even = piece([3, 2, 2, 3, 0], beads=("11/0", "11/0"))
    assert even.weave.beads % 5 == 4
    assert (even.used.tolist(), even.counts[:, 0].tolist()[2:]) == ([2, 3, 0], [20, 20])


def test_a_code_in_two_sizes_is_one_colour():
    assert piece([0, 1]).colours == 1
    assert piece([0, 1, 2]).colours == 2


@pytest.mark.parametrize("points", [False, True])
def test_points_are_beads_of_the_smaller_size(points):
    made = piece([0], points=points)
    assert made.edge == ("points" if points else "plain")
    tips = len(tips_of(made.weave)) if points else 0
    assert made.bead_size.tolist() == [*made.weave.bead_size.tolist(), *[0] * tips]
    assert made.counts.sum() == made.weave.beads + tips
