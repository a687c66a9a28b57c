import math

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter
from skimage.color import deltaE_ciede2000

from convert.colour.lab import XYZ_OF_LINEAR, linear_to_lab
from convert.colour.scielab import FILTERS, OPPONENT_OF_XYZ, pixels_per_degree, scielab, seen


def picture(height, width, seed=0):
    return np.random.default_rng(seed).random((height, width, 3))


def test_spreads_agree_with_the_half_widths_of_the_authors_program():
    """The authors' program gives each Gaussian its width at half height, 2 s sqrt(ln 2) of exp(-x^2 / s^2).

    Its widths (in degrees) and those of the paper's table differ by up to 7%. Both are from memory.
    """
    widths = ((0.05, 0.225, 7.0), (0.0685, 0.826), (0.0920, 0.6451))
    weights = ((0.9207, 0.105, -0.1080), (0.5310, 0.33), (0.4877, 0.3711))
    for channel, gaussians in enumerate(FILTERS):
        for index, (weight, spread) in enumerate(gaussians):
            assert 2 * spread * math.sqrt(math.log(2)) == pytest.approx(widths[channel][index], rel=0.07)
            assert weight == pytest.approx(weights[channel][index], abs=5e-4)


def test_opponent_channels_are_those_of_the_authors():
    """Zhang and Wandell (1997) and the authors' program, which has more digits; both from memory.

    The paper prints the last number of red-green with a minus; their program has a plus.
    """
    printed = np.array([[0.279, 0.720, -0.107], [-0.449, 0.290, -0.077], [0.086, -0.590, 0.501]])
    program = np.array(
        [[278.7336, 721.8031, -106.5520], [-448.7736, 289.8056, 77.1569], [85.9513, -589.9859, 501.1089]]
    )
    np.testing.assert_array_equal(np.abs(OPPONENT_OF_XYZ), np.abs(printed))
    np.testing.assert_allclose(OPPONENT_OF_XYZ, program / 1000, atol=2e-3)


def test_red_green_is_what_l_and_m_cones_differ_by(colour_science):
    """X and Y say what Z must be, if S cones have no part: cones of Hunt, Pointer and Estevez."""
    cones = colour_science.adaptation.CHROMATIC_ADAPTATION_TRANSFORMS["Von Kries"][:2]
    weights = np.linalg.solve(cones[:, :2].T, OPPONENT_OF_XYZ[1, :2])
    assert weights[0] * weights[1] < 0
    assert OPPONENT_OF_XYZ[1, 2] == pytest.approx((weights @ cones)[2], abs=0.02)


def test_grey_has_luminance_and_hardly_any_colour():
    """The first channel is mainly luminance; equal-energy white lies near the zero of the two others."""
    light, red_green, blue_yellow = OPPONENT_OF_XYZ @ np.ones(3)
    assert light == pytest.approx(0.892)
    assert abs(red_green) < 0.1 * light
    assert abs(blue_yellow) < 0.01 * light


def test_an_even_patch_is_seen_as_it_is():
    linear = np.broadcast_to([0.2, 0.5, 0.1], (40, 50, 3))
    assert seen(linear, 30.0) == pytest.approx(
        np.broadcast_to(linear_to_lab([0.2, 0.5, 0.1]), (40, 50, 3)), abs=0.02
    )


def test_even_patches_differ_as_by_ciede2000():
    """Johnson, Fairchild (2003) put CIEDE2000 in the place of CIE 1976; by scikit-image's formula."""
    a, b = np.array([0.2, 0.5, 0.1]), np.array([0.25, 0.45, 0.2])
    expected = deltaE_ciede2000(linear_to_lab(a), linear_to_lab(b))
    difference = scielab(np.broadcast_to(a, (30, 30, 3)), np.broadcast_to(b, (30, 30, 3)), 25.0)
    assert difference == pytest.approx(np.full((30, 30), expected), abs=0.02)


def test_alike_pictures_do_not_differ():
    assert scielab(picture(20, 30), picture(20, 30), 10.0).max() == 0


@pytest.mark.parametrize("per_degree", [40.0, 120.0])
def test_blur_is_that_of_sampled_gaussians(per_degree):
    """scipy's convolution with the same sum of Gaussians; exp(-x^2 / s^2) has a deviation of s / sqrt 2."""
    linear = 0.3 + 0.4 * picture(90, 70)
    opponent = linear @ XYZ_OF_LINEAR.T @ OPPONENT_OF_XYZ.T
    blurred = np.zeros_like(opponent)
    for channel, gaussians in enumerate(FILTERS):
        total = sum(weight for weight, _ in gaussians)
        for weight, spread in gaussians:
            sigma = spread / math.sqrt(2) * per_degree
            part = gaussian_filter(opponent[..., channel], sigma, mode="reflect", truncate=5)
            blurred[..., channel] += weight / total * part
    expected = linear_to_lab(blurred @ np.linalg.inv(OPPONENT_OF_XYZ @ XYZ_OF_LINEAR).T)
    # Sampling a Gaussian of 0.8 pixel, the narrowest here, is itself off by this much.
    assert seen(linear, per_degree) == pytest.approx(expected, abs=0.6)


def test_a_fine_pattern_fades_with_distance():
    rows, columns = np.mgrid[:64, :64]
    board = np.repeat(((rows + columns) % 2)[..., None], 3, axis=2) * 0.6 + 0.2
    flat = np.full_like(board, 0.5)
    differences = [
        scielab(board, flat, pixels_per_degree(0.5, distance_mm)).mean() for distance_mm in (200, 1000, 4000)
    ]
    assert differences[0] > 2 * differences[1] > 4 * differences[2]
    assert differences[2] < 0.1


def test_colour_blurs_more_than_light():
    """The eye resolves stripes of light finer than stripes of colour (the reason for S-CIELAB)."""
    stripe = np.sin(2 * np.pi * np.arange(120) / 6)[None, :, None] * np.ones((120, 1, 1))
    grey = np.full((120, 120, 3), 0.4)
    light = grey + 0.1 * stripe
    # Equal luminance: what is added in red is taken from green.
    luminance = XYZ_OF_LINEAR[1]
    colour = grey + 0.1 * stripe * np.array([1, -luminance[0] / luminance[1], 0])

    def share_left(striped):
        plain = np.linalg.norm(linear_to_lab(striped) - linear_to_lab(grey), axis=-1).mean()
        return scielab(striped, grey, 60.0).mean() / plain

    assert share_left(colour) < 0.8 * share_left(light)


def test_pixels_per_degree():
    """One degree at 1 m spans 17.455 mm."""
    assert pixels_per_degree(0.5, 1000) == pytest.approx(34.910, abs=1e-3)
