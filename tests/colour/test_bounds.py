import numpy as np
import pytest

from convert.colour.bounds import lower_bound
from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import lab_to_lch


def boxes(draw, count):
    """Boxes meant to be awkward: over one and two axes, over the seam, round grey, wide and thin."""
    half = draw.choice([0.001, 0.05, 0.3, 0.8, 1.2, 1.6, 2.4, np.pi], count) * draw.random(count)
    centre = draw.uniform(-np.pi, np.pi, count)
    on_axis = draw.random(count) < 0.3
    centre[on_axis] = np.rint(centre[on_axis] / (np.pi / 2)) * (np.pi / 2)
    chroma = np.sort(draw.choice([2, 20, 130], count) * draw.random((2, count)), axis=0)
    lightness = draw.uniform(0, 100, count) + draw.choice([0.5, 5, 50], count) * draw.uniform(
        -1, 1, (2, count)
    )
    lightness = np.sort(np.clip(lightness, 0, 100), axis=0)
    return np.stack([lightness.T, chroma.T, np.stack([centre - half, centre + half], axis=-1)], axis=1)


def colours(draw, box):
    """One colour for each box: anywhere, at a like hue, or opposite, half of them at the box's lightness."""
    count = len(box)
    hue = draw.uniform(-np.pi, np.pi, count)
    middle = box[:, 2].mean(axis=1)
    like, opposite = draw.random((2, count)) < 0.3
    hue[like] = middle[like] + draw.uniform(-2, 2, like.sum())
    hue[opposite] = middle[opposite] + np.pi + draw.uniform(-0.3, 0.3, opposite.sum())
    chroma = draw.choice([1, 10, 40, 130], count) * draw.random(count)
    lightness = np.where(draw.random(count) < 0.5, draw.uniform(0, 100, count), box[:, 0].mean(axis=1))
    return np.stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)], axis=-1)


def inside(draw, box, count):
    """Colours (count, boxes, 3) of each box, many of them on its faces, edges and corners."""
    place = draw.random((count, len(box), 3))
    place = np.where(draw.random(place.shape) < 0.4, np.rint(place), place)
    lightness, chroma, hue = np.moveaxis(box[..., 0] + (box[..., 1] - box[..., 0]) * place, -1, 0)
    return np.stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)], axis=-1)


@pytest.mark.parametrize(("seed", "lightness"), [(0, 1), (1, 1), (2, 1), (3, 0.4), (4, 1.5), (5, 4)])
def test_no_colour_of_a_box_comes_below_its_bound(seed, lightness):
    draw = np.random.default_rng(seed)
    box = boxes(draw, 20_000)
    colour = colours(draw, box)
    least = ciede2000(inside(draw, box, 48), colour, lightness).min(axis=0)
    bound = lower_bound(box, lab_to_lch(colour), lightness)
    assert (bound - least).max() < 0
    # A bound of nothing at all would pass too: it must also rule out. Half of these come within 15%.
    assert np.median(bound / least) > 0.85


@pytest.mark.parametrize("most", [10, 25, 90])
def test_a_box_of_one_colour_is_bounded_by_its_difference(most):
    draw = np.random.default_rng(9)
    one = np.stack([draw.uniform(0, 100, 2000), *draw.uniform(-most, most, (2, 2000))], axis=-1)
    other = one + draw.normal(0, 4, one.shape)
    lch = lab_to_lch(one)
    bound = lower_bound(np.stack([lch, lch], axis=-1), lab_to_lch(other))
    difference = ciede2000(one, other)
    assert (bound <= difference).all()
    # All that is lost is that R_T is taken as 0 or at its largest sense.
    assert np.median(difference - bound) < 1e-6


def test_bounds_are_as_tight_as_they_were():
    """A looser one is as true, but rules out less: what the search saves by it is lost unseen."""
    draw = np.random.default_rng(7)
    box = boxes(draw, 20_000)
    lch = lab_to_lch(colours(draw, box))
    assert lower_bound(box, lch).mean() == pytest.approx(20.5882973, rel=1e-6)
    assert lower_bound(box, lch, 2.5).mean() == pytest.approx(38.3057137, rel=1e-6)
