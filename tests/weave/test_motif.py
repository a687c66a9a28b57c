import math
from types import SimpleNamespace

import networkx as nx
import numpy as np
import pytest
from shapely.geometry import Polygon
from shapely.ops import unary_union

from convert.errors import SizeError
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.verifier import verify
from convert.weave.beads import bead_size, named_sizes
from convert.weave.lattice import sheet
from convert.weave.model import RIM
from convert.weave.motif import CENTRES, drawn_scale, flower, flower_beads
from convert.weave.shapes import Flower
from convert.weave.spacing import model_spacing
from convert.weave.tips import tips_of
from tests.weave.test_outlines import beads_of, near_pairs

PAIRS = [("11/0", "11/0"), ("11/0", "8/0"), ("8/0", "15/0")]
# Loops (OEIS A003215, centred hexagonal numbers), beads, knots and edge beads of flowers about a loop of six,
# counted by networkx on its own hexagonal lattice.
ABOUT_SIX = [(1, 7, 30, 24, 18), (2, 19, 72, 54, 30), (3, 37, 132, 96, 42), (4, 61, 210, 150, 54)]
ABOUT_SIX += [(5, 91, 306, 216, 66)]


def make(rounds, centre=6, core="11/0", connector="11/0"):
    sizes = bead_size(core), bead_size(connector)
    return flower(rounds, centre, sizes, model_spacing(*sizes))


def places(xy, *columns):
    return sorted(zip(*np.round(np.asarray(xy) + 0.0, 6).T.tolist(), *columns, strict=True))


@pytest.mark.parametrize(("rounds", "loops", "beads", "knots", "rim"), ABOUT_SIX)
def test_counts_about_six_are_those_published(rounds, loops, beads, knots, rim):
    weave = make(rounds)
    assert (weave.loops, weave.beads, weave.junctions) == (loops, beads, knots)
    assert weave.rim_beads.sum() == rim
    assert flower_beads(rounds, 6) == beads


@pytest.mark.parametrize("rounds", [1, 4])
@pytest.mark.parametrize("centre", CENTRES)
@pytest.mark.parametrize(("core", "connector"), PAIRS)
def test_map_holds_together(rounds, centre, core, connector):
    weave = make(rounds, centre, core, connector)
    assert weave.loops == 1 + centre * rounds * (rounds + 1) // 2
    assert weave.beads == flower_beads(rounds, centre)
    assert weave.junctions - weave.beads + weave.loops == 1  # Euler's formula without the outer face
    assert np.diff(weave.loop_start).tolist() == [centre] + [6] * (weave.loops - 1)
    assert weave.corners == weave.rim_beads.sum() + 2 * (~weave.rim_beads).sum()
    assert np.bincount(weave.side_bead).max() == 2
    meeting = np.bincount(weave.bead_junctions.ravel())
    assert set(meeting.tolist()) == {2, 3}
    for side, twin in enumerate(weave.side_twin):
        assert weave.side_junction[side] in weave.bead_junctions[weave.side_bead[weave.side_next[side]]]
        if twin != RIM:
            assert weave.side_twin[twin] == side
            assert weave.side_junction[weave.side_previous[twin]] == weave.side_junction[side]


@pytest.mark.parametrize("centre", CENTRES)
def test_faces_of_the_net_are_the_loops(centre):
    """networkx draws the net in the plane on its own: one face of k beads, the rest of six, and the rim."""
    weave = make(3, centre)
    net = nx.Graph(weave.bead_junctions.tolist())
    assert net.number_of_edges() == weave.beads
    planar, drawing = nx.check_planarity(net)
    assert planar
    seen = set()
    faces = [
        len(drawing.traverse_face(*edge, mark_half_edges=seen)) for edge in drawing.edges if edge not in seen
    ]
    assert sorted(faces) == sorted([centre] + [6] * (weave.loops - 1) + [int(weave.rim_beads.sum())])


@pytest.mark.parametrize("rounds", [1, 2, 4])
@pytest.mark.parametrize(("core", "connector"), PAIRS)
def test_about_six_it_is_the_flat_sheet(rounds, core, connector):
    weave = make(rounds, 6, core, connector)
    row, place = np.indices((2 * rounds + 8, 2 * rounds + 8))
    q, r = place - row // 2 - 3, row - rounds - rounds % 2
    # A core of the sheet lies where (place - row // 2 - row) is a multiple of three.
    q -= next(shift for shift in range(3) if (3 + shift - rounds - rounds % 2) % 3 == 0)
    woven = np.maximum.reduce([abs(q), abs(r), abs(q + r)]) <= rounds
    flat = sheet(woven, weave.sizes, weave.spacing)
    centre = flat.loop_xy[np.hypot(*(flat.loop_xy - flat.loop_xy.mean(axis=0)).T).argmin()]
    for ours, theirs in ((weave.bead_xy, flat.bead_xy), (weave.loop_xy, flat.loop_xy)):
        np.testing.assert_allclose(
            sorted(ours.round(6).tolist()), sorted((theirs - centre).round(6).tolist()), atol=2e-6
        )
    sizes = [
        {tuple(xy): size for *xy, size in places(xy, w.bead_size)}
        for xy, w in ((weave.bead_xy, weave), (flat.bead_xy - centre, flat))
    ]
    assert sizes[0] == sizes[1]
    np.testing.assert_allclose(weave.bead_span_mm, weave.bead_side_mm)


@pytest.mark.parametrize("centre", CENTRES)
@pytest.mark.parametrize(("core", "connector"), PAIRS[1:])
def test_cores_survive_the_gluing(centre, core, connector):
    weave = make(5, centre, core, connector)
    assert weave.loop_core[0]
    cores_at = np.bincount(weave.side_junction[weave.loop_core[weave.side_loop]], minlength=weave.junctions)
    loops_at = np.bincount(weave.side_junction, minlength=weave.junctions)
    assert (cores_at[loops_at == 3] == 1).all()
    assert cores_at.max() == 1
    for loop in range(weave.loops):
        sides = weave.side_bead[weave.loop_start[loop] : weave.loop_start[loop + 1]]
        kinds = weave.bead_size[sides].tolist()
        assert kinds in ([0] * len(sides), [0, 1] * 3, [1, 0] * 3)
        assert weave.loop_core[loop] == (sum(kinds) == 0)


@pytest.mark.parametrize("centre", CENTRES)
@pytest.mark.parametrize(("core", "connector"), PAIRS)
def test_it_looks_the_same_after_a_turn_by_one_sector(centre, core, connector):
    weave = make(3, centre, core, connector)
    angle = 2 * math.pi / centre
    turn = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    distance = np.hypot(*((weave.bead_xy @ turn)[:, None] - weave.bead_xy).transpose(2, 0, 1))
    image = distance.argmin(axis=1)
    assert distance.min(axis=1).max() < 1e-9
    assert sorted(image.tolist()) == list(range(weave.beads))
    np.testing.assert_array_equal(weave.bead_size[image], weave.bead_size)
    np.testing.assert_array_equal(weave.bead_row[image], weave.bead_row)


@pytest.mark.parametrize("centre", CENTRES)
def test_loops_run_clockwise_and_cells_lie_side_by_side(centre):
    weave = make(3, centre, "11/0", "8/0")
    x, y = weave.loop_corners.transpose(2, 0, 1)
    assert ((x * np.roll(y, -1, axis=1) - y * np.roll(x, -1, axis=1)).sum(axis=1) > 0).all()
    loops = [Polygon(corners) for corners in weave.loop_corners]
    assert unary_union(loops).area == pytest.approx(sum(loop.area for loop in loops), rel=1e-9)
    cells = [Polygon(cell) for cell in weave.cells[~weave.rim_beads]]
    assert all(cell.is_valid for cell in cells)
    assert unary_union(cells).area == pytest.approx(sum(cell.area for cell in cells), rel=1e-9)


@pytest.mark.parametrize("centre", CENTRES)
@pytest.mark.parametrize("connector", [None, "15/0", "8/0"])
def test_no_beads_overlap_in_the_drawing(centre, connector):
    for name in named_sizes() if connector is None else ("15/0", "11/0", "6/0", "11/0-cylinder"):
        weave = make(2, centre, name, connector or name)
        beads = beads_of(SimpleNamespace(**{key: getattr(weave, key) for key in DRAWN}), loose=False)
        assert max((beads[a].intersection(beads[b]).area for a, b in near_pairs(beads)), default=0) < 1e-4


def test_a_flower_is_not_drawn_larger_than_it_must():
    """Drawn 1.5 % smaller, the pair of sizes that needs the most room overlaps."""
    weave = make(2, 8, "11/0-cylinder", "15/0")
    parts = {key: getattr(weave, key) for key in DRAWN}
    beads = beads_of(SimpleNamespace(**parts | {"bead_xy": weave.bead_xy / 1.015}), loose=False)
    assert max(beads[a].intersection(beads[b]).area for a, b in near_pairs(beads)) > 1e-4


DRAWN = ("sizes", "bead_direction", "bead_size", "bead_xy")


def test_rounds_and_places_are_numbered_clockwise():
    weave = make(3, 5)
    assert weave.loop_row.tolist() == [0] + [1] * 5 + [2] * 10 + [3] * 15
    for number in (1, 2, 3):
        of_round = weave.loop_row == number
        assert weave.loop_column[of_round].tolist() == list(range(5 * number))
        angle = np.unwrap(np.arctan2(*weave.loop_xy[of_round].T[::-1]))
        assert (np.diff(angle) > 0).all()
    assert (np.diff(weave.bead_row) >= 0).all()
    for row in range(7):
        x, y = weave.bead_xy[weave.bead_row == row].T
        assert (np.diff(np.unwrap(np.arctan2(y, x))) > 0).all()


def test_outer_tips_are_two_for_each_corner_and_one_for_each_loop_between():
    for centre in CENTRES:
        # 12n + 6 edge beads about six, of which those at 6n knots meet a third bead.
        assert len(tips_of(make(4, centre))) == centre * (4 + 1)


@pytest.mark.parametrize("centre", CENTRES)
@pytest.mark.parametrize("path", ["steady", "thrifty"])
@pytest.mark.parametrize("edge", ["plain", "points"])
def test_thread_weaves_every_flower(centre, path, edge):
    for rounds, pair in ((1, PAIRS[0]), (4, PAIRS[1])):
        weave = make(rounds, centre, *pair)
        plan = plan_thread(weave, path=path, edge=edge)
        report = verify(weave, plan, Supplies())
        assert report.loops == weave.loops
        # Thread is as long as the beads it goes through are in the piece, not as they are drawn.
        tips = len(tips_of(weave)) * (edge == "points") * bead_size("11/0").length_mm
        along = weave.bead_side_mm[plan.passes[plan.passes < weave.beads]].sum() + tips
        assert report.length_mm == pytest.approx(along + 300 * report.threads)
        assert set(np.unique(weave.bead_side_mm)) <= {weave.spacing.core_mm, weave.spacing.connector_mm}


def test_width_of_cup_and_ruffle():
    for centre in CENTRES:
        woven = Flower(2, centre).width_share * drawn_scale(centre)
        # The rim of a cone of k sectors of 60 degrees is k / 6 as long as that of a disc.
        assert woven == pytest.approx(min(1, centre / 6))
    assert Flower(2).width_share == 1


@pytest.mark.parametrize(("rounds", "centre"), [(0, 6), (-1, 6), (501, 6), (2, 2), (2, 9), (2, 0)])
def test_impossible_flowers_are_refused_in_one_line(rounds, centre):
    for refuse in (Flower, make):
        with pytest.raises(SizeError) as refused:
            refuse(rounds, centre)
        assert "\n" not in str(refused.value)
        assert refused.value.hint


@pytest.mark.parametrize(("rounds", "centre"), [(1, 3), (500, 6), (2, 8)])
def test_extreme_flowers_that_are_still_woven(rounds, centre):
    assert Flower(rounds, centre).rounds == rounds
