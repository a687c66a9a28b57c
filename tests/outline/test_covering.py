"""Shares of loops under an outline, against shapely."""

import math

import numpy as np
import pytest
import shapely

from convert.outline.covering import shares
from convert.outline.drawn import DRAWN
from convert.outline.outline import outline_named


def hexagons(centres, pitch, turned):
    angles = turned + np.pi / 6 + np.arange(6) * np.pi / 3
    ring = pitch / math.sqrt(3) * np.stack([np.cos(angles), np.sin(angles)], axis=-1)
    return shapely.polygons(centres[:, None] + ring)


@pytest.mark.parametrize("turned", [0.0, np.pi / 6, 0.3])
@pytest.mark.parametrize("name", DRAWN)
def test_shares_are_those_that_shapely_finds(name, turned):
    line = outline_named(name).points * 30
    centres = np.random.default_rng(3).uniform(-4, 34, (400, 2))
    cells = hexagons(centres, 3.7, turned)
    expected = shapely.area(shapely.intersection(cells, shapely.Polygon(line))) / shapely.area(cells)
    found = shares(centres, 3.7, turned, line)
    np.testing.assert_allclose(found, expected, atol=1e-12)
    # Backwards it is the same outline.
    np.testing.assert_allclose(shares(centres, 3.7, turned, line[::-1]), found, atol=1e-12)
    assert (found < 0.01).sum() > 20
    assert (found > 0.99).sum() > 5


def test_an_edge_through_the_centre_halves_a_loop():
    square = np.array([(0, -9), (9, -9), (9, 9), (0, 9)], float)
    assert shares(np.zeros((1, 2)), 2.0, 0.0, square) == pytest.approx(0.5, abs=1e-12)
    wedge = np.array([(0, 0), (9, -9), (9, 9)], float)
    assert shares(np.zeros((1, 2)), 2.0, 0.0, wedge) == pytest.approx(
        shapely.intersection(hexagons(np.zeros((1, 2)), 2.0, 0.0)[0], shapely.Polygon(wedge)).area
        / (2 * math.sqrt(3))
    )


def test_many_loops_go_in_parts():
    line = outline_named("leaf").points
    centres = np.random.default_rng(5).uniform(0, 1, (9_000, 2))
    whole = shares(centres, 0.05, 0.0, line)
    np.testing.assert_array_equal(whole[8_990:], shares(centres[8_990:], 0.05, 0.0, line))
