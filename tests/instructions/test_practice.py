"""The swatch to practise on: a piece like any other, in beads that the weaver has at hand."""

import numpy as np
import pytest

from convert.instructions.order import OrderOfWork
from convert.instructions.practice import BEFORE_THE_FIRST_STITCH, PLACES, ROWS, practice_swatch
from convert.thread.verifier import verify
from tests.instructions.pieces import piece


@pytest.mark.parametrize("sizes", [("11/0", "11/0"), ("11/0", "15/0")])
@pytest.mark.parametrize("colours", [1, 2, 4])
def test_three_rows_of_five_loops_in_two_colours_of_the_piece(sizes, colours):
    made = piece(np.ones((9, 14), bool), sizes=sizes, colours=colours)
    swatch = practice_swatch(made)
    weave = swatch.weave
    assert (weave.loops, weave.sizes, weave.spacing) == (ROWS * PLACES, made.weave.sizes, made.weave.spacing)
    assert verify(weave, swatch.thread, swatch.supplies).threads == 1
    for size in {*weave.bead_size.tolist()}:
        own = swatch.bead_colour[weave.bead_size == size]
        commonest = np.argsort(-made.counts[:, size], kind="stable")[: min(2, colours)]
        assert set(own.tolist()) == set(commonest.tolist())
    # The middle row is of one colour in each size, and no bead of it is of the other.
    middle = np.zeros(weave.beads, bool)
    middle[weave.side_bead[weave.loop_row[weave.side_loop] == 1]] = True
    for size in {*weave.bead_size.tolist()}:
        of_size = weave.bead_size == size
        assert len(set(swatch.bead_colour[middle & of_size].tolist())) == 1
        assert len(set(swatch.bead_colour[~middle & of_size].tolist())) == 1


def test_its_order_is_told_like_that_of_any_piece():
    order = OrderOfWork(practice_swatch(piece(np.ones((6, 8), bool))))
    assert [section.lines for section in order.sections]
    assert order.sections[-1].end - 1 == len(order.groups)


def test_what_to_know_before():
    text = " ".join(BEFORE_THE_FIRST_STITCH)
    for word in ("beeswax", "snug", "wrong stitch", "eyes"):
        assert word in text
