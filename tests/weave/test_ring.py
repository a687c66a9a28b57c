"""Sheets that are closed to a ring, held against a cylinder that the test bends for itself."""

import math

import networkx as nx
import numpy as np
import pytest

from convert.errors import SizeError
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.model import RIM
from convert.weave.neighbours import NONE, bead_neighbours
from convert.weave.part import part_of
from convert.weave.spacing import model_spacing
from convert.weave.tips import outer_tips, tip_places, tips_of

ONE, TWO, LARGE = ("11/0", "11/0"), ("11/0", "15/0"), ("11/0", "8/0")
SIZES = [(places, rows) for places in (3, 4, 6, 9) for rows in (1, 2, 5)]


def ring(pair, rows, places, direction="across", *, joined=True):
    sizes = tuple(map(bead_size, pair))
    return sheet(np.ones((rows, places), bool), sizes, model_spacing(*sizes), direction, joined=joined)


def bent(xy, length_mm, axis):
    """Points of a sheet on a cylinder whose round is so long."""
    angle = 2 * math.pi * xy[..., axis] / length_mm
    radius = length_mm / (2 * math.pi)
    return np.stack([radius * np.cos(angle), radius * np.sin(angle), xy[..., 1 - axis]], axis=-1)


def places_of(xyz):
    return {tuple(place) for place in (np.round(xyz, 6) + 0.0).tolist()}


def every(pair):
    return [size for size in SIZES if pair == ONE or size[0] % 3 == 0]


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("pair", [ONE, TWO, LARGE])
def test_counts_are_those_of_an_annulus(pair, direction):
    # With P loops round and R rows: P R loops, 3 P R + 2 P beads of which 4 P lie at the two rims,
    # 2 P R + 2 P junctions; so V - E + F = 0 (own derivation).
    for places, rows in every(pair):
        weave = ring(pair, rows, places, direction)
        assert weave.loops == places * rows
        assert weave.beads == 3 * places * rows + 2 * places
        assert weave.junctions == 2 * places * rows + 2 * places
        assert weave.junctions - weave.beads + weave.loops == 0
        assert weave.rim_beads.sum() == 4 * places


@pytest.mark.parametrize("pair", [ONE, TWO])
def test_the_graph_hangs_together_and_its_rims_are_two_rounds(pair):
    for places, rows in every(pair):
        weave = ring(pair, rows, places)
        graph = nx.Graph(weave.bead_junctions.tolist())
        assert graph.number_of_edges() == weave.beads  # no two beads join the same junctions
        assert nx.is_connected(graph)
        assert nx.check_planarity(graph)[0]
        rims = nx.Graph(weave.bead_junctions[weave.rim_beads].tolist())
        rounds = list(nx.connected_components(rims))
        assert sorted(map(len, rounds)) == [2 * places, 2 * places]
        assert all(degree == 2 for _, degree in rims.degree())
        # Without its last column it falls open, and still hangs together.
        loops = nx.Graph(
            (int(weave.side_loop[side]), int(weave.side_loop[weave.side_twin[side]]))
            for side in np.flatnonzero(weave.side_twin != RIM)
        )
        assert nx.is_connected(loops)
        assert all(degree == len(set(loops[loop])) for loop, degree in loops.degree())


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("pair", [ONE, TWO, LARGE])
def test_bent_round_it_is_a_longer_sheet_of_which_beads_a_round_apart_are_one(pair, direction):
    axis = 0 if direction == "across" else 1
    for places, rows in every(pair):
        weave = ring(pair, rows, places, direction)
        length = places * weave.spacing.pitch_mm
        assert np.abs(weave.seam.round_mm).tolist() == pytest.approx(
            [length, 0] if axis == 0 else [0, length]
        )
        flat = ring(pair, rows, 3 * places, direction, joined=False)
        for size in (0, 1):
            ours = bent(weave.bead_xy[weave.bead_size == size], length, axis)
            assert places_of(ours) == places_of(bent(flat.bead_xy[flat.bead_size == size], length, axis))
            assert len(places_of(ours)) == len(ours)
        assert places_of(bent(weave.junction_xy, length, axis)) == places_of(
            bent(flat.junction_xy, length, axis)
        )


@pytest.mark.parametrize("pair", [ONE, TWO])
def test_every_loop_has_its_beads_about_it_on_the_page(pair):
    for places, rows in every(pair):
        weave = ring(pair, rows, places)
        wide = weave.spacing.core_mm + weave.spacing.connector_mm
        assert np.linalg.norm(weave.side_xy - weave.loop_xy[weave.side_loop], axis=1).max() < wide
        assert np.linalg.norm(weave.corner_xy - weave.loop_xy[weave.side_loop], axis=1).max() < wide
        ends = (weave.corner_xy + weave.corner_xy[weave.side_previous]) / 2
        np.testing.assert_allclose(ends, weave.side_xy, atol=1e-9)
        np.testing.assert_allclose(weave.bead_span_mm, weave.bead_side_mm, atol=1e-9)
        # A round of them, and no bead or junction twice on the page.
        assert np.ptp(weave.bead_xy[:, 0]) < places * weave.spacing.pitch_mm
        assert len(np.unique(weave.bead_xy.round(6), axis=0)) == weave.beads
        # Inside each loop the corners run clockwise, as everywhere.
        corners = weave.loop_corners
        x, y = corners[..., 0], corners[..., 1]
        assert ((x * np.roll(y, -1, axis=1) - y * np.roll(x, -1, axis=1)).sum(axis=1) > 0).all()


def test_beads_where_it_closes_lie_at_the_first_loops():
    weave = ring(ONE, 4, 7)
    closing = weave.seam.side_round != 0
    assert set(weave.loop_column[weave.side_loop[closing]].tolist()) == {6}
    beads = np.unique(weave.side_bead[closing])
    # An upright bead a row and a slanted one between two rows.
    assert len(beads) == 4 + 4
    assert weave.bead_xy[beads, 0].max() < weave.spacing.pitch_mm


def test_the_cells_cover_a_round_once():
    for pair, places in ((ONE, 5), (TWO, 6)):
        weave = ring(pair, 4, places)
        row_mm = weave.spacing.pitch_mm * math.sqrt(3) / 2
        # A row of loops is three beads a loop; two more stand at the rims.
        assert weave.cell_mm2.sum() == pytest.approx(places * weave.spacing.pitch_mm * (4 + 2 / 3) * row_mm)


def test_neighbours_go_round():
    weave = ring(ONE, 3, 4)
    neighbours = bead_neighbours(weave)
    inner = ~weave.rim_beads
    assert (neighbours[inner] != NONE).sum(axis=1).min() >= 3
    upright = np.flatnonzero(inner & (np.abs(weave.bead_direction[:, 0]) < 0.1))
    assert (neighbours[upright] != NONE).all()


@pytest.mark.parametrize("pair", [ONE, TWO])
def test_tips_stand_on_both_rims_as_on_a_sheet(pair):
    weave = ring(pair, 3, 6)
    assert len(outer_tips(weave)) == 2 * 6
    xy, hole = tip_places(weave)
    flat = ring(pair, 3, 18, joined=False)
    flat_xy, _ = tip_places(flat)
    # Each as a tip in the middle of a longer sheet.
    length = 6 * weave.spacing.pitch_mm
    middle = (flat_xy[:, 0] > length - 0.1) & (flat_xy[:, 0] < 2 * length - 0.1)
    assert places_of(bent(xy, length, 0)) == places_of(bent(flat_xy[middle], length, 0))
    assert np.abs(hole[:, 1]).max() < 1e-9
    assert len(tips_of(weave)) == 12
    holed = np.ones((5, 8), bool)
    holed[2, 4] = False
    sizes = tuple(map(bead_size, ONE))
    assert len(outer_tips(sheet(holed, sizes, model_spacing(*sizes), joined=True))) == 16


def test_near_and_middle_go_the_short_way_round():
    seam = ring(ONE, 2, 10).seam
    once = seam.round_mm[0]
    assert seam.near(np.array([[0.1 * once, 3.0]]), np.array([0.95 * once, 0.0])).tolist() == [
        pytest.approx([1.1 * once, 3.0])
    ]
    walk = np.array([[0.9, 0.0], [0.98, 1.0], [0.06, 2.0]]) * (once, 1)
    assert seam.middle(walk).tolist() == pytest.approx([0.98 * once, 1.0])


def test_a_part_is_the_sheet_of_its_loops():
    weave = ring(TWO, 3, 6)
    part = part_of(weave, weave.loop_column < 5)
    flat = ring(TWO, 3, 5, joined=False)
    assert (part.beads, part.loops, part.junctions) == (flat.beads, flat.loops, flat.junctions)
    assert places_of(part.bead_xy) == places_of(flat.bead_xy)
    assert part.seam is None
    # What goes all round stays a ring.
    rows = part_of(weave, weave.loop_row < 2)
    np.testing.assert_allclose(rows.bead_xy, ring(TWO, 2, 6).bead_xy, atol=1e-9)
    assert rows.seam is not None


@pytest.mark.parametrize(
    ("pair", "places", "told", "hint"),
    [
        (ONE, 2, "2 loops in a row cannot be joined", "3 loops or longer"),
        (ONE, 1, "1 loop in a row cannot be joined", "3 loops or longer"),
        (TWO, 7, "7 loops in a row do not close in two sizes", "the nearest that do are 6 and 9"),
    ],
)
def test_what_cannot_be_closed_is_refused(pair, places, told, hint):
    with pytest.raises(SizeError, match=told) as refused:
        ring(pair, 3, places)
    assert hint in refused.value.hint
