"""The colour of a heap is that of the lit faces of its beads."""

import numpy as np
import pytest

from convert.shelf.colours import heap_colours
from convert.shelf.light import by_paper
from tests.shelf.flat import found_of, paper

SIDE = 81


def heap(inner, rim):
    """Return light and labels of a square heap: levels in turn in its inner part, one level in its rim."""
    flat, labels = paper((100, 200)), np.zeros((100, 200), int)
    place = np.s_[10 : 10 + SIDE, 60 : 60 + SIDE]
    labels[place] = 1
    flat[place] = rim
    # Depth grows from 1 at the edge to 41 in the middle: a quarter of it is reached at the eleventh pixel.
    core = np.s_[20 : 10 + SIDE - 10, 70 : 60 + SIDE - 10]
    flat[core] = np.resize(np.asarray(inner, np.float32), flat[core].shape[:2])[..., None]
    return flat, labels


def test_rim_gaps_shades_and_glints_do_not_count(colour_science):
    """From the darkest: 30 % gaps, to 70 % shaded, to 88 % lit, glints; the colour is that of the lit."""
    levels = np.linspace(0.05, 0.9, 101)
    flat, labels = heap(levels, rim=0.01)
    labs, spreads = heap_colours(flat, found_of(labels), by_paper())
    beads = np.stack([by_paper().lab(np.full((1, 3), level, np.float32))[0] for level in levels])
    colour = beads[70:89].mean(axis=0)
    assert labs == pytest.approx(colour[None], abs=0.1)
    # Of all but gaps and glints, darker and lighter, two thirds lie within the spread; so many in each step.
    differences = colour_science.delta_E(beads[30:89], colour, method="CIE 2000")
    assert spreads == pytest.approx([np.quantile(differences, 0.68)], rel=0.03)


def test_heaps_keep_their_order():
    flat, labels = paper((60, 120)), np.zeros((60, 120), int)
    for number, (left, colour) in enumerate([(10, (0.5, 0.1, 0.1)), (70, (0.1, 0.1, 0.5))], start=1):
        flat[10:50, left : left + 40], labels[10:50, left : left + 40] = colour, number
    labs, spreads = heap_colours(flat, found_of(labels), by_paper())
    assert labs == pytest.approx(by_paper().lab(np.array([(0.5, 0.1, 0.1), (0.1, 0.1, 0.5)], np.float32)))
    assert spreads == pytest.approx([0, 0], abs=1e-6)
