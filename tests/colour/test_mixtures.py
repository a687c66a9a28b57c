import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from convert.colour.lab import linear_to_lab
from convert.colour.mixtures import best_mixtures


def test_of_two_mixtures_alike_the_less_speckled_is_taken():
    """A little white or much of a near grey give the same light; few white beads stand out."""
    wanted, first = np.full((1, 3), 0.22), np.full((1, 3), 0.2)
    # The near grey has a tinge, so that the white one is even a little nearer.
    palette = np.array([[1.0, 1.0, 1.0], [0.25, 0.25, 0.2502], [0.2, 0.2, 0.2]])
    second, share = best_mixtures(wanted, first, palette)
    assert second.tolist() == [1]
    assert share[0] == pytest.approx(0.4, abs=0.01)


def test_a_mixture_of_two_is_found_again():
    draw = np.random.default_rng(3)
    palette = draw.random((12, 3))
    parts = draw.uniform(0.2, 0.8, 12)
    first, other = palette, np.roll(palette, 1, axis=0)
    wanted = first + parts[:, None] * (other - first)
    # Of two entries only the other one is left to mix with.
    for a, b, light, part in zip(first, other, wanted, parts, strict=True):
        second, share = best_mixtures(light[None], a[None], np.stack([a, b]))
        assert second.tolist() == [1]
        assert share[0] == pytest.approx(part)


def steps_of_lab(linear):
    """Colours on axes where a small step from a grey of 0.2 has the length it has in CIELAB."""
    grey = np.full(3, 0.2)
    slope = (linear_to_lab(grey + 1e-7 * np.eye(3)) - linear_to_lab(grey - 1e-7 * np.eye(3))) / 2e-7
    return linear @ slope


def best_share(wanted, a, b):
    """The share of b in the mixture nearest to a colour, found by scipy, and how far off that mixture is."""
    found = minimize_scalar(
        lambda t: np.sum((wanted - a - t * (b - a)) ** 2),
        bounds=(0, 1),
        method="bounded",
        options={"xatol": 1e-9},
    )
    return found.x, found.fun


def test_second_and_share_are_those_of_scipy():
    """scipy finds the best share of each entry; the best entry is then that of the cost as documented."""
    draw = np.random.default_rng(4)
    palette, wanted = draw.random((9, 3)), draw.random((40, 3))
    nearest = np.linalg.norm(wanted[:, None] - palette, axis=2).argmin(axis=1)
    second, share = best_mixtures(wanted, palette[nearest], palette)
    steps = steps_of_lab(palette)
    compared = 0
    for light, own, found, part in zip(steps_of_lab(wanted), nearest, second, share, strict=True):
        costs, parts = np.full(len(palette), np.inf), np.zeros(len(palette))
        for entry in set(range(len(palette))) - {own}:
            parts[entry], off = best_share(light, steps[own], steps[entry])
            if parts[entry] > 1e-6:
                # Four fifths of the square of how far the beads stand out from the mixture.
                spread = parts[entry] * (1 - parts[entry]) * (steps[entry] - steps[own])
                costs[entry] = off + 0.8 * np.sum(spread**2)
        if np.isfinite(costs).any():
            compared += 1
            assert found == costs.argmin()
            assert part == pytest.approx(parts[found], abs=1e-5)
    assert compared > 30


def test_many_colours_come_out_as_one_by_one():
    """More pairs than are reckoned at a time."""
    draw = np.random.default_rng(5)
    palette = draw.random((40, 3))
    wanted, first = draw.random((2000, 3)), palette[draw.integers(0, 40, 2000)]
    second, share = best_mixtures(wanted, first, palette)
    for one in range(0, 2000, 97):
        alone = best_mixtures(wanted[[one]], first[[one]], palette)
        assert second[one] == alone[0][0]
        assert share[one] == pytest.approx(alone[1][0])


def test_lightness_weighs_as_usual_unless_told_otherwise():
    draw = np.random.default_rng(12)
    wanted, first, palette = draw.random((500, 3)), draw.random((500, 3)), draw.random((40, 3))
    plain, usual, heavy = (best_mixtures(wanted, first, palette, *weight) for weight in ((), (1.0,), (1.1,)))
    assert (plain[1] == usual[1]).all()
    assert (plain[1] != heavy[1]).any()
