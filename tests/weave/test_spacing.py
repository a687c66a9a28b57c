"""The spacing against brute force by an independent polygon library (shapely)."""

import itertools
import math

import pytest
from shapely import affinity
from shapely.geometry import Point, box
from shapely.ops import unary_union

from convert.errors import SizeError
from convert.weave.beads import bead_size
from convert.weave.spacing import gauge_spacing, model_spacing

NAMES = ["15/0", "11/0", "8/0", "6/0", "11/0-cylinder", "3x4x1"]


def outline(size, loose):
    """Draw a bead lying along x about the origin: two circles, an elliptical ring, or a rectangle."""
    length, width = size.length_mm, size.diameter_mm
    if not size.rounded:
        return box(-length / 2, -width / 2, length / 2, width / 2)
    if loose:
        wall, middle = (width - size.hole_mm) / 2, (width + size.hole_mm) / 4
        half = affinity.scale(Point(0, 0).buffer(1, quad_segs=200), length / 2, wall / 2)
    else:
        middle = (width - length) / 2
        half = Point(0, 0).buffer(length / 2, quad_segs=200)
    return unary_union([affinity.translate(half, 0, sign * middle) for sign in (1, -1)]).convex_hull


def about_a_connector(core, connector, core_mm, connector_mm, loose):
    """Draw a connector with the four core beads at its two junctions, and name what is drawn."""
    beads = [affinity.translate(outline(connector, loose), connector_mm / 2, 0)]
    for end, angles in ((0, (120, 240)), (connector_mm, (60, 300))):
        for angle in angles:
            bead = affinity.translate(outline(core, loose), core_mm / 2, 0)
            beads.append(affinity.translate(affinity.rotate(bead, angle, origin=(0, 0)), end, 0))
    # The next connector of the core loop at the left: it points away from the middle, 60 degrees further on.
    next_one = affinity.rotate(beads[0], 60, origin=(-core_mm, 0))
    return [*beads, next_one]


@pytest.mark.parametrize("loose", [False, True])
@pytest.mark.parametrize("name", NAMES)
def test_beads_of_one_size_touch_and_do_not_overlap(name, loose):
    size = bead_size(name)
    spacing = model_spacing(size, size)
    side = spacing.core_mm * (spacing.high if loose else spacing.low)
    beads = about_a_connector(size, size, side, side, loose)
    assert max(a.intersection(b).area for a, b in itertools.combinations(beads, 2)) < 1e-4
    assert beads[0].distance(beads[1]) < 2e-3


@pytest.mark.parametrize(("core", "connector"), list(itertools.permutations(NAMES, 2)))
def test_beads_of_two_sizes_do_not_overlap_as_drawn(core, connector):
    # The chart draws the tight outline at the mean spacing.
    sizes = bead_size(core), bead_size(connector)
    spacing = model_spacing(*sizes)
    beads = about_a_connector(*sizes, spacing.core_mm, spacing.connector_mm, False)
    assert max(a.intersection(b).area for a, b in itertools.combinations(beads, 2)) < 1e-4


@pytest.mark.parametrize(
    ("core", "connector"), [("11/0", "8/0"), ("8/0", "11/0"), ("15/0", "11/0"), ("6/0", "15/0")]
)
def test_two_sizes_agree_with_brute_force(core, connector):
    """Push the connector's core loops together until something touches, by bisection on shapely outlines."""
    sizes = bead_size(core), bead_size(connector)
    found = []
    for loose in (False, True):
        core_mm = brute_side(sizes[0], loose)
        low, high = sizes[1].length_mm, 4 * (sizes[0].diameter_mm + sizes[1].length_mm)
        for _ in range(30):
            middle = (low + high) / 2
            beads = about_a_connector(*sizes, core_mm, middle, loose)
            overlap = max(a.intersection(b).area for a, b in itertools.combinations(beads, 2))
            low, high = (middle, high) if overlap > 1e-5 else (low, middle)
        found.append((core_mm, high))
    spacing = model_spacing(*sizes)
    assert spacing.core_mm == pytest.approx((found[0][0] + found[1][0]) / 2, abs=0.01)
    assert spacing.connector_mm == pytest.approx((found[0][1] + found[1][1]) / 2, abs=0.02)


def brute_side(size, loose):
    low, high = size.length_mm, 4 * size.diameter_mm
    for _ in range(30):
        middle = (low + high) / 2
        first = affinity.translate(outline(size, loose), middle / 2, 0)
        second = affinity.rotate(first, 120, origin=(0, 0))
        low, high = (middle, high) if first.intersection(second).area > 1e-6 else (low, middle)
    return high


def test_figures_of_eleven():
    # 11/0: (L + D) / sqrt 3 = 2.08 tight; 2.38 loose, by brute force over ellipses of semi-axes L/2 and w/2.
    size = bead_size("11/0")
    spacing = model_spacing(size, size)
    assert spacing.core_mm * spacing.low == pytest.approx((size.length_mm + size.diameter_mm) / math.sqrt(3))
    assert spacing.core_mm * spacing.high == pytest.approx(brute_side(size, True), abs=1e-3)
    assert spacing.core_mm == pytest.approx(2.23, abs=0.005)


def test_cylinder_side():
    size = bead_size("11/0-cylinder")
    spacing = model_spacing(size, size)
    assert spacing.core_mm == pytest.approx(size.length_mm + size.diameter_mm / math.sqrt(3))
    assert (spacing.low, spacing.high) == (pytest.approx(1), pytest.approx(1))


def test_almost_equal_sizes_give_almost_the_one_size_result():
    size, other = bead_size("2.1x1.5x0.8"), bead_size("2.101x1.5x0.8")
    one, two = model_spacing(size, size), model_spacing(size, other)
    assert two.connector_mm == pytest.approx(one.connector_mm, abs=0.002)
    assert two.low == pytest.approx(one.low, abs=1e-3)


def test_grams_per_area_are_those_of_beadwork():
    # 11/0 beadwork weighs about 1.7 kg/m2: computed from 18 beads per cm2 at a somewhat wider spacing, not
    # measured on a swatch. Three beads a loop.
    size = bead_size("11/0")
    spacing = model_spacing(size, size)
    loop_mm2 = spacing.pitch_mm**2 * math.sqrt(3) / 2
    assert 3 / size.beads_per_gram / loop_mm2 * 1000 == pytest.approx(1.7, rel=0.35)


def test_gauge_keeps_the_proportions():
    sizes = bead_size("11/0"), bead_size("8/0")
    model = model_spacing(*sizes)
    gauge = gauge_spacing(*sizes, 45.0)
    assert gauge.pitch_mm == pytest.approx(4.5)
    assert gauge.core_mm / gauge.connector_mm == pytest.approx(model.core_mm / model.connector_mm)
    assert (gauge.low, gauge.high, gauge.basis) == (1, 1, "gauge")


@pytest.mark.parametrize("measured", [0, -3, 10, 24, 62, 90, float("nan"), float("inf")])
def test_impossible_gauge(measured):
    with pytest.raises(SizeError):
        gauge_spacing(bead_size("11/0"), bead_size("11/0"), measured)


@pytest.mark.parametrize("measured", [25, 38, 61])
def test_gauge_may_be_up_to_three_fifths_off_the_model(measured):
    assert gauge_spacing(bead_size("11/0"), bead_size("11/0"), measured).pitch_mm == pytest.approx(
        measured / 10
    )
