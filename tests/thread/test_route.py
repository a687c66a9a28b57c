import itertools

import networkx as nx
import numpy as np
import pytest

from convert.thread.bands import lines_between
from convert.thread.moves import NOWHERE, distances, loop_neighbours, turns
from convert.thread.route import Reach, route
from convert.thread.shortening import Shortening
from convert.thread.starts import far_ends, levels, start_loop, start_state
from convert.thread.thrifty import middle_loop
from convert.weave.motif import flower as motif
from convert.weave.spacing import model_spacing
from tests.thread.pieces import ONE_SIZE, flower, loop_graph, make, silhouette

PIECES = {
    "panel": make(np.ones((7, 9))),
    "flower": make(flower(4)),
    "silhouette": make(silhouette(4)),
    "cup": motif(4, 3, ONE_SIZE, model_spacing(*ONE_SIZE)),
    "ruffle": motif(4, 8, ONE_SIZE, model_spacing(*ONE_SIZE)),
}
EACH = pytest.mark.parametrize("name", PIECES)


def route_of(weave):
    loop = start_loop(weave, "corner")
    lines = lines_between(weave, levels(weave, loop, "corner")[0])
    return lines, route(Reach(weave), lines, start_state(weave, lines.on_line, loop))


def reached(weave, graph, states):
    beside = {int(loop) for state in states for loop in sides_of(weave, state >> 1)}
    return beside | {other for loop in beside for other in graph[loop]}


def sides_of(weave, bead):
    sides = weave.bead_sides[bead]
    return weave.side_loop[sides[sides >= 0]]


@EACH
def test_neighbours_and_distances_as_networkx_finds_them(name):
    weave = PIECES[name]
    graph, neighbours = loop_graph(weave), loop_neighbours(weave)
    for loop in range(weave.loops):
        beside = neighbours[loop]
        assert sorted(beside[beside < weave.loops].tolist()) == sorted(graph[loop])
    found = distances(neighbours, 0).tolist()
    assert dict(enumerate(found)) == nx.single_source_shortest_path_length(graph, 0)


def test_distance_to_what_cannot_be_reached():
    woven = np.ones((1, 5), bool)
    woven[0, 2] = False
    assert distances(loop_neighbours(make(woven)), 0).tolist() == [0, 1, -1, -1]


@EACH
def test_middle_is_the_centre_networkx_finds(name):
    weave = PIECES[name]
    assert middle_loop(weave) in nx.center(loop_graph(weave))


@EACH
def test_far_ends_lie_at_least_a_radius_apart(name):
    weave = PIECES[name]
    graph = loop_graph(weave)
    one, other = far_ends(weave)
    assert nx.shortest_path_length(graph, one, other) >= nx.radius(graph)


@EACH
def test_every_state_turns_into_a_bead_of_its_loops(name):
    weave = PIECES[name]
    found = turns(weave)
    for state, following in enumerate(found.tolist()):
        leaves = weave.bead_junctions[state >> 1, state & 1]
        for turned, side in zip(following, weave.bead_sides[state >> 1], strict=True):
            if side < 0:
                assert turned == NOWHERE
                continue
            ends = weave.bead_junctions[turned >> 1]
            assert ends[1 - (turned & 1)] == leaves
            assert weave.side_loop[side] in sides_of(weave, turned >> 1)
            assert turned >> 1 != state >> 1


@EACH
def test_route_reaches_every_loop_by_turns(name):
    weave = PIECES[name]
    _, states = route_of(weave)
    found = turns(weave)
    assert all(after in found[before] for before, after in itertools.pairwise(states))
    assert reached(weave, loop_graph(weave), states) == set(range(weave.loops))


@pytest.mark.parametrize("name", ["panel", "silhouette"])
def test_each_route_is_begun_anew(name):
    weave = PIECES[name]
    lines, states = route_of(weave)
    reach = Reach(weave)
    first, again = (route(reach, lines, states[0]) for _ in range(2))
    assert first == again == states


@EACH
@pytest.mark.parametrize("walks_kept", [1, 8, 48])
def test_shortened_route_still_reaches_every_loop(name, walks_kept):
    weave = PIECES[name]
    _, states = route_of(weave)
    shorter = Shortening(weave).shorten(states, walks_kept)
    found = turns(weave)
    assert len(shorter) <= len(states)
    assert shorter[0] == states[0]
    assert all(after in found[before] for before, after in itertools.pairwise(shorter))
    assert reached(weave, loop_graph(weave), shorter) == set(range(weave.loops))


@pytest.mark.parametrize("woven", [np.ones((1, 1)), np.ones((1, 3)), np.ones((2, 2))])
def test_one_bead_from_which_every_loop_is_reached_is_a_whole_route(woven):
    weave = make(woven)
    middle = int(weave.bead_sides.min(axis=1).argmax())
    for state in (2 * middle, 2 * middle + 1):
        onward = int(turns(weave)[state, 0])
        assert reached(weave, loop_graph(weave), [state]) == set(range(weave.loops))
        assert Shortening(weave).shorten([state], 8) == [state]
        assert Shortening(weave).shorten([state, onward], 8) == [state]


def test_a_ragged_route_is_shortened():
    weave = PIECES["silhouette"]
    _, states = route_of(weave)
    shortening = Shortening(weave)
    once = shortening.shorten(states, 8)
    assert len(once) < 0.97 * len(states)
    assert len(shortening.shorten(once, 48)) < 0.99 * len(once)


def test_a_detour_is_left_out():
    """Once round a loop on the way along a band, and back to the line."""
    weave = make(np.ones((4, 12)))
    _, states = route_of(weave)
    loop, round_a_loop = sides_of(weave, states[4] >> 1)[0], [states[4]]
    while len(round_a_loop) < 7:
        side = sides_of(weave, round_a_loop[-1] >> 1).tolist().index(loop)
        round_a_loop.append(int(turns(weave)[round_a_loop[-1], side]))
    assert round_a_loop[-1] == states[4]
    longer = states[:4] + round_a_loop + states[5:]
    assert len(longer) == len(states) + 6
    assert len(Shortening(weave).shorten(longer, 1)) <= len(states)


@pytest.mark.parametrize("rows", range(1, 14))
def test_lines_reach_every_row(rows):
    weave = make(np.ones((rows, 6)))
    lines = lines_between(weave, weave.loop_row)
    assert lines.left_over.any() == (rows == 1)
    between = {
        tuple(sorted(weave.loop_row[sides_of(weave, bead)].tolist()))
        for bead in np.flatnonzero(lines.on_line)
    }
    assert len(between) == (-(-rows // 4) if rows > 1 else 0)


def test_columns_of_a_piece_in_rounds_are_left_out():
    weave = PIECES["cup"]
    assert len(levels(weave, 0, "corner")) == 1
    assert len(levels(PIECES["panel"], 0, "corner")) == 2
    assert len(levels(PIECES["panel"], 0, "middle")) == 3
