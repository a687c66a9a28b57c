"""Outlines that come along: their areas by hand, their symmetry by shapely."""

import math

import numpy as np
import pytest
import shapely

from convert.errors import ShapeError
from convert.outline.drawn import DRAWN, flattened
from convert.outline.outline import Outline, outline_named

# Area as a share of the box, by hand: circle and oval pi / 4, hexagon 3 / 4, diamond 1 / 2.
AREAS = {"circle": math.pi / 4, "oval": math.pi / 4, "hexagon": 0.75, "diamond": 0.5}
# Width by height, by hand.
ASPECTS = {"circle": 1, "oval": 0.72, "hexagon": 2 / math.sqrt(3), "diamond": 1 / math.sqrt(3)}
BOTH = {"circle", "oval", "leaf", "hexagon", "diamond"}


@pytest.mark.parametrize("name", DRAWN)
def test_drawn_outlines(name):
    line = outline_named(name)
    polygon = shapely.Polygon(line.points)
    assert polygon.is_valid
    assert polygon.bounds[:2] == (0, 0)
    assert max(polygon.bounds) == 1
    assert line.area == pytest.approx(polygon.area / line.size.prod())
    assert line.area == pytest.approx(AREAS.get(name, line.area), rel=0.004)
    assert line.aspect == pytest.approx(ASPECTS.get(name, line.aspect), rel=1e-6)
    assert line.symmetric == (True, name in BOTH)
    for axis, symmetric in enumerate(line.symmetric):
        mirrored = line.points.copy()
        mirrored[:, axis] = line.size[axis] - mirrored[:, axis]
        off = shapely.symmetric_difference(polygon, shapely.Polygon(mirrored)).area / polygon.area
        assert (off < 1e-4) == symmetric


def test_a_lopsided_outline_is_not_symmetric():
    for points in (
        [(0, 0), (4, 0), (4, 4)],
        # As far to the left as to the right on each line, but in other places.
        [(0, 0), (4, 1), (8, 0), (8, 8), (1, 8)],
        [(0, 0), (10, 0), (10, 4), (5, 4), (5, 10), (0, 10)],
    ):
        assert Outline.of("reed", np.array(points, float)).symmetric == (False, False)


@pytest.mark.parametrize(
    ("data", "area"),
    [
        ("M0,0h10v10h-10z", 100),
        ("m 5 5 l 10 0 0 10 -10 0 z", 100),
        # The first line is open, the second closed.
        ("M 0 0 L 5 5 M 0 0 H 4 V 3 Z", 6),
        # Closed by ending where it began.
        ("M 0 0 L 6 0 L 6 4 L 0 0", 12),
        # Of two closed lines the first.
        ("M 0 0 H 2 V 2 H 0 Z M 0 0 H 9 V 9 H 0 Z", 4),
        # A parabola: two thirds of its box, from Archimedes; x from 0 to 10, y = 2 * 10 * t (1 - t).
        ("M 0 0 Q 5 20 10 0 Z", 10 * 10 * 2 / 3),
        # Half an ellipse.
        ("M 0 0 A 6 3 0 0 1 12 0 Z", math.pi * 6 * 3 / 2),
    ],
)
def test_paths_enclose_the_area_that_hands_compute(data, area):
    assert shapely.Polygon(flattened(data, "p")).area == pytest.approx(area, rel=0.004)


@pytest.mark.parametrize(
    ("wanted", "message"),
    [
        ("swan", "there is no outline 'swan'"),
        ("swan.png", "there is no outline 'swan.png'"),
        ("", "there is no outline ''"),
        ("nowhere.svg", "cannot read nowhere.svg: No such file"),
    ],
)
def test_what_is_no_outline_is_refused(wanted, message):
    with pytest.raises(ShapeError, match=message) as refused:
        outline_named(wanted)
    assert refused.value.hint


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ("M 0 0 L 5 5", "no line of the path is closed"),
        ("M 0 0 L 5 5 5 6", "no line of the path is closed"),
        ("M 0 0 L 5", "the path cannot be read"),
        ("L 3 4", "the path cannot be read"),
        ("swan", "the path cannot be read"),
        ("M 0 0 H 1e999 V 3 Z", "the path leaves the page"),
        ("M 0 0 " + "L 1 1 2 0 " * 11_000 + "Z", "too long"),
    ],
)
def test_paths_that_cannot_be_cut_are_refused(data, message):
    with pytest.raises(ShapeError, match=message):
        flattened(data, "p")


def test_a_line_that_encloses_nothing_is_refused():
    with pytest.raises(ShapeError, match="encloses no area"):
        Outline.of("reed", np.array([(0, 0), (5, 0), (9, 0)], float))
