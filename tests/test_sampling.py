import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from convert.colour.srgb import decode
from convert.picture import Picture
from convert.sampling import polygon_means


def picture(pixels, alpha=None):
    return Picture("test", np.array(pixels, np.uint8), None if alpha is None else np.array(alpha, np.uint8))


def noise(seed, height=9, width=11, *, alpha=False):
    generator = np.random.default_rng(seed)
    pixels = generator.integers(0, 256, (height, width, 3))
    return picture(pixels, generator.integers(0, 256, (height, width)) if alpha else None)


def by_shapely(shown, polygon):
    """Area-weighted mean by an independent polygon library, pixel by pixel."""
    linear = decode(shown.pixels)
    height, width = linear.shape[:2]
    outline = Polygon(polygon)
    total, weight = np.zeros(3), 0.0
    for row in range(height):
        for column in range(width):
            area = outline.intersection(box(column, row, column + 1, row + 1)).area
            if shown.alpha is not None:
                area *= shown.alpha[row, column] / 255
            total += area * linear[row, column]
            weight += area
    return total / weight if weight > 1e-9 else None, weight / outline.area


def polygons_about(generator, count, corners, radii, low, high):
    out = []
    for _ in range(count):
        angles = np.sort(generator.uniform(0, 2 * np.pi, corners))
        centre, radius = generator.uniform(low, high, 2), generator.choice(radii)
        out.append(centre + radius * np.stack([np.cos(angles), np.sin(angles)], axis=1))
    return np.array(out)


@pytest.mark.parametrize("alpha", [False, True])
@pytest.mark.parametrize("corners", [3, 4, 6])
def test_agrees_with_shapely(corners, alpha):
    # Source of the reference: polygon areas by shapely (GEOS), which shares no code with the sampling.
    shown = noise(corners, alpha=alpha)
    polygons = polygons_about(np.random.default_rng(corners), 60, corners, [0.02, 0.4, 1.3, 4], -1, 11)
    means, coverage = polygon_means(shown, polygons)
    for polygon, mean, share in zip(polygons, means, coverage, strict=True):
        expected, expected_share = by_shapely(shown, polygon)
        assert share == pytest.approx(expected_share, abs=1e-6)
        if expected_share > 1e-3:
            np.testing.assert_allclose(mean, expected, atol=1e-6)


def test_level_and_upright_edges():
    shown = noise(3)
    squares = np.array(
        [[[2, 1], [5, 1], [5, 4], [2, 4]], [[0.25, 0.5], [0.75, 0.5], [0.75, 8.5], [0.25, 8.5]]], float
    )
    means, coverage = polygon_means(shown, squares)
    np.testing.assert_allclose(means[0], decode(shown.pixels[1:4, 2:5]).mean(axis=(0, 1)), atol=1e-12)
    np.testing.assert_allclose(means[1], by_shapely(shown, squares[1])[0], atol=1e-12)
    np.testing.assert_allclose(coverage, 1)


def test_direction_of_corners_does_not_matter():
    shown = noise(4)
    polygons = polygons_about(np.random.default_rng(4), 20, 4, [2], 2, 8)
    for forwards, backwards in zip(
        polygon_means(shown, polygons), polygon_means(shown, polygons[:, ::-1]), strict=True
    ):
        np.testing.assert_allclose(forwards, backwards, atol=1e-9)


def test_constant_picture_is_exact():
    shown = picture(np.full((40, 30, 3), (200, 100, 3)))
    means, coverage = polygon_means(
        shown, polygons_about(np.random.default_rng(1), 50, 4, [0.01, 1, 9], 10, 20)
    )
    np.testing.assert_allclose(
        means, np.broadcast_to(decode(np.array([200, 100, 3], np.uint8)), means.shape), atol=1e-9
    )
    np.testing.assert_allclose(coverage, 1, atol=1e-9)


@pytest.mark.parametrize("axis", [0, 1])
def test_linear_ramp_gives_the_value_at_the_centre(axis):
    # Rhombi that are symmetric about pixel borders: the mean of a ramp is its value at the centre.
    ramp = np.arange(60, dtype=np.uint8) * 4
    pixels = np.broadcast_to((ramp[:, None] if axis == 0 else ramp[None])[..., None], (60, 60, 3))
    linear = decode(ramp)
    centres = np.array([[10, 20], [30, 31], [44, 12]])
    rhombi = centres[:, None] + np.array([[0, -5], [4, 0], [0, 5], [-4, 0]])
    means, _ = polygon_means(picture(pixels), rhombi.astype(float))
    for centre, mean in zip(centres, means, strict=True):
        along = centre[1 - axis]
        steps = np.arange(-6, 6)
        # Width of the rhombus over each pixel of the ramp, by its own formula.
        half, across = (5, 4) if axis == 0 else (4, 5)
        at = np.abs(steps + 0.5)
        share = np.maximum(0, across * (1 - at / half))
        expected = (linear[along + steps] * share).sum() / share.sum()
        np.testing.assert_allclose(mean, expected, atol=1e-9)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(st.integers(1, 12), st.integers(1, 12), st.integers(1, 7), st.integers(0, 10**6))
def test_cells_that_tile_the_picture_add_up_to_it(height, width, parts, seed):
    shown = noise(seed, height, width)
    x, y = np.linspace(0, width, parts + 1), np.linspace(0, height, parts + 1)
    x0, y0 = np.meshgrid(x[:-1], y[:-1])
    x1, y1 = np.meshgrid(x[1:], y[1:])
    cells = np.stack(
        [np.stack(c, axis=-1).reshape(-1, 2) for c in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))], axis=1
    )
    means, coverage = polygon_means(shown, cells)
    np.testing.assert_allclose(coverage, 1, atol=1e-9)
    np.testing.assert_allclose(means.mean(axis=0), decode(shown.pixels).mean(axis=(0, 1)), atol=1e-9)


def test_outside_and_transparent_show_nothing():
    far = np.array([[[-9, -9], [-8, -9], [-8, -8], [-9, -8]], [[90, 2], [91, 2], [91, 3], [90, 3]]], float)
    for shown in (noise(1), noise(1, alpha=True)):
        means, coverage = polygon_means(shown, far)
        assert np.isnan(means).all()
        assert (coverage == 0).all()
    clear = picture(np.full((4, 4, 3), 9), np.zeros((4, 4)))
    means, coverage = polygon_means(clear, np.array([[[1, 1], [3, 1], [3, 3], [1, 3.0]]]))
    assert np.isnan(means).all()
    assert coverage == [0]


def test_transparent_pixels_do_not_tint():
    pixels = np.zeros((2, 2, 3))
    pixels[:, 0] = 255
    shown = picture(pixels, [[255, 0], [255, 0]])
    means, coverage = polygon_means(shown, np.array([[[0, 0], [2, 0], [2, 2], [0, 2.0]]]))
    np.testing.assert_allclose(means, 1)
    np.testing.assert_allclose(coverage, 0.5)


def test_blocks_do_not_change_the_result(monkeypatch):
    shown = noise(8, 50, 60)
    polygons = polygons_about(np.random.default_rng(8), 200, 4, [1, 3], 5, 45)
    whole = polygon_means(shown, polygons)
    monkeypatch.setattr("convert.sampling._BLOCK_PIXELS", 40)
    monkeypatch.setattr("convert.sampling._BLOCK_PIECES", 60)
    for one, other in zip(whole, polygon_means(shown, polygons), strict=True):
        np.testing.assert_allclose(one, other, atol=1e-9)


def test_no_cells():
    means, coverage = polygon_means(noise(1), np.empty((0, 4, 2)))
    assert means.shape == (0, 3)
    assert coverage.shape == (0,)
