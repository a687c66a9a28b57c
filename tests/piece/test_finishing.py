"""Where a piece is sewn when it is finished: by geometry, and by sums done here by hand."""

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import MultiPoint, Point

from convert.piece.finishing import BOTTOM, FINISHES, LEFT, RIGHT, TOP, finishing
from convert.thread.steps import TAIL_MM, Supplies, ThreadPlan
from convert.weave.shapes import Flower
from tests.drawing.patterns import pattern
from tests.instructions.pieces import piece

STRIP = np.ones((5, 24), bool)
FOUR = np.ones((4, 24), bool)
HOLED = np.ones((7, 9), bool)
HOLED[3, 4] = False


def finished(woven, kind, **choices):
    made = replace(piece(woven, **choices), finish=kind)
    return made, finishing(made)


def outward(weave, bead):
    """The way a bead of the rim faces, from its only loop."""
    (loop,) = weave.side_loop[weave.side_bead == bead]
    way = weave.bead_xy[bead] - weave.loop_xy[loop]
    return way / np.linalg.norm(way)


def test_nothing_is_sewn_unless_asked_for():
    assert finishing(piece(STRIP)) is None


@pytest.mark.parametrize("kind", FINISHES[1:])
@pytest.mark.parametrize("woven", [STRIP, FOUR, HOLED, np.ones((1, 1), bool), np.ones((24, 5), bool)])
@pytest.mark.parametrize("sizes", [("11/0", "11/0"), ("11/0", "8/0")])
def test_only_beads_of_the_outer_rim_are_sewn(kind, woven, sizes):
    made, finish = finished(woven, kind, sizes=sizes)
    weave = made.weave
    assert finish.kind == kind
    hull = MultiPoint(weave.bead_xy).buffer(0.1).convex_hull.exterior
    for one in finish.fastenings:
        assert one.beads
        assert weave.rim_beads[list(one.beads)].all()
        if woven is HOLED:
            assert (
                max(hull.distance(Point(*weave.bead_xy[bead])) for bead in one.beads) < weave.spacing.pitch_mm
            )


@pytest.mark.parametrize("kind", ["clasp", "button"])
@pytest.mark.parametrize(("woven", "ends"), [(STRIP, (LEFT, RIGHT)), (np.ones((24, 5), bool), (TOP, BOTTOM))])
def test_fittings_sit_at_the_middle_of_the_two_ends(kind, woven, ends):
    made, finish = finished(woven, kind)
    weave = made.weave
    middle = weave.bead_xy.mean(axis=0)
    for one, end in zip(finish.fastenings, ends, strict=True):
        assert one.towards == end
        places = weave.bead_xy[list(one.beads)]
        assert all(outward(weave, bead) @ end > 0.8 for bead in one.beads)
        furthest = (weave.bead_xy @ end).max()
        assert (places @ end).min() > furthest - 0.8 * weave.spacing.pitch_mm
        aside = np.abs((places - middle) @ (abs(end[1]), abs(end[0])))
        assert aside.mean() < 1.01 * weave.spacing.pitch_mm


def test_an_odd_number_of_rows_has_its_middle_bead_and_one_on_each_side():
    _, odd = finished(STRIP, "clasp")
    _, even = finished(FOUR, "clasp")
    assert [len(one.beads) for one in odd.fastenings] == [3, 3]
    assert [len(one.beads) for one in even.fastenings] == [2, 2]


@pytest.mark.parametrize("kind", ["hook", "ring"])
def test_what_hangs_hangs_by_its_top(kind):
    made = replace(pattern(Flower(2), sizes=("11/0", "8/0"), points=True), finish=kind)
    (one,) = finishing(made).fastenings
    places = made.weave.bead_xy[list(one.beads)]
    assert places[:, 1].max() < made.weave.bead_xy[:, 1].min() + 0.25 * made.weave.spacing.pitch_mm
    assert places[:, 0].mean() == pytest.approx(made.weave.bead_xy[:, 0].mean(), abs=1e-6)


def test_a_pair_of_beads_is_sewn_for_each_row_where_ends_meet():
    made, finish = finished(STRIP, "sewn")
    weave = made.weave
    (one,) = finish.fastenings
    first, second = one.beads[::2], one.beads[1::2]
    assert len(first) == 5
    # Moved on by as many loops as a row has, one end lies on the other.
    moved = weave.bead_xy[list(first)] + (24 * weave.spacing.pitch_mm, 0)
    np.testing.assert_allclose(moved, weave.bead_xy[list(second)], atol=1e-6)


def test_cloth_is_sewn_to_one_bead_of_each_loop_all_the_way_round():
    made, finish = finished(HOLED, "cloth")
    weave = made.weave
    (one,) = finish.fastenings
    beads = list(one.beads)
    loops = [int(weave.side_loop[weave.side_bead == bead][0]) for bead in beads]
    assert len(set(loops)) == len(loops)
    # 7 x 9 loops have 28 at their outer rim: two rows of 9 and five times two ends.
    assert len(loops) == 28
    # Walked once round, clockwise with y down, every step a short one.
    places = weave.bead_xy[beads]
    steps = np.linalg.norm(np.roll(places, -1, axis=0) - places, axis=1)
    assert steps.max() < 1.8 * weave.spacing.pitch_mm
    onward = np.roll(places, -1, axis=0)
    area = 0.5 * (places[:, 0] * onward[:, 1] - places[:, 1] * onward[:, 0]).sum()
    assert area > 0.6 * np.ptp(places[:, 0]) * np.ptp(places[:, 1])


def test_passes_fill_the_holes_and_no_more():
    # 11/0 has a hole of 0.8 mm. Filled to 0.6 of its area, the last pass with a needle of 0.38 mm, it takes
    # (0.6 * 0.8**2 - 0.38**2) / 0.2**2 + 1 = 6.99 passes of 0.2 mm thread, so six.
    made, finish = finished(STRIP, "clasp")
    assert made.weave.sizes[0].hole_mm == 0.8
    woven = np.bincount(made.thread.passes)
    for one in finish.fastenings:
        assert one.passes == min(4, 6 - woven[list(one.beads)].max())
    assert finish.tight == ()


def test_holes_without_room_are_told():
    made, finish = finished(STRIP, "clasp", supplies=Supplies(thread_mm=0.35, needle_mm=0.45))
    woven = np.bincount(made.thread.passes)
    # (0.6 * 0.8**2 - 0.45**2) / 0.35**2 + 1 = 2.48: two passes, of which weaving takes at least one.
    tight = [bead for one in finish.fastenings for bead in one.beads if woven[bead] + one.passes > 2]
    assert tight
    assert list(finish.tight) == tight
    assert {one.passes for one in finish.fastenings} == {2}


def test_a_loop_goes_round_its_button():
    _, finish = finished(STRIP, "button")
    button, loop = finish.fastenings
    assert button.strung == 0
    # A button of 12 mm, 3 mm thick, is 30 mm round; an 11/0 is 1.5 mm long: see convert/weave/bead_sizes.csv.
    length_mm = piece(STRIP).weave.sizes[0].length_mm
    assert 30 <= loop.strung * length_mm < 30 + length_mm


def test_thread_is_the_sum_of_its_passes():
    made, finish = finished(STRIP, "clasp")
    side_mm = made.weave.spacing.core_mm
    for one in finish.fastenings:
        # Each pass goes through the bead, and 4 mm to the fitting and back.
        assert one.thread_mm == pytest.approx(one.passes * 3 * (side_mm + 8) + 2 * TAIL_MM)
    assert finish.thread_mm == pytest.approx(sum(one.thread_mm for one in finish.fastenings))


def test_thread_goes_round_the_cloth_once():
    made, finish = finished(STRIP, "cloth")
    weave = made.weave
    rim_mm = weave.rim_beads.sum() * weave.spacing.core_mm
    stitches = len(finish.fastenings[0].beads)
    assert finish.thread_mm == pytest.approx(rim_mm + 4 * stitches + 2 * TAIL_MM)


@pytest.mark.parametrize("woven", [STRIP, FOUR])
def test_a_bead_without_room_gives_way_to_one_beside(woven):
    made, finish = finished(woven, "clasp")
    full = finish.fastenings[0].beads[0]
    passes = np.append(made.thread.passes, [full] * 6).astype(np.int32)
    made = replace(made, thread=ThreadPlan(passes, made.thread.new_threads.copy()))
    one, other = finishing(made).fastenings
    assert full not in one.beads
    assert len(one.beads) == len(finish.fastenings[0].beads)
    assert other == finish.fastenings[1]
    assert finishing(made).tight == ()
    # Of those that are left the nearest to the middle.
    y = made.weave.bead_xy[:, 1]
    end = [bead for bead in np.flatnonzero(made.weave.rim_beads) if outward(made.weave, bead) @ LEFT > 0.8]
    end = [
        bead
        for bead in end
        if made.weave.bead_xy[bead, 0] < made.weave.bead_xy[:, 0].min() + 3 and bead != full
    ]
    middle = (y[[*end, full]].min() + y[[*end, full]].max()) / 2
    nearest = sorted(end, key=lambda bead: round(abs(y[bead] - middle), 6))[: len(one.beads)]
    assert {round(abs(y[bead] - middle), 6) for bead in one.beads} == {
        round(abs(y[bead] - middle), 6) for bead in nearest
    }
