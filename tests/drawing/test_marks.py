import numpy as np
import pytest
from shapely.geometry import LinearRing, LineString, Polygon

from convert.drawing.marks import Stroke, arrow, ring, scale_bar, stroke_polygons
from convert.drawing.style import INK, STRONG_MM


@pytest.mark.parametrize("size", [0.5, 1.0])
def test_an_arrow_ends_in_its_tip_and_is_alike_at_every_size(size):
    start, tip = np.array([10.0, 20.0]), np.array([10.0, 20.0]) + size * np.array([3.0, 4.0])
    shaft, head = arrow(tuple(start), tuple(tip), INK, "rim", size)
    along, across = np.array([0.6, 0.8]), np.array([-0.8, 0.6])
    assert head.points[0] == pytest.approx(tip)
    neck = np.mean(head.points[1:], axis=0)
    assert neck == pytest.approx(tip - 1.5 * size * along)
    sides = sorted(((np.array(head.points[1:]) - neck) @ across).tolist())
    assert sides == pytest.approx([-0.62 * size, 0.62 * size])
    assert np.array(shaft.points) == pytest.approx(np.stack([start, neck]))
    assert (shaft.width_mm, head.width_mm) == (STRONG_MM * size, 0)


def test_a_ring_is_round():
    made = ring((3.0, 4.0), 2.0, 0.3, INK, "legend")
    assert made.closed
    assert np.linalg.norm(np.array(made.points) - (3, 4), axis=1) == pytest.approx(np.full(48, 2.0))
    outer, inner = (Polygon(polygon).area for polygon in stroke_polygons(made))
    assert abs(outer - inner) == pytest.approx(2 * np.pi * 2 * 0.3, rel=0.01)


def test_a_scale_bar_is_as_long_as_between_its_ticks():
    bar, *ticks = scale_bar(5.0, 7.0, 40.0, "legend")
    assert bar.points == ((5.0, 7.0), (45.0, 7.0))
    assert [tick.points for tick in ticks] == [((x, 5.9), (x, 8.1)) for x in (5.0, 45.0)]


@pytest.mark.parametrize("closed", [False, True])
def test_what_a_line_covers_is_what_shapely_makes_of_it(closed):
    points = ((0.0, 0.0), (10.0, 0.0), (12.0, 7.0), (3.0, 9.0))
    polygons = stroke_polygons(Stroke(points, 0.8, INK, "rim", closed))
    line = LinearRing(points) if closed else LineString(points)
    expected = line.buffer(0.4, cap_style="flat", join_style="mitre", mitre_limit=20)
    made = Polygon(polygons[0])
    if closed:
        made = made.symmetric_difference(Polygon(polygons[1]))
    assert made.symmetric_difference(expected).area < 1e-6
