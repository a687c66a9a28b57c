import networkx
import numpy as np
import pytest

from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.neighbours import NONE, _greedy_classes, bead_neighbours, independent_classes, row_order
from convert.weave.spacing import model_spacing


def weave_of(woven, beads="11/0", connectors="11/0", direction="across"):
    sizes = bead_size(beads), bead_size(connectors)
    return sheet(np.asarray(woven, bool), sizes, model_spacing(*sizes), direction)


def pairs(neighbours):
    bead, column = np.nonzero(neighbours != NONE)
    return set(zip(bead.tolist(), neighbours[bead, column].tolist(), strict=True))


HOLE = np.ones((7, 8), bool)
HOLE[2:4, 3:5] = False


@pytest.mark.parametrize("woven", [np.ones((1, 1)), np.ones((5, 6)), HOLE], ids=["loop", "sheet", "hole"])
@pytest.mark.parametrize("direction", ["across", "along"])
def test_neighbours_are_the_line_graph_of_the_net(woven, direction):
    """Beads are the net's edges and meet at its knots: networkx's line graph is the same table."""
    weave = weave_of(woven, direction=direction)
    net = networkx.Graph([tuple(ends) for ends in weave.bead_junctions.tolist()])
    number = {frozenset(ends): bead for bead, ends in enumerate(weave.bead_junctions.tolist())}
    expected = set()
    for a, b in networkx.line_graph(net).edges:
        expected |= {(number[frozenset(a)], number[frozenset(b)])}
    expected |= {(b, a) for a, b in expected}
    assert pairs(bead_neighbours(weave)) == expected


def test_columns_go_with_the_ends():
    weave = weave_of(np.ones((4, 4)))
    neighbours = bead_neighbours(weave)
    for bead, column in zip(*np.nonzero(neighbours != NONE), strict=True):
        end = weave.bead_junctions[bead, column // 2]
        assert end in weave.bead_junctions[neighbours[bead, column]]


def test_inner_beads_have_four_neighbours():
    weave = weave_of(np.ones((6, 6)))
    count = (bead_neighbours(weave) != NONE).sum(axis=1)
    assert (count[~weave.rim_beads] == 4).all()
    assert count.min() == 2


@pytest.mark.parametrize("connectors", ["11/0", "15/0"])
@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("woven", [np.ones((9, 7)), HOLE], ids=["sheet", "hole"])
def test_the_three_directions_of_a_sheet_are_independent(woven, direction, connectors):
    weave = weave_of(woven, connectors=connectors, direction=direction)
    neighbours = bead_neighbours(weave)
    classes = independent_classes(weave, neighbours)
    assert set(classes.tolist()) == {0, 1, 2}
    bead, column = np.nonzero(neighbours != NONE)
    assert (classes[bead] != classes[neighbours[bead, column]]).all()
    # One class is one direction: the beads of a class are parallel.
    for index in range(3):
        x, y = weave.bead_direction[classes == index].T
        assert np.allclose(x[0] * y, y[0] * x, atol=1e-9)


def ring_of_loops(around):
    """A prism's net: a loop of `around` beads, a loop of as many outside it, and beads between them."""
    inner = np.arange(around)
    net = [(k, (k + 1) % around) for k in inner]
    net += [(around + k, around + (k + 1) % around) for k in inner] + [(k, around + k) for k in inner]
    graph = networkx.convert_node_labels_to_integers(networkx.line_graph(networkx.Graph(net)))
    table = np.full((len(graph), 4), NONE, np.int32)
    for bead in graph:
        beside = sorted(graph[bead])
        table[bead, : len(beside)] = beside
    return table


@pytest.mark.parametrize("around", [3, 5, 7, 8])
def test_greedy_classes_part_all_neighbours(around):
    neighbours = ring_of_loops(around)
    classes = _greedy_classes(neighbours)
    bead, column = np.nonzero(neighbours != NONE)
    assert (classes[bead] != classes[neighbours[bead, column]]).all()
    assert classes.max() < 5


@pytest.mark.parametrize("direction", ["across", "along"])
def test_turns_go_row_by_row_and_every_other_pair_of_rows_backwards(direction):
    weave = weave_of(np.ones((8, 5)), direction=direction)
    neighbours = bead_neighbours(weave)
    classes = independent_classes(weave, neighbours)
    turn = row_order(weave, classes)
    bead, column = np.nonzero(neighbours != NONE)
    assert (turn[bead] != turn[neighbours[bead, column]]).all()
    for row in range(weave.bead_row.max() + 1):
        of_row = weave.bead_row == row
        assert turn[of_row].min() >= 3 * row
        assert turn[of_row].max() < 3 * (row + 1)
        within = turn[of_row] - 3 * row
        expected = classes[of_row].astype(int)
        assert within.tolist() == (2 - expected if row % 4 in (2, 3) else expected).tolist()
