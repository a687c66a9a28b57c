import networkx as nx
import numpy as np
import pytest
from shapely import STRtree
from shapely.geometry import MultiPolygon, Point, Polygon
from shapely.ops import unary_union

from convert.drawing.piece import draw_piece
from convert.palette.model import BeadColour, Palette
from convert.piece.pattern import Pattern
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.verifier import verify
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import model_spacing
from convert.weave.tips import outer_junctions, outward, tips_of
from tests.thread.pieces import ONE_SIZE, TWO_SIZES, flower, make, silhouette

PALETTE = Palette("test", (BeadColour("RED", "red", None, "#C02020", (42.0, 62.0, 45.0)),))
PAIRS = [ONE_SIZE, TWO_SIZES, TWO_SIZES[::-1]]


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("sizes", PAIRS)
def test_outer_rim_is_that_of_the_area(seed, sizes):
    """The outer ring of the union of all loops, by shapely."""
    weave = make(silhouette(seed), sizes)
    area = unary_union([Polygon(corners).buffer(1e-6) for corners in weave.loop_corners])
    assert not isinstance(area, MultiPolygon)
    on_rim = [area.exterior.distance(Point(xy)) < 1e-3 for xy in weave.junction_xy]
    np.testing.assert_array_equal(outer_junctions(weave), on_rim)


def test_holes_have_no_tips():
    weave = make(flower(4, 2))
    of_hole = make(flower(2))
    degree = np.bincount(weave.bead_junctions.ravel())
    # The hole has the outline of a flower of two rounds; where that has its notches the rim points inward.
    notches = of_hole.rim_beads.sum() - len(tips_of(of_hole))
    assert (degree == 2).sum() == len(tips_of(weave)) + notches
    assert len(tips_of(weave)) == len(tips_of(make(flower(4))))


def test_tips_of_a_sheet_are_the_knots_of_degree_two():
    for rows, places in ((1, 1), (1, 5), (4, 3), (7, 8)):
        weave = make(np.ones((rows, places)))
        net = nx.Graph(weave.bead_junctions.tolist())
        assert set(tips_of(weave).junctions.tolist()) == {knot for knot, degree in net.degree if degree == 2}


def test_outward_is_away_from_the_loop():
    weave = make(silhouette(3), TWO_SIZES)
    loop = np.empty(weave.junctions, int)
    loop[weave.side_junction] = weave.side_loop
    tips = tips_of(weave).junctions
    away = weave.junction_xy[tips] - weave.loop_xy[loop[tips]]
    away /= np.linalg.norm(away, axis=1, keepdims=True)
    assert ((away * outward(weave, tips)).sum(axis=1) > 0.9).all()


# Two rows with a gap of one row between them, open on the right: beads that are not there would join them.
GAP = np.ones((3, 6), bool)
GAP[1, 1:] = False
RAGGED = [silhouette(seed, shape=(24, 28), smooth=1.6, bare=0.4) for seed in (0, 2, 11)]


@pytest.mark.parametrize("sizes", PAIRS)
@pytest.mark.parametrize("woven", [GAP, *RAGGED], ids=["gap", "a", "b", "c"])
def test_there_is_room_for_every_small_bead(sizes, woven):
    """No two beads of the drawing overlap, by shapely."""
    assert overlap(Sheet(woven.copy()), sizes) < 0.02


def overlap(shape, sizes):
    """The largest area that two beads of a drawing share, points included, in mm2."""
    weave = shape.build(sizes, model_spacing(*sizes))
    plan = plan_thread(weave, edge="points")
    verify(weave, plan, Supplies())
    beads = weave.beads + len(tips_of(weave))
    pattern = Pattern("", shape, weave, PALETTE, np.zeros(beads, np.int32), plan, Supplies())
    piece = draw_piece(pattern)
    shapes = [
        Polygon(piece.outlines[outline].polygon() + xy)
        for outline, xy in zip(piece.bead_outline, piece.bead_xy, strict=True)
    ]
    pairs = STRtree(shapes).query(shapes, predicate="intersects").T
    overlaps = [shapes[a].intersection(shapes[b]).area for a, b in pairs.tolist() if a < b]
    return max(overlaps, default=0)


@pytest.mark.parametrize("sizes", PAIRS)
def test_tips_that_face_each_other_have_no_bead(sizes):
    weave = make(GAP, sizes)
    degree = np.bincount(weave.bead_junctions.ravel())
    left_out = np.setdiff1d(np.flatnonzero(degree == 2), tips_of(weave).junctions)
    # Between places 1 and 2, 2 and 3, 3 and 4, 4 and 5 of the gap: above and below.
    assert len(left_out) == 8
    for junction in left_out:
        gaps = np.linalg.norm(weave.junction_xy[left_out] - weave.junction_xy[junction], axis=1)
        sides = np.abs(gaps[:, None] - [weave.spacing.core_mm, weave.spacing.connector_mm])
        assert (sides < 1e-6).any()


@pytest.mark.parametrize("centre", [3, 4, 5, 7, 8])
def test_cups_and_ruffles_have_all_their_tips(centre):
    for sizes in PAIRS:
        assert overlap(Flower(3, centre), sizes) < 0.02
    weave = Flower(3, centre).build(ONE_SIZE, model_spacing(*ONE_SIZE))
    assert outer_junctions(weave).sum() == weave.rim_beads.sum()
    assert len(tips_of(weave)) == centre * 4
