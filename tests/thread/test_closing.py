"""The thread of a ring: woven flat, then closed, and followed over a cylinder that the test bends."""

import itertools
import math

import numpy as np
import pytest

from convert.thread.closing import closing_loops, laid_open
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.stitches import NO_LOOP, stitches
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.spacing import model_spacing

ONE, TWO = ("11/0", "11/0"), ("11/0", "15/0")


def ring(pair, rows, places, woven=None, direction="across"):
    sizes = tuple(map(bead_size, pair))
    woven = np.ones((rows, places), bool) if woven is None else woven
    return sheet(woven, sizes, model_spacing(*sizes), direction, joined=True)


def ends_on_cylinder(weave):
    """Where the two ends of each bead lie in space, from its middle and its direction alone."""
    axis = int(weave.seam.round_mm[0] == 0)
    length = weave.seam.round_mm[axis]
    half = weave.bead_side_mm[:, None] / 2 * weave.bead_direction
    ends = np.stack([weave.bead_xy - half, weave.bead_xy + half], axis=1)
    angle = 2 * math.pi * ends[..., axis] / length
    return np.round(np.stack([np.cos(angle), np.sin(angle), ends[..., 1 - axis]], axis=-1), 6) + 0.0


def follow(weave, passes):
    """Follow a thread over the cylinder; return the corners it sews, each as its two beads and its place."""
    ends = [[tuple(end) for end in bead] for bead in ends_on_cylinder(weave).tolist()]
    shared = set(ends[passes[0]]) & set(ends[passes[1]])
    assert len(shared) == 1
    (at,) = shared
    corners = {(frozenset(passes[:2]), at)}
    for one, other in itertools.pairwise(passes[1:]):
        (leaves,) = set(ends[one]) - {at}
        assert leaves in ends[other], "the thread jumps"
        assert one != other
        corners.add((frozenset((one, other)), leaves))
        at = leaves
    return corners


@pytest.mark.parametrize("path", ["steady", "thrifty"])
@pytest.mark.parametrize("pair", [ONE, TWO])
@pytest.mark.parametrize("direction", ["across", "along"])
def test_the_thread_runs_round_the_cylinder_and_sews_every_corner(pair, path, direction):
    for rows, places in ((1, 3), (2, 6), (5, 9), (9, 12)):
        weave = ring(pair, rows, places, direction=direction)
        plan = plan_thread(weave, path=path)
        report = verify(weave, plan, Supplies())
        assert report.loops == rows * places
        sewn = follow(weave, plan.passes.tolist())
        ends = ends_on_cylinder(weave)
        for side in range(weave.corners):
            one, other = weave.side_bead[side], weave.side_bead[weave.side_next[side]]
            (place,) = {tuple(end) for end in ends[one].tolist()} & {
                tuple(end) for end in ends[other].tolist()
            }
            assert (frozenset((int(one), int(other))), place) in sewn
        # The bound of a walk round a tree holds for rings, too: six passes a loop and one to start.
        assert report.bound == 6 * rows * places + 1
        if path == "thrifty":
            assert report.passes == report.bound


@pytest.mark.parametrize("start", ["corner", "edge", "middle"])
@pytest.mark.parametrize("pair", [ONE, TWO])
def test_the_last_loops_close_it_and_find_their_side_beads_there(pair, start):
    weave = ring(pair, 7, 15)
    plan = plan_thread(weave, start=start)
    told = stitches(weave, plan)
    begun = told.begins[told.begins != NO_LOOP].tolist()
    closing = closing_loops(weave).tolist()
    assert weave.loop_column[closing].tolist() == [14] * 7
    assert sorted(begun[-7:]) == sorted(closing)
    # A bead between each of them and the next, and two at either rim.
    first = np.flatnonzero(told.begins == begun[-7])[0]
    assert told.picked_up[first:].sum() == 6 + 2 + 2
    assert told.open_loops.max() <= 2


def test_the_flat_part_is_woven_as_a_sheet_is():
    weave = ring(ONE, 6, 12)
    flat = laid_open(weave)
    sizes = weave.sizes
    sheet_plan = plan_thread(sheet(np.ones((6, 11), bool), sizes, weave.spacing))
    ours = plan_thread(weave)
    count = len(sheet_plan.passes)
    np.testing.assert_allclose(
        weave.bead_xy[ours.passes[:count]], flat.weave.bead_xy[sheet_plan.passes], atol=1e-9
    )


def test_the_beads_of_the_seam_have_room():
    # They get more passes than others; with the usual thread and needle the holes of 11/0 take them.
    weave = ring(ONE, 8, 45)
    plan = plan_thread(weave)
    report = verify(weave, plan, Supplies())
    passes = np.bincount(plan.passes, minlength=weave.beads)
    seam = np.unique(weave.side_bead[np.isin(weave.side_loop, closing_loops(weave))])
    assert passes[seam].max() <= 4
    assert not len(report.tight_beads)
    # Hardly longer than six passes a loop.
    assert report.passes <= 1.12 * report.bound


def test_rings_with_gaps_are_woven_too():
    woven = np.ones((6, 12), bool)
    woven[2:4, 3:6] = False
    woven[0, 11] = woven[5, 11] = False
    weave = ring(ONE, 6, 12, woven)
    verify(weave, plan_thread(weave), Supplies())
    # Where the flat part would fall in two, it is woven as it comes: a C that hangs together over the seam.
    parted = np.ones((4, 9), bool)
    parted[:, 4] = False
    weave = ring(ONE, 4, 9, parted)
    assert laid_open(weave) is None
    report = verify(weave, plan_thread(weave, edge="points"), Supplies())
    assert report.loops == 32
    column = np.zeros((5, 6), bool)
    column[:, 2] = True
    weave = ring(ONE, 5, 6, column)
    assert laid_open(weave) is None
    verify(weave, plan_thread(weave), Supplies())


@pytest.mark.parametrize("pair", [ONE, TWO])
def test_new_threads_are_joined_where_no_loop_is_half_sewn(pair):
    # With every length of needleful the joins fall elsewhere, also among the loops that close the ring.
    weave = ring(pair, 11, 6)
    for needleful in range(460, 640, 6):
        supplies = Supplies(needleful_mm=float(needleful))
        plan = plan_thread(weave, supplies=supplies)
        assert verify(weave, plan, supplies).threads == len(plan.new_threads) >= 3
