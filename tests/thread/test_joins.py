import numpy as np
import pytest

from convert.errors import ThreadPathError
from convert.thread.joins import MOST_WASTE, join_threads
from convert.thread.steps import TAIL_MM, Supplies


def joined(pass_mm, within_mm, *ends):
    """Where threads are joined, if each weaves so much between its two tails."""
    supplies = Supplies(needleful_mm=within_mm + 2 * TAIL_MM)
    return join_threads(np.asarray(pass_mm, float), [np.array(places) for places in ends], supplies).tolist()


def test_a_thread_that_reaches_to_the_end_is_the_only_one():
    assert joined([10] * 8, 80, range(8)) == [0]
    assert joined([10] * 8, 79, range(8)) == [0, 7]


def test_a_thread_may_be_used_up_to_the_last_millimetre():
    assert joined([10] * 8, 40, range(8)) == [0, 4]
    assert joined([10] * 8, 30, range(8)) == [0, 3, 6]


def test_the_best_place_is_taken_unless_it_wastes_too_much():
    within, almost = 100.0, 100 * (1 - MOST_WASTE)
    # A good place after 91 mm, any place after every millimetre; then one after 89 mm.
    good, anywhere = int(almost), int(almost) - 2
    assert joined([1] * 150, within, [good], range(150)) == [0, good + 1]
    assert joined([1] * 150, within, [anywhere], range(150)) == [0, 100]


def test_a_needleful_too_short_is_told_with_the_length_it_takes():
    # From the join after pass 3 on, the next end is 7 passes of 50 mm away, and there are two tails.
    with pytest.raises(ThreadPathError, match=r"needs 0\.65 m to the next place"):
        joined([50] * 12, 300, [3, 10])
