import itertools
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from skimage import data

from convert.choice.medians import UNUSABLE
from convert.choice.reduction import Demand, Reduction, _cluster_limit, gather, reduce_colours
from convert.colour.cells import spread_evenly
from convert.colour.distances import DISTANCES, distance_named
from convert.colour.lab import lab_to_lch, linear_to_lab, srgb_to_lab
from convert.colour.matching import nearest
from convert.making.over_picture import bead_means
from convert.palette.palette_file import read_palette
from convert.palette.resources import palette_path
from convert.picture.reading import read_picture
from convert.weave.beads import bead_size
from tests.choice.exact_median import best_possible
from tests.panels import laid_out

HERON = Path(__file__).parents[2] / "sample_images" / "heron.png"
NOTHING = np.empty(0, np.int64)


@pytest.fixture(scope="module")
def photo_lab():
    return srgb_to_lab(data.coffee()[::12, ::12].reshape(-1, 3))


def random_palette(entries, seed=3):
    return srgb_to_lab(np.random.default_rng(seed).integers(0, 256, (entries, 3), dtype=np.uint8))


@pytest.mark.parametrize(
    "measure", [*DISTANCES.values(), distance_named("ciede2000", 2.5), distance_named("ciede2000", 0.5)]
)
def test_real_pictures_are_certified_by_an_independent_solver(photo_lab, measure):
    palette = random_palette(24)
    lab = photo_lab[::17]
    found = reduce_colours([Demand.of_beads(lab, np.arange(24), palette)], 24, 6, NOTHING, measure)
    cost = measure(lab[:, None], palette)
    best = best_possible(cost, np.ones(len(lab)), 6)
    assert found.total == pytest.approx(cost[:, found.chosen].min(axis=1).sum())
    assert found.bound - 1e-6 <= best <= found.total + 1e-6
    assert found.total <= best * 1.005


@settings(deadline=None, max_examples=40, derandomize=True)
@given(st.data())
def test_no_choice_at_all_is_below_the_bound(given_data):
    """Every choice of a small palette, the colours to keep among them, one by one."""
    draw = np.random.default_rng(given_data.draw(st.integers(0, 10_000)))
    beads, columns = int(draw.integers(1, 30)), int(draw.integers(2, 8))
    count = int(draw.integers(1, columns + 1))
    keep = np.sort(draw.permutation(columns)[: draw.integers(0, count + 1)])
    lab = srgb_to_lab(draw.integers(0, 256, (12, 3), dtype=np.uint8))[draw.integers(0, 12, beads)]
    palette = random_palette(columns, int(draw.integers(1_000)))
    demand = Demand.of_beads(lab, np.arange(columns), palette)
    found = reduce_colours([demand], columns, count, keep, DISTANCES["cie76"])
    apart = np.linalg.norm(lab[:, None] - palette, axis=2)
    totals = [
        apart[:, choice].min(axis=1).sum()
        for choice in itertools.combinations(range(columns), count)
        if set(keep.tolist()) <= set(choice)
    ]
    assert found.bound <= min(totals) + 1e-6
    assert min(totals) <= found.total + 1e-6
    assert set(keep.tolist()) <= set(found.chosen.tolist())
    # The gap is the share by which the best choice could be better.
    assert found.total * (1 - found.gap) <= min(totals) + 1e-6
    assert found.gap < 0.2


def test_gathered_colours_keep_the_certificate(photo_lab):
    """More distinct colours than clusters: the figures must be those of all beads."""
    lab = np.concatenate([photo_lab, srgb_to_lab(data.astronaut()[::6, ::6].reshape(-1, 3))])
    palette = random_palette(300)
    demand = Demand.of_beads(lab, np.arange(300), palette)
    clusters, weights, cluster = gather(demand, 4_000)
    assert len(clusters) <= 4_000 < len(demand.lab)
    assert weights.sum() == len(lab)
    one = cluster == 77
    mean = np.average(demand.lab[one], axis=0, weights=demand.weights[one])
    np.testing.assert_allclose(clusters[77], mean)
    found = reduce_colours([demand], 300, 16, NOTHING)
    assert found.total == pytest.approx(nearest(lab, palette[found.chosen])[1].sum())
    assert found.bound <= found.total
    assert found.gap < 0.01
    draw = np.random.default_rng(5)
    for _ in range(60):
        others = np.append(draw.permutation(found.chosen)[:13], draw.integers(0, 300, 3))
        assert nearest(lab, palette[others])[1].sum() >= found.bound


def test_two_sizes_are_chosen_together():
    """Column 2 comes in both sizes; 0 and 1 in one size each, and there nearer."""
    red, blue = srgb_to_lab(np.array([[200, 30, 30], [30, 30, 200]], np.uint8))
    near = srgb_to_lab(np.array([[190, 40, 40], [40, 40, 190], [110, 30, 110]], np.uint8))
    demands = [
        Demand.of_beads(np.tile(red, (9, 1)), np.array([0, 2]), near[[0, 2]]),
        Demand.of_beads(np.tile(blue, (4, 1)), np.array([1, 2]), near[[1, 2]]),
    ]
    assert reduce_colours(demands, 3, 1, NOTHING).chosen.tolist() == [2]
    assert reduce_colours(demands, 3, 2, NOTHING).chosen.tolist() == [0, 1]
    assert reduce_colours(demands, 3, 2, np.array([2])).chosen.tolist() == [0, 2]


def test_a_size_without_any_chosen_colour_costs_beyond_all_differences():
    red = srgb_to_lab(np.array([[200, 30, 30]], np.uint8))
    demands = [Demand.of_beads(red, np.array([column]), red) for column in (0, 1)]
    assert reduce_colours(demands, 2, 1, NOTHING).total == UNUSABLE
    assert reduce_colours(demands, 2, 2, NOTHING).total == 0


def test_as_many_colours_as_there_are():
    palette = random_palette(7)
    found = reduce_colours([Demand.of_beads(palette, np.arange(7), palette)], 7, 7, NOTHING)
    assert found.chosen.tolist() == list(range(7))
    assert found.total == pytest.approx(0, abs=1e-9)
    assert found.gap == 0


def test_same_answer_whatever_the_order_of_the_beads(photo_lab):
    palette = random_palette(60)
    shuffled = photo_lab[np.random.default_rng(1).permutation(len(photo_lab))]
    one, two = (
        reduce_colours([Demand.of_beads(lab, np.arange(60), palette)], 60, 9, NOTHING)
        for lab in (photo_lab, shuffled)
    )
    assert one.chosen.tolist() == two.chosen.tolist()
    assert one.bound == pytest.approx(two.bound)


@pytest.mark.parametrize("name", ["lakeside-range", "workshop-shelf"])
@pytest.mark.parametrize("count", [4, 8, 12])
def test_the_heron_in_few_colours_is_within_a_thousandth_of_the_best(name, count):
    """Few colours of a picture with large even parts are what one exchange after another can be stuck at."""
    picture = read_picture(HERON)
    layout = laid_out(picture, bead_size("11/0"), bead_size("11/0"), across=40)
    (means,) = bead_means(picture, [(layout.weave, layout.full)])
    palette, _ = read_palette(palette_path(name))
    labs = palette.labs()[palette.for_size("11/0")]
    every = np.arange(len(labs))
    found = reduce_colours([Demand.of_beads(linear_to_lab(means), every, labs)], len(labs), count, NOTHING)
    assert found.gap < 0.001


def test_gap_is_the_share_that_could_be_saved():
    assert Reduction(NOTHING, total=10.0, bound=8.0).gap == pytest.approx(0.2)
    assert Reduction(NOTHING, total=10.0, bound=10.0 + 1e-9).gap == 0
    assert Reduction(NOTHING, total=0.0, bound=0.0).gap == 0


@pytest.mark.parametrize("lightness", [1.0, 2.0])
def test_colours_are_gathered_by_the_finest_grid_that_does(lightness):
    """Cells of half a step, and a fifth wider until there are few enough; each cell is one cluster."""
    draw = np.random.default_rng(6)
    lab = srgb_to_lab(np.unique(draw.integers(0, 256, (5000, 3)), axis=0).astype(np.uint8))
    weights = draw.integers(1, 9, len(lab)).astype(float)
    nothing = np.empty(0, np.int64), np.empty((0, 3))
    demand = Demand(lab, weights, *nothing)
    place = spread_evenly(lab_to_lch(lab), lightness)
    place -= place.min(axis=0)
    step = 0.5
    while len(np.unique((place / step).astype(int), axis=0)) > 700:
        step *= 1.2
    cells, expected = np.unique((place / step).astype(int), axis=0, return_inverse=True)
    means, heavy, cluster = gather(demand, 700, lightness)
    assert len(means) == len(heavy) == len(cells)
    assert len(np.unique(np.stack([cluster, expected]), axis=1).T) == len(cells)
    one = cluster == 5
    assert means[5] == pytest.approx(np.average(lab[one], axis=0, weights=weights[one]))
    assert heavy[5] == weights[one].sum()
    # As many as the limit are left as they are.
    few = Demand(lab[:700], weights[:700], *nothing)
    assert gather(few, 700)[0] is few.lab
    assert len(gather(Demand(lab[:701], weights[:701], *nothing), 700)[0]) <= 700


@pytest.mark.parametrize(
    ("columns", "limit"), [(1, 4000), (1500, 4000), (2000, 3000), (6000, 1000), (50_000, 1000)]
)
def test_the_larger_the_palette_the_fewer_clusters(columns, limit):
    """At most six million pairs, from a thousand to four thousand clusters."""
    assert _cluster_limit(columns) == limit
