from types import SimpleNamespace

import numpy as np
import pytest

from convert.judging.size_advice import advised
from convert.judging.size_candidates import SAME_LOOPS, SAME_WIDTH, sizes_named
from convert.picture.model import Picture
from convert.picture.part import WHOLE
from tests.panels import panel_options

PICTURE = Picture("plain", np.zeros((100, 100, 3), np.uint8))


def candidate(name, beads, survives, reading=SAME_WIDTH, edges=0.4):
    """What the words look at of a piece."""
    return SimpleNamespace(
        name=name,
        sizes=sizes_named(name),
        beads=beads,
        survives=survives,
        reading=reading,
        part=SimpleNamespace(edges=edges),
        beads_wide=50.0,
        finished=SimpleNamespace(width_mm=100.0),
    )


def advice(candidates, across, here=0):
    of_usual = panel_options(*sizes_named("11/0"), width_mm=100.0)
    detail = SimpleNamespace(part=WHOLE, picture=PICTURE)
    usual = None if here is None else candidates[here]
    return advised(candidates, usual, across, of_usual, detail)


def test_of_sizes_that_keep_it_the_one_of_fewest_beads_is_advised():
    sizes = [
        candidate("11/0", 1000, False),
        candidate("15/0", 2200, True),
        candidate("13/0", 2000, True),
        candidate("8/0", 500, True, SAME_LOOPS),
    ]
    needs, words = advice(sizes, across=40)
    assert "choose 13/0, or " in words
    # 40 loops of 3.9 mm are 80 beads wide, with the half loop of shifted rows and the rim a little more.
    assert needs == pytest.approx(82, abs=1.5)
    assert f"it needs {int(np.ceil(needs))}:" in words
    assert words.endswith("or 160 mm.")


def test_where_none_keeps_it_larger_pieces_are_advised():
    _, words = advice([candidate("11/0", 1000, False), candidate("15/0", 2200, False)], across=40)
    assert "no size here keeps it" in words
    assert words.endswith("in 15/0 or 160 mm in 11/0.")


@pytest.mark.parametrize(
    ("candidates", "across", "here", "words"),
    [
        ([candidate("8/0", 500, False)], 40, None, "cannot be woven in 11/0"),
        ([candidate("11/0", 1000, True, edges=None)], 5, 0, "no edges that could be lost"),
        ([candidate("11/0", 1000, False)], None, 0, "even 400 loops across do not keep it"),
    ],
)
def test_what_cannot_be_said_is_not_said(candidates, across, here, words):
    needs, told = advice(candidates, across, here)
    assert needs is None
    assert words in told
