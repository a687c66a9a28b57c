"""Rendered photographs of known colours: heaps are found, and their colours are those that were rendered.

The 200 photographs of the full check are those of ``tests/bench/bench_shelf.py``; here are a few, of few
pixels.
"""

import numpy as np
import pytest

from tests.shelf.trial import trial

PHOTOGRAPHS = 10
DOTS = 3.2


@pytest.mark.parametrize(("card", "middle", "most"), [(True, 3.0, 7.0), (False, 5.0, 10.0)])
def test_heaps_are_found_and_colours_are_near(colour_science, card, middle, most):
    trials = [trial(colour_science, number, card=card, dots=DOTS) for number in range(PHOTOGRAPHS)]
    assert sum(one.found for one in trials) >= PHOTOGRAPHS - 1
    assert all(one.in_order for one in trials if one.found)
    differences = np.concatenate([one.differences for one in trials])
    assert len(differences) > 15 * PHOTOGRAPHS
    assert np.median(differences) <= middle
    assert np.percentile(differences, 95) <= most
