import numpy as np
import pytest
import shapely

from convert.drawing.marks import Stroke, arrow, ring, stroke_polygons
from convert.drawing.raster import SUPERSAMPLE, coverage
from convert.drawing.symbols import symbols

SHAPE = (30, 40)


def even_odd(polygons):
    """The area that polygons cover under the even-odd rule, by shapely."""
    area = shapely.Polygon()
    for polygon in polygons:
        area = area.symmetric_difference(shapely.Polygon(polygon))
    return area


@pytest.mark.parametrize("index", [0, 4, 12, 21, 35, 60])
def test_area_and_centre_are_those_shapely_finds(index):
    polygons = [np.array(polygon) * 22 + (20.3, 14.6) for polygon in symbols()[index]]
    cover, area = coverage(polygons, SHAPE), even_odd(polygons)
    rows, columns = np.indices(SHAPE) + 0.5
    # Edges lie up to a subpixel too far out.
    assert 0 <= cover.sum() - area.area <= area.length / SUPERSAMPLE
    assert (cover * columns).sum() / cover.sum() == pytest.approx(area.centroid.x, abs=1 / SUPERSAMPLE)
    assert (cover * rows).sum() / cover.sum() == pytest.approx(area.centroid.y, abs=1 / SUPERSAMPLE)


def test_what_lies_inside_is_covered_whole_and_what_lies_outside_not_at_all():
    cover = coverage([[(3, 2), (9, 2), (9, 7), (3, 7)]], SHAPE)
    assert cover[2:7, 3:9].min() == 1
    assert cover[:1].max() == cover[:, :2].max() == cover[8:].max() == cover[:, 10:].max() == 0


def test_nothing_covers_nothing():
    assert coverage([], SHAPE).max() == 0


@pytest.mark.parametrize(
    "stroke",
    [
        Stroke(((0.0, 0.0), (10.0, 0.0), (10.0, 5.0)), 0.5, (0, 0, 0), "rim"),
        ring((4.0, 5.0), 3.0, 0.4, (0, 0, 0), "rim"),
        arrow((0.0, 0.0), (3.0, 4.0), (0, 0, 0), "rim")[0],
    ],
    ids=["bent", "ring", "shaft"],
)
def test_strokes_are_the_buffers_of_their_lines(stroke):
    points = [*stroke.points, stroke.points[0]] if stroke.closed else stroke.points
    wanted = shapely.LineString(points).buffer(stroke.width_mm / 2, cap_style="flat", join_style="mitre")
    made = even_odd(stroke_polygons(stroke))
    assert made.symmetric_difference(wanted).area < 0.02 * wanted.area
