"""Beads of whole sheets drawn by shapely: nothing overlaps, neighbours touch, at each model's own sides."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import STRtree, affinity
from shapely.geometry import Point, box

from convert.weave.beads import CYLINDER, BeadSize, bead_size
from convert.weave.lattice import sheet
from convert.weave.spacing import Spacing, model_spacing

ONE_SIZE = ["15/0", "11/0", "6/0", "11/0-cylinder", "2x2x0.8", "1.5x3x0.6"]
TWO_SIZES = [
    ("11/0", "8/0"),
    ("8/0", "11/0"),
    ("15/0", "11/0"),
    ("6/0", "15/0"),
    ("15/0", "6/0"),
    ("11/0-cylinder", "15/0"),
    ("8/0", "11/0-cylinder"),
    ("6x2x1", "1x0.8x0.3"),
    ("1x0.8x0.3", "6x5x1"),
]
PAIRS = [(name, name) for name in ONE_SIZE] + TWO_SIZES
# Polygons lie a little inside the curves they stand for.
FINE_MM = 2e-3


def outline(size, *, loose):
    """A bead from above with its hole along x, in the tight or the loose model."""
    length, diameter = size.length_mm, size.diameter_mm
    if size.kind == CYLINDER or length > diameter:
        return box(-length / 2, -diameter / 2, length / 2, diameter / 2)
    if loose:
        half = affinity.scale(Point(0, 0).buffer(1, quad_segs=128), length / 2, (diameter - size.hole_mm) / 4)
        off = (diameter + size.hole_mm) / 4
    else:
        half, off = Point(0, 0).buffer(length / 2, quad_segs=128), (diameter - length) / 2
    return affinity.translate(half, 0, off).union(affinity.translate(half, 0, -off)).convex_hull


def beads_of(weave, *, loose):
    shapes = [outline(size, loose=loose) for size in weave.sizes]
    angles = np.degrees(np.arctan2(weave.bead_direction[:, 1], weave.bead_direction[:, 0]))
    return [
        affinity.translate(affinity.rotate(shapes[size], angle, origin=(0, 0)), *xy)
        for size, angle, xy in zip(weave.bead_size, angles, weave.bead_xy, strict=True)
    ]


def near_pairs(beads):
    near = STRtree(beads).query(beads, predicate="dwithin", distance=FINE_MM)
    return [(one, other) for one, other in near.T.tolist() if one < other]


def woven(sizes, core_mm, connector_mm):
    return sheet(np.ones((3, 4), bool), sizes, Spacing(core_mm, connector_mm, 1, 1, "model"))


def overlap(weave, *, loose):
    beads = beads_of(weave, loose=loose)
    return max((beads[a].intersection(beads[b]).area for a, b in near_pairs(beads)), default=0.0)


def least(free, low, high):
    """The least number in between for which `free` holds, by bisection."""
    for _ in range(10):
        middle = (low + high) / 2
        low, high = (low, middle) if free(middle) else (middle, high)
    return high


def tightest(sizes, spacing, *, loose):
    """Sides at which a whole sheet has no overlap, by making them smaller until it has one."""
    same = sizes[0] == sizes[1]
    core_only = (sizes[0], sizes[0])
    span = spacing.core_mm / 5
    core_mm = least(
        lambda side: overlap(woven(core_only, side, side), loose=loose) < 1e-5,
        spacing.core_mm - span,
        spacing.core_mm + span,
    )
    if same:
        return core_mm, core_mm
    span = spacing.connector_mm / 3
    return core_mm, least(
        lambda side: overlap(woven(sizes, core_mm, side), loose=loose) < 1e-5,
        spacing.connector_mm - span,
        spacing.connector_mm + span,
    )


@pytest.mark.parametrize(("core", "connector"), PAIRS, ids="+".join)
def test_sides_are_the_smallest_without_overlap(core, connector):
    sizes = bead_size(core), bead_size(connector)
    spacing = model_spacing(*sizes)
    both = [tightest(sizes, spacing, loose=loose) for loose in (False, True)]
    core_mm, connector_mm = np.mean(both, axis=0)
    assert spacing.core_mm == pytest.approx(core_mm, abs=0.01)
    assert spacing.connector_mm == pytest.approx(connector_mm, abs=0.015)
    low, high = sorted((2 * side[0] + side[1]) / (2 * core_mm + connector_mm) for side in both)
    assert spacing.low == pytest.approx(low, abs=0.005)
    assert spacing.high == pytest.approx(high, abs=0.005)


@pytest.mark.parametrize("name", ONE_SIZE)
def test_beads_of_a_sheet_touch_all_their_neighbours(name):
    size = bead_size(name)
    spacing = model_spacing(size, size)
    for loose in (False, True):
        side, _ = tightest((size, size), spacing, loose=loose)
        weave = woven((size, size), side, side)
        beads = beads_of(weave, loose=loose)
        touching = np.bincount(np.array(near_pairs(beads)).ravel(), minlength=weave.beads)
        assert (touching[~weave.rim_beads] == 4).all()


@settings(deadline=None, max_examples=40, derandomize=True)
@given(st.floats(0.5, 6), st.floats(0.5, 6), st.sampled_from([CYLINDER, "custom"]), st.floats(0, 2 * math.pi))
def test_reach_is_that_of_the_outline(diameter, length, kind, angle):
    size = BeadSize("a", kind, diameter, length, diameter / 3, 100)
    turned = affinity.rotate(outline(size, loose=False), -angle, origin=(0, 0), use_radians=True)
    assert size.reach_mm(np.cos(angle), np.sin(angle)) == pytest.approx(turned.bounds[2], abs=5e-4)
