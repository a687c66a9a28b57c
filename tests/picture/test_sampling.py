"""The mean colour over polygons, beside shapely's areas of polygon and pixel and beside integrals by hand."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from skimage import data

from convert.colour.srgb import decode
from convert.picture.model import Picture
from convert.picture.sampling import polygon_means


def noise(height, width, seed=0, *, alpha=False):
    draw = np.random.default_rng(seed)
    pixels = draw.integers(0, 256, (height, width, 3), dtype=np.uint8)
    return Picture("noise", pixels, draw.integers(0, 256, (height, width), dtype=np.uint8) if alpha else None)


def even(height, width, colour, alpha=None):
    return Picture("even", np.full((height, width, 3), colour, np.uint8), alpha)


def ring(centres, corners, radius, turn=0.0):
    """Regular polygons, clockwise on the page, of shape (N, corners, 2)."""
    angles = turn + np.arange(corners) * 2 * np.pi / corners
    unit = np.stack([np.cos(angles), np.sin(angles)], axis=-1)
    return np.asarray(centres, float)[:, None] + radius * unit


def rectangles(*boxes):
    left, top, right, bottom = np.array(boxes, float).T
    x, y = np.stack([left, right, right, left], axis=1), np.stack([top, top, bottom, bottom], axis=1)
    return np.stack([x, y], axis=-1)


def by_shapely(picture, polygons):
    """The same by the area of the common part of polygon and each pixel near it."""
    height, width = picture.pixels.shape[:2]
    linear = decode(picture.pixels)
    opacity = np.ones((height, width)) if picture.alpha is None else picture.alpha / 255
    means, coverage = np.full((len(polygons), 3), np.nan), np.zeros(len(polygons))
    for number, corners in enumerate(polygons):
        low = np.clip(np.floor(corners.min(axis=0)), 0, (width, height)).astype(int)
        high = np.clip(np.ceil(corners.max(axis=0)), 0, (width, height)).astype(int)
        x, y = (values.ravel() for values in np.meshgrid(*map(np.arange, low, high)))
        if not len(x):
            continue
        # shapely's own coordinates start at a corner of the polygon, for the sake of very small ones.
        origin = corners[0]
        shape = shapely.Polygon(corners - origin)
        pixels = shapely.box(x - origin[0], y - origin[1], x + 1 - origin[0], y + 1 - origin[1])
        weight = shapely.area(shapely.intersection(pixels, shape)) * opacity[y, x]
        coverage[number] = weight.sum() / shape.area
        if weight.sum() > 0:
            means[number] = weight @ linear[y, x] / weight.sum()
    return means, coverage


def assert_like_shapely(picture, polygons, *, rtol=1e-9):
    means, coverage = polygon_means(picture, polygons)
    expected, expected_coverage = by_shapely(picture, polygons)
    np.testing.assert_allclose(coverage, expected_coverage, atol=rtol)
    clear = expected_coverage > 1e-6
    np.testing.assert_allclose(means[clear], expected[clear], atol=rtol / 1e-3)
    solid = expected_coverage > 0.01
    np.testing.assert_allclose(means[solid], expected[solid], atol=rtol)


@pytest.mark.parametrize("alpha", [False, True], ids=["opaque", "alpha"])
@pytest.mark.parametrize("corners", [3, 4, 6])
@pytest.mark.parametrize("radius", [0.01, 0.4, 3, 25])
def test_means_are_those_of_shapely(corners, radius, alpha):
    picture = noise(30, 45, alpha=alpha)
    centres = np.random.default_rng(corners).uniform((-3, -3), (48, 33), (60, 2))
    assert_like_shapely(
        picture, ring(centres, corners, radius, turn=0.3), rtol=1e-9 if radius > 0.1 else 1e-8
    )


@settings(deadline=None, max_examples=60, derandomize=True)
@given(
    st.tuples(st.integers(1, 9), st.integers(1, 9)),
    st.tuples(st.floats(-2, 11), st.floats(-2, 11)),
    st.floats(0.05, 12),
    st.floats(0.05, 12),
    st.floats(0, np.pi),
)
def test_any_rhombus_over_a_small_picture(shape, centre, long, short, turn):
    corners = np.array([[long, 0], [0, short], [-long, 0], [0, -short]])
    turned = corners @ [[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]
    assert_like_shapely(noise(*shape), (turned + centre)[None], rtol=1e-8)


@pytest.mark.parametrize("shape", [(1, 1), (1, 40), (40, 1)], ids=["1x1", "1xN", "Nx1"])
def test_thin_pictures(shape):
    centres = np.random.default_rng(2).uniform(-1, 41, (80, 2)) % (shape[1] + 1, shape[0] + 1)
    assert_like_shapely(noise(*shape), ring(centres, 6, 0.7))


@pytest.mark.parametrize("side", [1.0, 0.1, 1e-3], ids=str)
def test_small_cells_far_from_the_origin(side):
    picture = noise(4000, 3, seed=3)
    centres = np.random.default_rng(4).uniform((0, 3990), (3, 4000), (50, 2))
    assert_like_shapely(picture, ring(centres, 4, side, turn=0.1), rtol=1e-7)


def test_cell_inside_one_pixel_has_its_colour_exactly():
    picture = noise(5, 7)
    means, coverage = polygon_means(picture, ring([(3.5, 2.5), (6.2, 4.9)], 6, 1e-2))
    np.testing.assert_allclose(means, decode(picture.pixels)[[2, 4], [3, 6]], atol=1e-12)
    np.testing.assert_allclose(coverage, 1, atol=1e-12)


def test_whole_pixels_are_plain_means():
    picture = noise(20, 30)
    boxes = [(0, 0, 30, 20), (3, 4, 5, 9), (29, 19, 30, 20), (0, 0, 1, 1)]
    means, coverage = polygon_means(picture, rectangles(*boxes))
    linear = decode(picture.pixels)
    expected = [linear[top:bottom, left:right].mean(axis=(0, 1)) for left, top, right, bottom in boxes]
    np.testing.assert_allclose(means, expected, atol=1e-13)
    np.testing.assert_allclose(coverage, 1, atol=1e-13)


def test_mean_is_taken_in_linear_light():
    picture = Picture("two", np.array([[[0, 0, 0], [255, 255, 255]]], np.uint8))
    means, _ = polygon_means(picture, rectangles((0, 0, 2, 1), (0.5, 0, 2, 1)))
    np.testing.assert_allclose(means, [[1 / 2] * 3, [2 / 3] * 3], atol=1e-15)


def test_even_picture_has_one_colour_everywhere():
    picture = even(200, 300, (10, 128, 250))
    centres = np.random.default_rng(5).uniform((0, 0), (300, 200), (500, 2))
    means, _ = polygon_means(picture, ring(centres, 4, 6))
    np.testing.assert_allclose(means, np.broadcast_to(decode(picture.pixels[0, 0]), means.shape), atol=1e-12)


def test_rounding_makes_nothing_whiter_than_white_or_blacker_than_black():
    """Small cells far down, where what is above them is summed as well, in white or in black."""
    pixels = noise(4000, 3, seed=3).pixels.copy()
    pixels[3990:] = (255, 0, 255)
    centres = np.random.default_rng(12).uniform((0.1, 3992), (2.9, 3999), (500, 2))
    cells = ring(np.concatenate([[[1.5, 1]], centres]), 4, 1e-3, turn=0.1)
    means, coverage = polygon_means(Picture("far down", pixels), cells)
    assert (means.min(), means.max()) == (0, 1)
    assert coverage.max() == 1
    np.testing.assert_allclose(means[1:], [[1, 0, 1]] * 500, atol=1e-4)


@pytest.mark.parametrize("across", [True, False], ids=["across", "down"])
def test_step_is_split_by_area(across):
    """A triangle over an edge between black and white: the white share follows from similar triangles."""
    pixels = np.zeros((20, 20, 3), np.uint8)
    pixels[:, 10:] = 255
    corners = np.array([[4.0, 3], [16, 3], [4, 15]])
    if not across:
        pixels, corners = pixels.swapaxes(0, 1).copy(), corners[:, ::-1]
    means, coverage = polygon_means(Picture("step", pixels), corners[None])
    # Legs of 12, of which the step cuts off a triangle with legs of 6.
    np.testing.assert_allclose(means, 1 / 4, atol=1e-14)
    np.testing.assert_allclose(coverage, 1, atol=1e-14)


def test_corners_may_run_either_way_and_start_anywhere():
    picture, polygons = noise(30, 30, alpha=True), ring([(14.3, 11.8), (29, 3)], 6, 5)
    means, coverage = polygon_means(picture, polygons)
    for other in (polygons[:, ::-1], np.roll(polygons, 2, axis=1)):
        again, again_coverage = polygon_means(picture, other)
        np.testing.assert_allclose(again, means, atol=1e-12)
        np.testing.assert_allclose(again_coverage, coverage, atol=1e-12)


def test_outside_counts_neither_for_the_mean_nor_as_coverage():
    picture = even(10, 10, (200, 100, 50))
    boxes = [(-5, 2, 5, 4), (5, 2, 15, 4), (2, -5, 4, 5), (2, 5, 4, 15), (-10, -10, 20, 20)]
    away = [(-9, 2, -1, 4), (10, 2, 15, 4), (2, -9, 4, 0), (2, 10, 4, 90), (1e9, 0, 1e9 + 1, 1)]
    means, coverage = polygon_means(picture, rectangles(*boxes, *away))
    colour = np.broadcast_to(decode(picture.pixels[0, 0]), (5, 3))
    np.testing.assert_allclose(means[:5], colour, atol=1e-12)
    np.testing.assert_allclose(coverage[:5], [1 / 2, 1 / 2, 1 / 2, 1 / 2, 1 / 9], atol=1e-12)
    assert np.isnan(means[5:]).all()
    assert (coverage[5:] == 0).all()


def test_transparent_pixels_do_not_count():
    pixels = np.zeros((4, 4, 3), np.uint8)
    pixels[:, :2] = 255
    alpha = np.zeros((4, 4), np.uint8)
    alpha[:, 0] = 255
    alpha[:, 2] = 51  # a fifth
    means, coverage = polygon_means(
        Picture("alpha", pixels, alpha), rectangles((0, 0, 4, 4), (0, 0, 2, 4), (1, 0, 2, 4), (2, 0, 4, 4))
    )
    np.testing.assert_allclose(coverage, [1.2 / 4, 1 / 2, 0, 1 / 10], atol=1e-15)
    np.testing.assert_allclose(means[[0, 1, 3]], [[1 / 1.2] * 3, [1] * 3, [0] * 3], atol=1e-14)
    assert np.isnan(means[2]).all()


def test_opaque_alpha_changes_nothing():
    bare = noise(40, 50)
    covered = Picture("noise", bare.pixels.copy(), np.full((40, 50), 255, np.uint8))
    polygons = ring(np.random.default_rng(6).uniform(-5, 55, (200, 2)), 6, 4)
    for one, other in zip(polygon_means(bare, polygons), polygon_means(covered, polygons), strict=True):
        np.testing.assert_allclose(one, other, atol=1e-12)


@pytest.mark.parametrize(("rows", "columns"), [(3, 4), (40, 55), (300, 400)])
def test_cells_that_tile_the_picture_add_up_to_it(rows, columns):
    """Rhombi of a honeycomb's edges, taken up to the border and beyond."""
    picture = Picture("coffee", np.ascontiguousarray(data.coffee()))
    height, width = picture.pixels.shape[:2]
    step_x, step_y = width / columns, height / rows
    x, y = np.meshgrid(np.arange(-1, columns + 2), np.arange(-1, 2 * rows + 2))
    centres = np.stack([(x + (y % 2) / 2) * step_x, y * step_y / 2], axis=-1).reshape(-1, 1, 2)
    half = np.array([[step_x / 2, 0], [0, step_y / 2], [-step_x / 2, 0], [0, -step_y / 2]])
    means, coverage = polygon_means(picture, centres + half)
    area = coverage * step_x * step_y / 2
    assert area.sum() == pytest.approx(height * width, rel=1e-11)
    seen = coverage > 0
    np.testing.assert_allclose(
        area[seen] @ means[seen] / area.sum(), decode(picture.pixels).mean(axis=(0, 1)), rtol=1e-10
    )


def test_photograph_beside_shapely():
    picture = Picture("astronaut", np.ascontiguousarray(data.astronaut()))
    centres = np.random.default_rng(7).uniform(-5, 517, (40, 2))
    assert_like_shapely(picture, ring(centres, 6, 17, turn=0.2))


def test_order_of_the_cells_does_not_matter():
    picture = noise(300, 400)
    draw = np.random.default_rng(8)
    polygons = ring(draw.uniform((0, 0), (400, 300), (30_000, 2)), 4, 2.5)
    order = draw.permutation(len(polygons))
    means, coverage = polygon_means(picture, polygons)
    mixed, mixed_coverage = polygon_means(picture, polygons[order])
    np.testing.assert_allclose(mixed, means[order], atol=1e-11)
    np.testing.assert_allclose(mixed_coverage, coverage[order], atol=1e-11)


def test_one_call_or_many_give_the_same_bytes_each_time():
    picture, polygons = noise(100, 100), ring(np.random.default_rng(9).uniform(0, 100, (20_000, 2)), 4, 3)
    first, again = polygon_means(picture, polygons), polygon_means(picture, polygons)
    assert [values.tobytes() for values in first] == [values.tobytes() for values in again]


def test_no_polygons_and_polygons_without_area():
    picture = noise(5, 5)
    means, coverage = polygon_means(picture, np.empty((0, 4, 2)))
    assert means.shape == (0, 3)
    assert coverage.shape == (0,)
    means, coverage = polygon_means(picture, np.array([[[1.0, 1], [3, 1], [1, 1]], [[2.0, 2]] * 3]))
    assert np.isnan(means).all()
    assert (coverage == 0).all()


@pytest.mark.parametrize("across", [True, False], ids=["across", "down"])
def test_ramp_is_weighted_by_the_width_of_the_rhombus(across):
    ramp = np.arange(60, dtype=np.uint8) * 4
    linear = decode(ramp)
    pixels = np.broadcast_to((ramp[None] if across else ramp[:, None])[..., None], (60, 60, 3))
    half = np.array([5, 4] if across else [4, 5])
    centres = np.array([[10, 20], [30, 31], [44, 12]])
    rhombi = centres[:, None] + np.array([[0, -1], [1, 0], [0, 1], [-1, 0]]) * half
    means, _ = polygon_means(Picture("ramp", pixels.copy()), rhombi.astype(float))
    along = 0 if across else 1
    steps = np.arange(-half[along], half[along])
    # Width of the rhombus over the middle of each pixel, by its own formula; it is linear there.
    share = 1 - np.abs(steps + 0.5) / half[along]
    expected = [(linear[centre[along] + steps] * share).sum() / share.sum() for centre in centres]
    np.testing.assert_allclose(means, np.repeat(np.array(expected)[:, None], 3, axis=1), atol=1e-13)


@pytest.mark.parametrize("alpha", [False, True], ids=["opaque", "alpha"])
def test_blocks_do_not_change_the_result(monkeypatch, alpha):
    picture = noise(50, 60, alpha=alpha)
    polygons = ring(np.random.default_rng(10).uniform(-5, 60, (200, 2)), 4, 3, turn=0.4)
    whole = polygon_means(picture, polygons)
    monkeypatch.setattr("convert.picture.sampling._BLOCK_PIXELS", 40)
    monkeypatch.setattr("convert.picture.sampling._BLOCK_PIECES", 60)
    for one, other in zip(whole, polygon_means(picture, polygons), strict=True):
        np.testing.assert_allclose(one, other, atol=1e-10)


def test_fully_transparent_picture_shows_nothing():
    picture = even(4, 4, 9, np.zeros((4, 4), np.uint8))
    means, coverage = polygon_means(picture, rectangles((1, 1, 3, 3), (-1, -1, 9, 9)))
    assert np.isnan(means).all()
    assert (coverage == 0).all()
