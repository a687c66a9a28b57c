import numpy as np
import pytest

from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import srgb_to_lab
from convert.judging.patches import STANDS_OUT, missing_entries, standing_out
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.spacing import model_spacing

RED = srgb_to_lab(np.array([200, 30, 30], np.uint8))
GREEN = srgb_to_lab(np.array([90, 140, 80], np.uint8))
BLUE = srgb_to_lab(np.array([40, 60, 140], np.uint8))


@pytest.fixture(scope="module")
def weave():
    sizes = (bead_size("11/0"),) * 2
    return sheet(np.ones((16, 16), bool), sizes, model_spacing(*sizes), "across")


def field(weave):
    """Green at the left and blue at the right, and one red bead amid the green."""
    middle = weave.bead_xy.mean(axis=0)
    lab = np.where((weave.bead_xy[:, 0] < middle[0])[:, None], GREEN, BLUE)
    place = weave.bead_xy.min(axis=0) * [0.75, 0.5] + weave.bead_xy.max(axis=0) * [0.25, 0.5]
    eye = int(np.hypot(*(weave.bead_xy - place).T).argmin())
    lab[eye] = RED
    return lab, eye


def test_a_bead_stands_out_that_is_unlike_all_about_it_and_none_at_an_edge(weave):
    lab, eye = field(weave)
    contrast = standing_out(lab, weave, np.arange(weave.beads))
    assert contrast[eye] == pytest.approx(ciede2000(RED, GREEN))
    assert contrast[np.arange(weave.beads) != eye].max() == pytest.approx(0, abs=1e-9)


def test_what_lies_about_a_bead_is_told_by_distances(weave):
    # The same by a plain loop over all pairs.
    lab = np.random.default_rng(2).normal([50, 0, 0], [15, 20, 20], (weave.beads, 3))
    beads = np.array([5, 300, 700])
    found = standing_out(lab, weave, beads)
    for bead, contrast in zip(beads, found, strict=True):
        pitches = np.hypot(*(weave.bead_xy - weave.bead_xy[bead]).T) / weave.spacing.pitch_mm
        about = np.sort(ciede2000(lab[bead], lab[(pitches >= 1.5) & (pitches <= 3.5)]))
        assert contrast == pytest.approx(about[len(about) // 10])


def test_a_second_eye_does_not_hide_the_first(weave):
    lab, eye = field(weave)
    pitches = np.hypot(*(weave.bead_xy - weave.bead_xy[eye]).T) / weave.spacing.pitch_mm
    lab[np.flatnonzero((pitches > 2) & (pitches < 3))[:3]] = RED
    assert standing_out(lab, weave, np.array([eye]))[0] > STANDS_OUT


def test_a_piece_of_a_few_beads_has_nothing_to_stand_out_from():
    sizes = (bead_size("11/0"),) * 2
    one = sheet(np.ones((1, 1), bool), sizes, model_spacing(*sizes), "across")
    assert np.array_equal(standing_out(np.zeros((6, 3)), one, np.arange(6)), np.zeros(6))


def test_the_colour_of_a_lost_patch_is_missed_and_no_other(weave):
    lab, _ = field(weave)
    palette = np.stack([GREEN, BLUE, RED, GREEN + 2])
    full = np.array([int(ciede2000(one, palette).argmin()) for one in lab], np.int32)
    few = np.where(full == 2, 0, full).astype(np.int32)
    assert missing_entries(lab, palette, full, few, weave) == [2]
    assert missing_entries(lab, palette, full, full, weave) == []
    # Blue all taken for green is no patch, however far it is off.
    assert missing_entries(lab, palette, full, np.where(full == 1, 0, full).astype(np.int32), weave) == []
