"""The loop that a piece hangs by: part of the weave, at the top, above the middle of the beads."""

import networkx
import numpy as np
import pytest

from convert.errors import SizeError
from convert.thread.planner import PATHS, plan_thread
from convert.thread.steps import Supplies
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.hanging import held_by, hung, unhung
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import model_spacing
from convert.weave.tips import tips_of

ONE, TWO = ("11/0", "11/0"), ("11/0", "15/0")
DROP = Sheet(np.array([[0, 1, 1, 0], [1, 1, 1, 0], [1, 1, 1, 1], [1, 1, 1, 0]], bool))
# A hollow in the middle of the top, three loops deep.
HOLLOW = Sheet(
    np.array([[1, 1, 0, 0, 1, 1], [1, 1, 0, 1, 1, 1], [1, 1, 1, 1, 1, 1], [0, 1, 1, 1, 1, 0]], bool)
)


def weave_of(shape, sizes=ONE):
    beads = tuple(map(bead_size, sizes))
    return shape.build(beads, model_spacing(*beads))


def hanging(shape, beads):
    if isinstance(shape, Flower):
        return Flower(shape.rounds, shape.centre, shape.sixths, beads)
    return Sheet(shape.woven, shape.direction, beads)


SHAPES = {
    "gap": DROP,
    "hollow": HOLLOW,
    "rows down": Sheet(np.ones((5, 3), bool), "along"),
    "flower": Flower(2),
    "cup": Flower(2, 4),
    "ruffle": Flower(2, 7),
    "half": Flower(3, sixths=3),
    "third": Flower(2, sixths=2),
    "sixth": Flower(3, sixths=1),
}


# Six beads are too few for the hollow.
LENGTHS = [(name, beads) for name in SHAPES for beads in (6, 10, 25) if (name, beads) != ("hollow", 6)]


@pytest.mark.parametrize("sizes", [ONE, TWO], ids=["one size", "two sizes"])
@pytest.mark.parametrize(("name", "beads"), LENGTHS)
def test_it_is_a_larger_loop_of_the_weave(name, sizes, beads):
    weave = weave_of(hanging(SHAPES[name], beads), sizes)
    body = unhung(weave)
    assert (weave.loops, weave.beads) == (body.loops + 1, body.beads + beads)
    assert weave.hanging == beads
    # A disc before and after.
    for piece in (weave, body):
        assert piece.junctions - piece.beads + piece.loops == 1
    # Its sides close a ring of beads, each from one junction to the next.
    sides = np.arange(weave.loop_start[-2], weave.loop_start[-1])
    ring = networkx.Graph(weave.bead_junctions[weave.side_bead[sides]].tolist())
    assert len(networkx.cycle_basis(ring)) == 1
    assert set(dict(ring.degree).values()) == {2}
    shared = weave.side_bead[sides][weave.side_bead[sides] < body.beads]
    assert 1 <= len(shared) <= 6
    assert held_by(weave) in shared
    # At no junction do more than three beads meet.
    assert np.bincount(weave.bead_junctions.ravel()).max() == 3
    # All its beads lie as far apart as cores do, so that thread and length are true.
    np.testing.assert_allclose(weave.bead_span_mm[-beads:], weave.spacing.core_mm, rtol=1e-6)
    # It goes clockwise on the page: with y down the shoelace sum is positive.
    x, y = weave.junction_xy[weave.side_junction[sides]].T
    assert (x * np.roll(y, -1) - y * np.roll(x, -1)).sum() > 0


@pytest.mark.parametrize("shape", [DROP, Flower(2), Flower(2, 4), Flower(3, sixths=3), Flower(4, sixths=2)])
def test_a_symmetric_piece_hangs_straight(shape):
    weave = weave_of(hanging(shape, 10))
    body = unhung(weave)
    top = weave.bead_xy[-10:].mean(axis=0)
    assert top[0] == pytest.approx(body.bead_xy[:, 0].mean(), abs=0.2 * weave.spacing.pitch_mm)
    assert top[1] < body.bead_xy[:, 1].min()


@pytest.mark.parametrize("edge", ["plain", "points"])
@pytest.mark.parametrize("path", PATHS)
@pytest.mark.parametrize("sizes", [ONE, TWO], ids=["one size", "two sizes"])
@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_its_thread_is_proven(shape, sizes, path, edge):
    weave = weave_of(hanging(shape, 12), sizes)
    supplies = Supplies(0.15, 0.35, 3000)
    plan = plan_thread(weave, path=path, edge=edge, supplies=supplies)
    report = verify(weave, plan, supplies)
    assert report.loops == weave.loops
    assert set(range(weave.beads)) <= set(plan.passes.tolist())


def test_it_stays_smooth_where_the_edge_has_points():
    weave = weave_of(hanging(Flower(2), 10))
    own = np.unique(weave.bead_junctions[-10:])
    assert not set(own.tolist()) & set(tips_of(weave).junctions.tolist())
    assert len(tips_of(weave)) > 6


def test_of_places_the_one_above_the_middle_is_taken():
    woven = np.ones((4, 12), bool)
    woven[0, 5:] = False
    for shape in (woven, woven[:, ::-1].copy()):
        weave = weave_of(Sheet(shape, hanging=10))
        off = weave.bead_xy[-10:, 0].mean() - unhung(weave).bead_xy[:, 0].mean()
        assert abs(off) < 1.25 * weave.spacing.pitch_mm


@pytest.mark.parametrize("beads", [1, 3, 100, -2])
def test_impossible_loops(beads):
    for shape in (DROP, Flower(1)):
        with pytest.raises(SizeError, match="takes 4 to 99 beads") as refused:
            hanging(shape, beads)
        assert refused.value.hint


def test_a_loop_that_is_too_short_for_its_place_is_refused():
    weave = weave_of(Sheet(np.ones((5, 3), bool), "along"))
    # On a bead across the top the first and the last bead lean outward, so that two more would lie straight.
    with pytest.raises(
        SizeError, match="a loop of 4 beads is too short to hang the piece by there"
    ) as refused:
        hung(weave, 4)
    assert refused.value.hint == "give it 5 or more"
    assert hung(weave, 5).hanging == 5


@pytest.mark.parametrize("sixths", [1, 3])
def test_a_part_with_a_loop_in_the_middle_of_its_edge_is_refused(sixths):
    with pytest.raises(SizeError, match="has a loop in the middle of its edge"):
        Flower(4, sixths=sixths, hanging=10)
