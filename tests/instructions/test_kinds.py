"""Kinds of loop, counted again by walking round each loop."""

import itertools
from collections import Counter

import numpy as np
import pytest

from convert.instructions.kinds import _letter, loop_kinds
from convert.thread.planner import plan_thread
from convert.thread.stitches import LEFT, RIGHT, stitches
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.shapes import Flower
from convert.weave.spacing import model_spacing
from tests.thread.pieces import silhouette

SIZES = (bead_size("11/0"),) * 2
SPACING = model_spacing(*SIZES)
PIECES = {
    "sheet": sheet(np.ones((9, 12), bool), SIZES, SPACING),
    "silhouette": sheet(np.asarray(silhouette(1, (14, 18), 2.2, 0.4), bool), SIZES, SPACING),
    "flower": Flower(3).build(SIZES, SPACING),
    "ruffle": Flower(2, 8).build(SIZES, SPACING),
    "cup": Flower(2, 3).build(SIZES, SPACING),
}


def walked(weave, passes):
    """For each loop its side of the thread and what is picked up round it, by walking the thread slowly."""
    beads_of = [
        weave.side_bead[weave.loop_start[loop] : weave.loop_start[loop + 1]].tolist()
        for loop in range(weave.loops)
    ]
    loops_of = {}
    for loop, beads in enumerate(beads_of):
        for bead in beads:
            loops_of.setdefault(bead, set()).add(loop)
    there, corners, found = {passes[0]}, {}, {}
    for before, here in itertools.pairwise(passes):
        (loop,) = loops_of[before] & loops_of[here]
        done = corners.setdefault(loop, set())
        if len(done) < len(beads_of[loop]):
            done.add(frozenset((before, here)))
            beads = beads_of[loop]
            onward = beads[(beads.index(before) + 1) % len(beads)] == here
            # Sides run clockwise on the page: going with them, the loop lies to the right.
            side = RIGHT if onward else LEFT
            found.setdefault(loop, []).append((side, here not in there))
        there.add(here)
    return found


def in_runs(picks):
    runs = []
    for picked_up in picks:
        if runs and runs[-1][0] == picked_up:
            runs[-1][1] += 1
        else:
            runs.append([picked_up, 1])
    return tuple((picked_up, beads) for picked_up, beads in runs)


@pytest.mark.parametrize("name", PIECES)
@pytest.mark.parametrize("path", ["steady", "thrifty"])
def test_kinds_are_those_of_a_slow_walk(name, path):
    weave = PIECES[name]
    plan = plan_thread(weave, path=path)
    kinds = loop_kinds(weave, stitches(weave, plan))
    found = walked(weave, plan.passes.tolist())
    counted = Counter()
    for loop in range(weave.loops):
        sides = {side for side, _ in found[loop]}
        assert len(sides) == 1
        kind = (sides.pop(), in_runs([picked_up for _, picked_up in found[loop]]))
        counted[kind] += 1
        told = kinds.kinds[int(kinds.of_loop[loop])]
        assert (told.turn, told.runs) == kind
    assert sorted(counted.values(), reverse=True) == [kind.times for kind in kinds.kinds]


def test_letters_go_on_after_z():
    letters = [_letter(rank) for rank in (0, 25, 26, 27, 51, 52, 701, 702)]
    assert letters == ["A", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA"]
