import networkx as nx
import numpy as np
import pytest

from convert.thread.bands import lines_between
from convert.thread.starts import start_loop, start_state
from convert.thread.thrifty import middle_loop
from tests.thread.pieces import loop_graph, make


def test_each_start_is_where_it_says():
    weave = make(np.ones((5, 8)))
    places = {
        start: (int(weave.loop_row[loop]), int(weave.loop_column[loop]))
        for start in ("corner", "edge", "middle")
        for loop in [start_loop(weave, start)]
    }
    assert places == {"corner": (0, 0), "edge": (0, 3), "middle": (2, 4)}


@pytest.mark.parametrize("shape", [(1, 4), (5, 8), (2, 9), (12, 3), (6, 6)])
def test_middle_is_the_most_central_of_all_centres(shape):
    weave = make(np.ones(shape))
    off = np.hypot(*(weave.loop_xy - weave.loop_xy.mean(axis=0)).T)
    centres = nx.center(loop_graph(weave))
    loop = middle_loop(weave)
    assert loop in centres
    assert off[loop] == pytest.approx(off[centres].min())


@pytest.mark.parametrize("start", ["edge", "middle"])
@pytest.mark.parametrize("direction", ["across", "along"])
def test_a_line_that_goes_on_both_ways_is_followed_right_or_down(start, direction):
    weave = make(np.ones((7, 12)), direction=direction)
    on_line = lines_between(weave, weave.loop_row).on_line
    state = start_state(weave, on_line, start_loop(weave, start))
    ends = weave.bead_junctions[state >> 1]
    line = weave.bead_junctions[on_line]
    assert all((line == end).any(axis=1).sum() > 1 for end in ends)
    ahead, behind = weave.junction_xy[ends[state & 1]], weave.junction_xy[ends[1 - (state & 1)]]
    assert (ahead - behind).sum() > 0
