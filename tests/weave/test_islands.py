"""What hangs together by networkx, and the fewest bridges by trying all."""

from itertools import combinations

import networkx as nx
import numpy as np
import pytest

from convert.weave import islands, necks
from convert.weave.beads import bead_size
from convert.weave.islands import loop_names, neighbours
from convert.weave.lattice import sheet
from convert.weave.shapes import Sheet
from convert.weave.spacing import model_spacing

SIZE = bead_size("11/0")


def around(woven):
    """The neighbours in a whole sheet."""
    return neighbours(np.ones_like(woven))


def islands_of(woven):
    return islands.islands_of(woven, around(woven))


def pairs(woven):
    return islands.pairs(woven, around(woven))


def bridges(woven, liking):
    return islands.bridges(woven, liking, around(woven))


def necks_of(woven):
    return necks.necks_of(woven, around(woven))


def mended(woven, weak, liking):
    return necks.mended(woven, weak, liking, around(woven))


def grid(*rows):
    return np.array([[letter == "#" for letter in row] for row in rows])


def graph_of(woven):
    """Loops that share a bead, from the weave itself: its beads with two loops."""
    graph = nx.Graph()
    weave = sheet(woven, (SIZE, SIZE), model_spacing(SIZE, SIZE))
    places = [tuple(place) for place in np.argwhere(woven).tolist()]
    graph.add_nodes_from(places)
    for first, second in weave.bead_sides.tolist():
        if second >= 0:
            graph.add_edge(places[weave.side_loop[first]], places[weave.side_loop[second]])
    return graph


def random_sheets(count, shape, share, seed):
    generator = np.random.default_rng(seed)
    for _ in range(count):
        woven = generator.random(shape) < share
        if woven.any():
            yield woven


@pytest.mark.parametrize("shape", [(1, 1), (1, 5), (4, 1), (5, 6), (6, 5)])
def test_neighbours_are_those_of_the_weave(shape):
    whole = np.ones(shape, bool)
    beside = neighbours(whole)
    found = {
        frozenset((divmod(loop, shape[1]), divmod(other, shape[1])))
        for loop, others in enumerate(beside.tolist())
        for other in others
        if other >= 0
    }
    assert found == {frozenset(edge) for edge in graph_of(whole).edges}


def test_sides_follow_each_other_clockwise_from_the_right():
    beside = neighbours(np.ones((3, 3), bool))
    # About the middle, which is shifted to the right.
    assert beside[4].tolist() == [5, 8, 7, 3, 1, 2]
    assert beside[0].tolist() == [1, 3, -1, -1, -1, -1]


def test_islands_agree_with_networkx():
    for woven in random_sheets(40, (8, 9), 0.45, 5):
        label, sizes = islands_of(woven)
        parts = {frozenset(part) for part in nx.connected_components(graph_of(woven))}
        found = {
            frozenset(tuple(place) for place in np.argwhere(label == island).tolist())
            for island in range(len(sizes))
        }
        assert found == parts
        assert sorted(sizes.tolist()) == sorted(len(part) for part in parts)
        first, second, _ = pairs(woven)
        edges = {
            frozenset((divmod(one, 9), divmod(other, 9)))
            for one, other in zip(first.tolist(), second.tolist(), strict=True)
        }
        assert edges == {frozenset(edge) for edge in graph_of(woven).edges}
        assert len(first) == len(edges)


def holds(woven):
    return nx.is_connected(graph_of(woven))


def fewest(woven, most):
    """The least number of loops that join a sheet, by trying all sets of so many."""
    bare = [tuple(place) for place in np.argwhere(~woven).tolist()]
    whole = graph_of(np.ones_like(woven))
    inside = [tuple(place) for place in np.argwhere(woven).tolist()]
    for number in range(most + 1):
        for some in combinations(bare, number):
            if nx.is_connected(whole.subgraph([*inside, *some])):
                return number
    return None


def test_bridges_are_the_fewest():
    tried = 0
    for woven in random_sheets(20, (5, 6), 0.25, 7):
        count = len(islands_of(woven)[1])
        if not 2 <= count <= 6:
            continue
        added = bridges(woven, np.zeros(woven.shape))
        assert not (added & woven).any()
        assert holds(woven | added)
        assert added.sum() == fewest(woven, int(added.sum()))
        tried += 1
    assert tried >= 10


def test_a_bridge_branches_where_that_takes_fewer_loops():
    woven = grid(
        "##......##",
        ".#......#.",
        "..........",
        "..........",
        "..........",
        "....##....",
    )
    added = bridges(woven, np.zeros(woven.shape))
    whole = graph_of(np.ones_like(woven))
    steiner = nx.algorithms.approximation.steiner_tree(
        whole, [tuple(place) for place in np.argwhere(woven).tolist()]
    )
    assert holds(woven | added)
    assert added.sum() <= sum(not woven[place] for place in steiner)


def test_many_islands_are_joined_by_few_loops():
    """Within the bound that is claimed, and about as few as by networkx (Mehlhorn 1988)."""
    ours, theirs = 0, 0
    for woven in random_sheets(12, (14, 16), 0.12, 11):
        label, sizes = islands_of(woven)
        assert len(sizes) > 6
        added = bridges(woven, np.zeros(woven.shape))
        assert holds(woven | added)
        whole = graph_of(np.ones_like(woven))
        # Islands as single nodes; a step costs half of what each of its ends does.
        merged = nx.Graph()
        name = {place: ("island", int(label[place])) if woven[place] else place for place in whole}
        for one, other in whole.edges:
            if name[one] != name[other]:
                weight = 0.5 * ((not woven[one]) + (not woven[other]))
                merged.add_edge(name[one], name[other], weight=max(weight, 1e-9))
        terminals = [("island", island) for island in range(len(sizes))]
        tree = nx.algorithms.approximation.steiner_tree(merged, terminals, method="mehlhorn")
        joining = [place for place in tree if place[0] != "island"]
        ours, theirs = ours + int(added.sum()), theirs + len(joining)
        # Their tree is within twice the least length, which is never less than that of the fewest loops.
        assert added.sum() <= 2 * len(joining) + len(sizes)
    assert ours <= 1.05 * theirs


def test_of_bridges_as_short_that_is_built_which_the_picture_likes():
    woven = grid("##.##", "#...#", "##.##")
    for row in (0, 2):
        liking = np.zeros(woven.shape)
        liking[row, 2] = 0.4
        added = bridges(woven, liking)
        assert np.argwhere(added).tolist() == [[row, 2]]


def test_what_hangs_together_needs_no_bridge():
    assert not bridges(grid("###", "##."), np.zeros((2, 3))).any()


def test_loops_are_called_as_in_the_chart():
    woven = grid("......", "..##..", "..##..")
    which = grid("......", "...#..", "..#...")
    weave = sheet(woven, (SIZE, SIZE), model_spacing(SIZE, SIZE))
    rows, places = (weave.loop_row + 1).tolist(), (weave.loop_column + 1).tolist()
    names = [f"{row}.{place}" for row, place in zip(rows, places, strict=True)]
    told = [name for name, loop in zip(names, np.argwhere(woven).tolist(), strict=True) if which[tuple(loop)]]
    assert loop_names(woven, which) == told == ["1.2", "2.1"]


def test_necks_are_the_bridges_of_the_graph_that_three_loops_hang_by():
    some = 0
    for woven in random_sheets(60, (9, 9), 0.5, 13):
        label, sizes = islands_of(woven)
        woven = label == sizes.argmax()
        graph = graph_of(woven)
        expected = {}
        for edge in nx.bridges(graph):
            cut = graph.copy()
            cut.remove_edge(*edge)
            smaller = min(len(part) for part in nx.connected_components(cut))
            if smaller >= 3:
                expected[frozenset(edge)] = smaller
        weak = necks_of(woven)
        found = {
            frozenset((divmod(one, 9), divmod(other, 9))): hanging
            for one, other, hanging in zip(
                weak.first.tolist(), weak.second.tolist(), weak.hanging.tolist(), strict=True
            )
        }
        assert found == expected
        some += len(found)
    assert some > 100


def test_mending_takes_the_fewest_loops_and_leaves_no_neck():
    tried = 0
    for woven in random_sheets(120, (6, 6), 0.5, 17):
        label, sizes = islands_of(woven)
        woven = label == sizes.argmax()
        weak = necks_of(woven)
        if not 1 <= len(weak.first) <= 5:
            continue
        added = mended(woven, weak, np.zeros(woven.shape))
        thick = woven | added
        assert not (added & woven).any()
        graph = graph_of(thick)
        ends = [
            (divmod(int(one), 6), divmod(int(other), 6))
            for one, other in zip(weak.first, weak.second, strict=True)
        ]
        bridging = {frozenset(edge) for edge in nx.bridges(graph)}
        assert not bridging & {frozenset(edge) for edge in ends}
        assert not len(necks_of(thick).first)
        # By trying all smaller sets: none gives every neck a third loop beside both.
        whole = graph_of(np.ones_like(woven))
        bare = [tuple(place) for place in np.argwhere(~woven).tolist()]
        beside = [set(whole[one]) & set(whole[other]) for one, other in ends]
        near = [place for place in bare if any(place in both for both in beside)]
        assert not any(
            all(both & set(some) for both in beside)
            for number in range(int(added.sum()))
            for some in combinations(near, number)
        )
        tried += 1
    assert tried >= 15


def test_of_places_beside_a_neck_that_is_filled_which_the_picture_likes():
    woven = grid("##...##", "#######", "##...##")
    for row in (0, 2):
        liking = np.zeros(woven.shape)
        liking[row] = 0.4
        added = mended(woven, necks_of(woven), liking)
        assert added.any()
        assert not added[2 - row].any()


def test_a_ring_hangs_together_round_its_ends():
    """As the weave has it whose ends are joined."""
    woven = np.ones((4, 6), bool)
    weave = Sheet(woven, joined=True).build((SIZE, SIZE), model_spacing(SIZE, SIZE))
    joined = {
        frozenset(weave.side_loop[sides].tolist()) for sides in weave.bead_sides.tolist() if min(sides) >= 0
    }
    beside = neighbours(woven, joined=True)
    found = {
        frozenset((loop, other))
        for loop, others in enumerate(beside.tolist())
        for other in others
        if other >= 0
    }
    assert found == joined
    ends = grid("##..##", "##..##")
    assert len(islands_of(ends)[1]) == 2
    assert len(islands.islands_of(ends, neighbours(np.ones_like(ends), joined=True))[1]) == 1


def test_bridges_stay_on_the_sheet():
    """Round a place where there can be no loop."""
    sheet_there = grid("#######", "###.###", "###.###", "#######")
    woven = grid(".......", "##...##", "##...##", ".......")
    beside = neighbours(sheet_there)
    added = islands.bridges(woven, np.zeros(woven.shape), beside)
    assert not (added & ~sheet_there).any()
    assert len(islands.islands_of(woven | added, beside)[1]) == 1
    assert added.sum() > bridges(woven, np.zeros(woven.shape)).sum()
