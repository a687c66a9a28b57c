"""Beads by name, checked against the honeycomb of `tests.thread.pieces.beside`, which shares no code."""

import numpy as np
import pytest

from convert.changing.finding import Finder, LoopNumbers
from convert.errors import ChangeError
from convert.instructions.names import StitchNames
from tests.instructions.pieces import piece
from tests.thread.pieces import beside


def finder(pattern):
    return Finder(StitchNames(pattern).places, pattern.weave, len(pattern.bead_colour))


@pytest.fixture(scope="module")
def flock():
    """A sheet with a hole and a ragged edge, in two sizes, with small beads at its tips."""
    woven = np.ones((4, 5), bool)
    woven[0, :2] = woven[2, 2] = False
    return piece(woven, sizes=("11/0", "8/0"), edge="points")


def test_two_neighbours_share_one_bead_and_others_none(flock):
    found, woven = finder(flock), flock.shape.woven
    # Rows and places are counted from the first that is woven anywhere.
    loops = {(row, place) for row, place in np.argwhere(woven).tolist()}
    shared = set()
    for row, place in loops:
        for other in loops - {(row, place)}:
            name = f"{row + 1}.{place + 1}/{other[0] + 1}.{other[1] + 1}"
            if other in beside(row, place):
                (bead,) = found.beads(name)
                shared.add(bead)
                assert not flock.weave.rim_beads[bead]
            else:
                with pytest.raises(ChangeError, match="share no bead"):
                    found.beads(name)
    assert len(shared) == int((~flock.weave.rim_beads).sum())


def test_every_bead_is_found_by_what_the_stitch_order_calls_it(flock):
    found, names = finder(flock), StitchNames(flock)
    for bead in range(flock.weave.beads):
        assert found.beads(names.place(bead)) == [bead]
    at_tips = range(flock.weave.beads, len(flock.bead_colour))
    assert at_tips
    for bead in at_tips:
        assert bead in found.beads(names.place(bead))


@pytest.mark.parametrize("direction", ["across", "along"])
def test_a_whole_loop_has_its_six_beads_without_those_at_its_tips(direction):
    pattern = piece(np.ones((3, 3), bool), direction=direction, edge="points")
    found, weave = finder(pattern), pattern.weave
    for loop, name in enumerate(StitchNames(pattern).loops):
        beads = set(weave.side_bead[weave.side_loop == loop].tolist())
        assert set(found.beads(name)) == set(found.beads(f"loop {name}")) == beads


@pytest.mark.parametrize(
    ("said", "same"),
    [
        ("2.2/2.3", "2.3/2.2"),
        ("2.1 / 3.1", "2.1/3.1"),
        ("2,1/3,1", "2.1/3.1"),
        ("edge of 2.1, left", "2.1/left"),
        ("Edge of 2.1,  LEFT", "2.1/left"),
        ("1.3/top-left", "1.3/top left"),
        ("tip of 1.3", "1.3/tip"),
    ],
)
def test_names_may_be_written_as_people_write_them(flock, said, same):
    found = finder(flock)
    assert sorted(found.beads(said)) == sorted(found.beads(same)) != []


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("1.1", "there is no loop '1.1'; the nearest are 2.1, 2.2 and 1.3"),
        ("99999999999.2", "the nearest are 4."),
        ("4.5/9.9", "there is no loop '9.9'; the nearest are 4.5, 4.4 and 3.5"),
        ("2.1/2.5", "loops 2.1 and 2.5 share no bead; 2.1 shares one with 2.2, 3.2 and 3.1"),
        ("2.1/2.1", "loops 2.1 and 2.1 share no bead"),
        ("2.1/right", "loop 2.1 has no bead at its edge to the right; there it has one to the "),
        ("2.4/left", "other loops lie all round it"),
        ("2.2/tip", "loop 2.2 has no small bead at a tip"),
        ("2.1/up", "'2.1/up' names no bead"),
        ("", "'' names no bead"),
        ("/", "'/' names no bead"),
        ("2.1/", "'2.1/' names no bead"),
        ("heron", "'heron' names no bead"),
        ("2", "'2' names no bead"),
        ("2.1/3.1/3.2", "names no bead"),
        ("9" * 5000 + ".1", "names no bead"),
    ],
)
def test_what_is_not_there_is_told_with_the_nearest(flock, name, words):
    with pytest.raises(ChangeError) as refused:
        finder(flock).beads(name)
    assert words in str(refused.value)
    assert len(str(refused.value)) < 250


def test_nearest_loops_are_those_of_the_least_distance_in_rows_and_places():
    loops = ["1.1", "1.2", "5.1", "5.9"]
    assert LoopNumbers(loops).nearest("4.2") == ["5.1", "1.2", "1.1"]
    assert LoopNumbers(["1", "2", "6", "7"]).nearest("5") == ["6", "7", "2"]
    assert LoopNumbers(["1.1"]).nearest("5.5") == ["1.1"]
    with pytest.raises(ValueError, match="5"):
        LoopNumbers(loops).nearest("5")
