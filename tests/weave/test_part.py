"""Halves, thirds and sixths of a flower: exact parts of the sheet that make the whole again."""

import numpy as np
import pytest

from convert.errors import SizeError
from convert.weave.beads import bead_size
from convert.weave.part import part_of, turned
from convert.weave.shapes import Flower
from convert.weave.spacing import model_spacing


def weave_of(shape, sizes=("11/0", "15/0")):
    beads = tuple(map(bead_size, sizes))
    return shape.build(beads, model_spacing(*beads))


def places(weave):
    """Beads by their place and size."""
    return {
        (round(x, 2) + 0.0, round(y, 2) + 0.0, size)
        for (x, y), size in zip(weave.bead_xy.tolist(), weave.bead_size.tolist(), strict=True)
    }


@pytest.mark.parametrize("rounds", [1, 2, 5])
@pytest.mark.parametrize("sixths", [1, 2, 3])
def test_parts_turned_about_the_middle_make_the_whole(sixths, rounds):
    part = weave_of(Flower(rounds, sixths=sixths))
    # A fan of so many sectors has a row of loops on both its edges.
    assert part.loops == 1 + sum(sixths * number + 1 for number in range(1, rounds + 1))
    whole = set()
    for turn in range(0, 360, 60 * sixths):
        whole |= places(turned(part, turn))
    upright = places(turned(weave_of(Flower(rounds)), 90 - 30 * sixths))
    assert whole == upright
    # It is its own mirror image, and spreads downward from its point.
    assert places(part) == {(-x + 0.0, y, size) for x, y, size in places(part)}
    assert part.loop_xy[:, 1].mean() > part.loop_xy[0, 1]
    assert part.junctions - part.beads + part.loops == 1


def test_a_part_keeps_beads_where_they_were_and_numbers_them_anew():
    whole = weave_of(Flower(3))
    kept = np.arange(whole.loops) % 5 != 2
    part = part_of(whole, kept)
    np.testing.assert_allclose(part.loop_xy, whole.loop_xy[kept])
    sides = kept[whole.side_loop]
    np.testing.assert_allclose(part.bead_xy[part.side_bead], whole.bead_xy[whole.side_bead[sides]])
    np.testing.assert_array_equal(part.bead_size[part.side_bead], whole.bead_size[whole.side_bead[sides]])
    assert set(part.side_bead) == set(range(part.beads))
    assert (np.diff(part.bead_row) >= 0).all()
    assert set(np.diff(part.bead_row)) <= {0, 1}


@pytest.mark.parametrize("sixths", [0, 4, 5, 7])
def test_other_parts_are_refused(sixths):
    with pytest.raises(SizeError, match="1, 2, 3 or all 6 of its sixths"):
        Flower(2, sixths=sixths)


def test_a_part_has_a_centre_of_six():
    with pytest.raises(SizeError, match="a part of a flower has a centre of 6 beads, not 5") as refused:
        Flower(2, 5, sixths=3)
    assert "leave out --centre" in refused.value.hint
