import numpy as np
import pytest
from scipy.spatial import cKDTree

from convert.choice.blue_noise import PATCH_LOOPS, _patch, thresholds, void_and_cluster
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.motif import flower
from convert.weave.spacing import model_spacing


def weave_of(rows, places, beads="11/0", connectors="11/0"):
    sizes = bead_size(beads), bead_size(connectors)
    return sheet(np.ones((rows, places), bool), sizes, model_spacing(*sizes))


def nearest_gap(u, v, side):
    """Least distance of each point to another on the torus, in half pitches."""
    du, dv = (np.mod(x[:, None] - x, side) for x in (u, v))
    least = np.full(du.shape, np.inf)
    for right in (0, -side):
        for down in (0, -side):
            x, y = du + right, dv + down
            least = np.minimum(least, x * x + x * y + y * y)
    np.fill_diagonal(least, np.inf)
    return np.sqrt(least.min(axis=1))


def test_the_shipped_order_is_the_one_the_method_makes():
    assert (void_and_cluster() == _patch()).all()


def test_order_numbers_each_bead_once():
    order = void_and_cluster(8)
    v, u = np.mgrid[:16, :16]
    centre = (u % 2 == 0) & (v % 2 == 0)
    assert (order[centre] == -1).all()
    assert sorted(order[~centre].tolist()) == list(range(3 * 8 * 8))


@pytest.mark.parametrize("share", [0.02, 0.05, 0.1])
def test_the_first_beads_keep_their_distance(share):
    """The mean gap is above 0.7 of that of the densest packing, where random points come to 0.47."""
    side = 2 * PATCH_LOOPS
    count = round(share * 3 * PATCH_LOOPS**2)
    v, u = np.nonzero((_patch() >= 0) & (_patch() < count))
    area = side * side * np.sqrt(3) / 2
    densest = np.sqrt(2 / np.sqrt(3) * area / count)
    gap = nearest_gap(u, v, side)
    assert gap.mean() > 0.7 * densest
    assert gap.min() > 0.45 * densest


@pytest.mark.parametrize("share", [0.02, 0.05, 0.1])
def test_the_first_beads_of_a_sheet_keep_their_distance(share):
    """As above, but in the piece itself, measured in mm by scipy."""
    weave = weave_of(2 * PATCH_LOOPS, 2 * PATCH_LOOPS)
    first = weave.bead_xy[thresholds(weave.bead_xy, weave.spacing.pitch_mm) < share]
    per_bead = weave.spacing.pitch_mm**2 * np.sqrt(3) / 2 / 3
    densest = np.sqrt(2 / np.sqrt(3) * per_bead / share)
    gap = cKDTree(first).query(first, 2)[0][:, 1]
    assert gap.mean() > 0.7 * densest
    assert gap.min() > 0.45 * densest


@pytest.mark.parametrize("connectors", ["11/0", "15/0"])
def test_beads_of_a_sheet_take_all_thresholds(connectors):
    weave = weave_of(PATCH_LOOPS, PATCH_LOOPS, connectors=connectors)
    at = thresholds(weave.bead_xy, weave.spacing.pitch_mm)
    assert at.min() > 0
    assert at.max() < 1
    # One patch and the rim of the next: each threshold is there, none more than four times.
    _, count = np.unique(at, return_counts=True)
    assert len(count) == 3 * PATCH_LOOPS**2
    assert count.max() <= 4


def test_thresholds_are_even_over_any_part():
    weave = weave_of(64, 64)
    at = thresholds(weave.bead_xy, weave.spacing.pitch_mm)
    place = (weave.bead_xy // (6 * weave.spacing.pitch_mm)).astype(int)
    for part in np.unique(place, axis=0):
        inside = (place == part).all(axis=1)
        if inside.sum() > 100:
            assert abs(at[inside].mean() - 0.5) < 0.03


@pytest.mark.parametrize("centre", [3, 5, 6, 8])
def test_beads_of_a_motif_never_take_the_place_of_a_loop(centre):
    size = bead_size("11/0")
    weave = flower(6, centre, (size, size), model_spacing(size, size))
    at = thresholds(weave.bead_xy, weave.spacing.pitch_mm)
    assert at.min() > 0
    assert at.max() < 1
    assert at.mean() == pytest.approx(0.5, abs=0.05)
