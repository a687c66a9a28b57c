import numpy as np
import pytest

from convert.instructions.groups import folded, groups
from convert.thread.steps import Supplies
from convert.thread.stitches import NO_LOOP, stitches
from tests.instructions.pieces import piece
from tests.thread.pieces import silhouette


@pytest.mark.parametrize(
    ("kinds", "breaks", "runs"),
    [
        ("", [], []),
        ("abc", [], [(0, 1, 1), (1, 1, 1), (2, 1, 1)]),
        ("aaa", [], [(0, 1, 3)]),
        ("aaa", [0, 1], [(0, 1, 1), (1, 1, 2)]),
        ("cababab", [], [(0, 1, 1), (1, 2, 3)]),
        ("ababa", [], [(0, 2, 2), (4, 1, 1)]),
        ("ababab", [3], [(0, 1, 1), (1, 1, 1), (2, 1, 1), (3, 1, 1), (4, 1, 1), (5, 1, 1)]),
        # Of two ways to fold the one that leaves more untold.
        ("aabaab", [], [(0, 3, 2)]),
    ],
)
def test_runs_of_equal_stitches(kinds, breaks, runs):
    assert list(folded([ord(kind) for kind in kinds], breaks)) == runs


def test_a_long_period_is_found_up_to_a_limit():
    for period, repeats in ((24, 2), (25, 1)):
        kinds = [*range(period)] * 2
        assert next(folded(kinds, []))[2] == repeats


CASES = [
    piece(np.ones((6, 9)), supplies=Supplies(needleful_mm=700)),
    piece(silhouette(2, (12, 14), 2.0, 0.4), edge="points", colours=1),
    piece(np.ones((7, 7)), path="thrifty", colours=2),
]


@pytest.mark.parametrize("pattern", CASES, ids=["panel", "silhouette", "thrifty"])
def test_groups_are_steps_on_end_and_know_their_loops(pattern):
    told = stitches(pattern.weave, pattern.thread)
    found = groups(pattern, told)
    first = first_step = 0
    looks = {}
    for group in found:
        assert (group.first, group.first_step) == (first, first_step)
        assert told.step_start[group.first_step] == group.first
        assert told.step_start[group.end_step] == group.end
        first, first_step = group.end, group.end_step
        begun = told.begins[group.first : group.end]
        assert list(group.loops) == begun[begun != NO_LOOP].tolist()
        if group.first:
            assert group.turn == told.turn[group.first]
        part = slice(group.first, group.end)
        beads = pattern.thread.passes[part]
        look = (
            pattern.bead_colour[beads].tolist(),
            pattern.bead_size[beads].tolist(),
            told.turn[part].tolist(),
            told.picked_up[part].tolist(),
        )
        assert looks.setdefault(group.kind, look) == look
    assert first == len(pattern.thread.passes)
    assert len({str(look) for look in looks.values()}) == len(looks)
    assert set(pattern.thread.new_threads.tolist()) <= {group.first for group in found}
