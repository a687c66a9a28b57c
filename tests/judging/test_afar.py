import networkx as nx
import numpy as np
import pytest
from skimage import data

from convert.choice.smoothing import Unrest
from convert.errors import ConvertError
from convert.judging.afar import check_view, compare
from convert.palette.palette_file import read_palette
from convert.palette.resources import palette_path
from convert.picture.model import Picture
from convert.weave.beads import bead_size
from tests.panels import panel, panel_options


@pytest.fixture(scope="module")
def judged():
    """Judge a real photograph in three settings."""
    palette, _ = read_palette(palette_path("lakeside-range"))
    size = bead_size("11/0")
    picture = Picture("chelsea", data.chelsea().copy())
    results = {
        name: panel(picture, palette, panel_options(size, size, across=30, **setting))
        for name, setting in {"nearest": {}, "dither": {"dither": 0.5}, "smooth": {"smoothing": 0.5}}.items()
    }
    nearest = results["nearest"].pattern.bead_colour
    return {
        name: compare(result.pattern, result.wanted, nearest, distance_m=2.0)
        for name, result in results.items()
    }, results


def test_nearest_needs_no_comparison(judged):
    assert judged[0]["nearest"].nearest is None
    assert judged[0]["dither"].nearest == judged[0]["nearest"].chosen


def test_dithering_comes_nearer_from_afar_and_smoothing_calms(judged):
    found = judged[0]
    assert found["dither"].chosen.seen < found["nearest"].chosen.seen
    assert found["smooth"].chosen.unrest.lone < found["nearest"].chosen.unrest.lone
    assert found["smooth"].chosen.unrest.changes < found["nearest"].chosen.unrest.changes


def unrest_of_graph(pattern):
    """Lone beads and changes as networkx finds them: beads meet at junctions, told by their hex."""
    graph = nx.line_graph(nx.Graph(pattern.weave.bead_junctions.tolist()))
    bead_of = {tuple(sorted(ends)): bead for bead, ends in enumerate(pattern.weave.bead_junctions.tolist())}
    graph = nx.relabel_nodes(graph, lambda ends: bead_of[tuple(sorted(ends))])
    colour = [pattern.palette.entries[entry].hex for entry in pattern.bead_colour]
    unlike = [(one, other) for one, other in graph.edges if colour[one] != colour[other]]
    pairs = graph.number_of_edges()
    graph.remove_edges_from(unlike)
    return Unrest(sum(len(area) == 1 for area in nx.connected_components(graph)), len(unlike), pairs)


@pytest.mark.parametrize("connectors", ["11/0", "8/0", "15/0"])
def test_lone_beads_and_changes_are_those_of_the_graph_of_colours(connectors):
    """In a palette that lists each colour once a size, a connector may well match its core."""
    palette, _ = read_palette(palette_path("lakeside-range"))
    sizes = bead_size("11/0"), bead_size(connectors)
    found = []
    for strength in (0.0, 0.5):
        options = panel_options(*sizes, across=30, smoothing=strength)
        result = panel(Picture("coffee", data.coffee().copy()), palette, options)
        pattern = result.pattern
        chosen = compare(pattern, result.wanted, pattern.bead_colour).chosen.unrest
        assert chosen == unrest_of_graph(pattern)
        entries = [pattern.palette.entries[entry] for entry in pattern.bead_colour]
        own = [sizes[size].name for size in pattern.weave.bead_size]
        assert [entry.size for entry in entries] == own
        found.append(chosen)
    plain, calm = found
    assert plain.lone < plain.pairs / 6
    assert calm.lone < plain.lone / 3
    assert calm.changes < plain.changes / 1.5


@pytest.mark.parametrize(
    ("backing", "distance"), [("white", 1), ("#FFFFFF", 0), ("#FFFFFF", float("nan")), ("#FFF", 1)]
)
def test_impossible_views(backing, distance):
    with pytest.raises(ConvertError):
        check_view(backing, distance)


def test_perfect_beads_differ_by_nothing(judged):
    comparisons, _ = judged
    assert all(np.isfinite(found.chosen.seen) and found.chosen.seen > 0 for found in comparisons.values())
