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


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("place", range(0, 20, 3))
def test_from_the_end_of_a_line_the_way_is_along_it(place, direction):
    """A line of three beads anywhere in a row, entered from each of the loops beside it."""
    weave = make(np.ones((3, 12)), direction=direction)
    line = np.flatnonzero(lines_between(weave, weave.loop_row).on_line)
    junctions = {bead: set(weave.bead_junctions[bead].tolist()) for bead in line.tolist()}
    chain = nx.Graph((a, b) for a in junctions for b in junctions if a < b and junctions[a] & junctions[b])
    ends = [bead for bead, degree in chain.degree if degree == 1]
    three = nx.shortest_path(chain, *ends)[place : place + 3]
    on_line = np.isin(np.arange(weave.beads), three)
    seen = set()
    for loop in set(weave.side_loop[on_line[weave.side_bead]].tolist()):
        state = start_state(weave, on_line, loop)
        bead = state >> 1
        seen.add(bead)
        leads_to = int(weave.bead_junctions[bead][state & 1])
        assert any(leads_to in junctions[other] for other in three if other != bead)
    assert seen & {three[0], three[2]}
