import networkx as nx
import numpy as np
import pytest
from networkx.algorithms.isomorphism import faster_could_be_isomorphic
from shapely.geometry import Polygon
from shapely.ops import unary_union

from convert.errors import SizeError
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.model import RIM
from convert.weave.spacing import model_spacing

PAIRS = [("11/0", "11/0"), ("11/0", "8/0"), ("8/0", "11/0"), ("15/0", "11/0")]


def make(woven, core="11/0", connector="11/0", direction="across"):
    sizes = bead_size(core), bead_size(connector)
    return sheet(np.asarray(woven, bool), sizes, model_spacing(*sizes), direction)


def flower(rounds):
    """Mask of a hexagonal flower about a core loop, by distance from its middle in axial coordinates."""
    size = 2 * rounds + 1
    # The middle row and place are chosen so that (q - r) mod 3 = 0: the centre is a core.
    middle_row = rounds + rounds % 2
    middle_place = next(p for p in range(rounds, rounds + 3) if (p - middle_row // 2 - middle_row) % 3 == 0)
    rows, places = np.mgrid[: middle_row + rounds + 1, : size + 3]
    q = places - rows // 2 - (middle_place - middle_row // 2)
    r = rows - middle_row
    return np.maximum.reduce([abs(q), abs(r), abs(q + r)]) <= rounds


def check_map(weave):
    """Check every relation of the planar map, one by one."""
    for side in range(weave.corners):
        bead, after = weave.side_bead[side], weave.side_bead[weave.side_next[side]]
        assert weave.side_junction[side] in weave.bead_junctions[bead]
        assert weave.side_junction[side] in weave.bead_junctions[after]
        assert weave.side_previous[weave.side_next[side]] == side
        twin = weave.side_twin[side]
        if twin != RIM:
            assert weave.side_twin[twin] == side
            assert weave.side_bead[twin] == bead
            # Two loops run round their shared bead in opposite ways.
            assert weave.side_junction[weave.side_previous[twin]] == weave.side_junction[side]
    corners = weave.junction_xy[weave.side_junction].reshape(-1, 6, 2)
    x, y = corners[..., 0], corners[..., 1]
    area = (x * np.roll(y, -1, axis=1) - y * np.roll(x, -1, axis=1)).sum(axis=1)
    assert (area > 0).all()  # clockwise on a page whose y runs down


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize(("core", "connector"), PAIRS)
def test_planar_map(core, connector, direction):
    weave = make(np.ones((5, 6)), core, connector, direction)
    check_map(weave)
    assert weave.junctions - weave.beads + weave.loops == 1  # Euler's formula without the outer face
    assert 6 * weave.loops == weave.rim_beads.sum() + 2 * (~weave.rim_beads).sum()
    sides = np.unique(weave.bead_side_mm.round(9))
    expected = {round(weave.spacing.core_mm, 9), round(weave.spacing.connector_mm, 9)}
    assert set(sides.tolist()) == expected


@pytest.mark.parametrize("rows", range(1, 6))
@pytest.mark.parametrize("places", range(1, 6))
def test_rectangle_counts(rows, places):
    # Handbook of check values, brute force over networkx: 3mk + 2m + 2k - 1 beads, 2(m + 1)(k + 1) - 2 knots.
    weave = make(np.ones((rows, places)))
    assert weave.beads == 3 * rows * places + 2 * rows + 2 * places - 1
    assert weave.junctions == 2 * (rows + 1) * (places + 1) - 2


@pytest.mark.parametrize("rounds", range(6))
def test_flower_counts(rounds):
    # Centred hexagonal numbers, OEIS A003215: 1, 7, 19, 37, 61, 91.
    weave = make(flower(rounds))
    assert weave.loops == [1, 7, 19, 37, 61, 91][rounds] == 3 * rounds * (rounds + 1) + 1
    assert weave.beads == 9 * rounds**2 + 15 * rounds + 6
    assert weave.rim_beads.sum() == 12 * rounds + 6
    # Harborth's least number of edges, OEIS A135708.
    assert weave.beads == 3 * weave.loops + int(np.ceil(np.sqrt(12 * weave.loops - 3)))


def test_agrees_with_networkx_hexagonal_lattice():
    # networkx numbers rows and columns of hexagons its own way; a block of m x n there is a block here.
    for rows, columns in ((1, 1), (2, 2), (3, 4), (4, 6)):
        other = nx.hexagonal_lattice_graph(rows, columns)
        woven = np.zeros((columns + 1, rows + 1), bool)
        woven[:columns, :rows] = True
        weave = make(woven)
        graph = nx.Graph(weave.bead_junctions.tolist())
        assert graph.number_of_nodes() == other.number_of_nodes()
        assert graph.number_of_edges() == other.number_of_edges()
        assert faster_could_be_isomorphic(graph, other)
        assert nx.is_isomorphic(graph, other)


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize(("core", "connector"), PAIRS)
def test_cells_tile_the_plane(core, connector, direction):
    weave = make(np.ones((5, 6)), core, connector, direction)
    cells = [Polygon(cell) for cell in weave.cells]
    whole = unary_union(cells)
    assert whole.area == pytest.approx(sum(cell.area for cell in cells), rel=1e-9)  # no overlap
    loops = [
        Polygon(weave.junction_xy[weave.side_junction[6 * loop : 6 * loop + 6]])
        for loop in range(weave.loops)
    ]
    assert whole.buffer(1e-6).contains(unary_union(loops))  # no gap
    if core == connector:
        rhombus = weave.spacing.side_mm**2 * np.sqrt(3) / 2
        np.testing.assert_allclose([cell.area for cell in cells], rhombus)


@pytest.mark.parametrize(("core", "connector"), PAIRS[1:])
def test_two_sizes(core, connector):
    weave = make(np.ones((7, 8)), core, connector)
    kinds = weave.bead_size[weave.side_bead].reshape(-1, 6)
    assert (kinds[weave.loop_core] == 0).all()
    assert (kinds[~weave.loop_core].sum(axis=1) == 3).all()
    assert (kinds[~weave.loop_core][:, :-1] != kinds[~weave.loop_core][:, 1:]).all()  # they alternate
    cores_at = np.bincount(weave.side_junction[np.repeat(weave.loop_core, 6)], minlength=weave.junctions)
    meeting = np.bincount(weave.bead_junctions.ravel(), minlength=weave.junctions)
    loops_at = np.bincount(weave.side_junction, minlength=weave.junctions)
    assert (cores_at <= 1).all()
    assert (cores_at[loops_at == 3] == 1).all()
    assert set(meeting.tolist()) == {2, 3}


def test_flower_of_seven_cores():
    # Common practice, no source: seven cores and the six mixed loops between them, 42 + 12 = 54 beads.
    mask = flower(2)
    weave = make(mask, "11/0", "8/0")
    middle = np.argmin(np.hypot(*(weave.loop_xy - weave.loop_xy.mean(axis=0)).T))
    assert weave.loop_core[middle]
    distance = np.hypot(*(weave.loop_xy - weave.loop_xy[middle]).T)
    kept = (weave.loop_core & (distance < 3.5 * weave.spacing.side_mm)) | (
        distance < 1.1 * weave.spacing.pitch_mm
    )
    rows, places = np.nonzero(mask)
    small = np.zeros_like(mask)
    small[rows[kept], places[kept]] = True
    thirteen = make(small, "11/0", "8/0")
    assert thirteen.loops == 13
    assert thirteen.loop_core.sum() == 7
    assert (thirteen.bead_size == 0).sum() == 42
    assert (thirteen.bead_size == 1).sum() == 12


def test_along_is_across_turned_over():
    across, along = make(np.ones((4, 6)), "11/0", "8/0"), make(np.ones((4, 6)), "11/0", "8/0", "along")
    np.testing.assert_allclose(along.junction_xy, across.junction_xy[:, ::-1])
    np.testing.assert_array_equal(along.bead_size, across.bead_size)
    assert along.extent_mm == pytest.approx(
        (across.extent_mm[1], across.extent_mm[0], across.extent_mm[3], across.extent_mm[2])
    )


def test_beads_are_numbered_in_reading_order():
    weave = make(np.random.default_rng(3).random((6, 7)) < 0.7)
    order = np.lexsort((weave.bead_xy[:, 0].round(6), weave.bead_row))
    np.testing.assert_array_equal(order, np.arange(weave.beads))
    for row in range(weave.bead_row.max()):
        above, below = weave.bead_xy[weave.bead_row == row, 1], weave.bead_xy[weave.bead_row == row + 1, 1]
        if len(above) and len(below):
            assert above.max() < below.min()


def test_silhouette_lies_where_it_lies_in_the_full_sheet():
    mask = np.zeros((6, 7), bool)
    mask[2:5, 3:6] = True
    full, part = make(np.ones((6, 7)), "11/0", "8/0"), make(mask, "11/0", "8/0")
    there = {tuple(xy) for xy in full.bead_xy.round(6).tolist()}
    assert {tuple(xy) for xy in part.bead_xy.round(6).tolist()} <= there
    assert part.loop_row.min() == 0
    assert part.loop_column.min() == 0


def test_extent_holds_every_outline():
    weave = make(np.ones((3, 4)), "11/0", "8/0")
    left, top, right, bottom = weave.extent_mm
    for bead in range(weave.beads):
        size = weave.sizes[weave.bead_size[bead]]
        along = weave.bead_direction[bead]
        across = np.array([-along[1], along[0]])
        for sign in (-1, 1):
            tip = weave.bead_xy[bead] + sign * across * size.diameter_mm / 2
            assert left - 1e-9 <= tip[0] <= right + 1e-9
            assert top - 1e-9 <= tip[1] <= bottom + 1e-9


def test_arrays_cannot_be_changed():
    weave = make(np.ones((2, 2)))
    with pytest.raises(ValueError, match="read-only"):
        weave.side_bead[0] = 3


def test_no_loop():
    with pytest.raises(SizeError):
        make(np.zeros((3, 3)))


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("connector", ["11/0", "8/0"])
def test_areas_of_cells_are_those_shapely_finds(connector, direction):
    weave = make(np.ones((4, 5)), "11/0", connector, direction)
    areas = [Polygon(cell).area for cell in weave.cells]
    assert weave.cell_mm2 == pytest.approx(areas)
