import numpy as np
import pytest

from convert.colour.deficiency import DEFICIENCIES, seen_with
from convert.colour.lab import srgb_to_lab
from convert.colour.srgb import decode, encode_to_bytes

COLOUR_SCIENCE = {"protanopia": "Protanomaly", "deuteranopia": "Deuteranomaly", "tritanopia": "Tritanomaly"}


@pytest.mark.parametrize("name", list(DEFICIENCIES))
def test_matrices_are_those_of_colour_science(colour_science, name):
    theirs = colour_science.blindness.CVD_MATRICES_MACHADO2010[COLOUR_SCIENCE[name]][1.0]
    assert DEFICIENCIES[name] == pytest.approx(np.asarray(theirs), abs=1e-12)


@pytest.mark.parametrize("name", list(DEFICIENCIES))
def test_nobody_can_change_the_matrices(name):
    with pytest.raises(ValueError, match="read-only"):
        DEFICIENCIES[name][0, 0] = 1


@pytest.mark.parametrize("name", list(DEFICIENCIES))
def test_greys_stay_as_they_are(name):
    grey = np.repeat(np.linspace(0, 1, 11)[:, None], 3, axis=1)
    assert seen_with(grey, name) == pytest.approx(grey, abs=1e-5)


def test_a_red_and_a_green_of_one_lightness_come_together():
    """For about one man in twelve these two beads are hard to tell apart; for others they are not."""
    red, green = srgb_to_lab(np.array([[168, 98, 68], [118, 118, 58]], np.uint8))
    apart = np.linalg.norm(red - green)
    linear = decode(np.array([[168, 98, 68], [118, 118, 58]], np.uint8))
    seen = srgb_to_lab(encode_to_bytes(seen_with(linear, "deuteranopia")))
    assert np.linalg.norm(seen[0] - seen[1]) < 0.35 * apart


def test_result_is_a_colour():
    colours = np.random.default_rng(0).random((50, 3))
    for name in DEFICIENCIES:
        seen = seen_with(colours, name)
        assert seen.min() >= 0
        assert seen.max() <= 1
