import numpy as np
import pytest
from scipy.optimize import LinearConstraint, linprog, milp
from skimage import data

from convert.choice.stock import MISSING, UNIT, assign, merge, shortage
from convert.colour.ciede2000 import ciede2000
from convert.colour.distances import CIEDE2000, DISTANCES
from convert.colour.lab import srgb_to_lab
from convert.colour.matching import nearest
from convert.errors import StockError


def least_total(cost, capacity, missing=False):
    """Solve the assignment bead by bead with HiGHS; with `missing`, beads may be left out at a price."""
    beads, entries = cost.shape
    if missing:
        cost = np.column_stack([cost, np.full(beads, MISSING)])
        capacity, entries = np.append(capacity, beads), entries + 1
    usable = np.isfinite(cost)
    once = np.kron(np.eye(beads), np.ones(entries))
    within = np.kron(np.ones(beads), np.eye(entries))
    answer = linprog(
        np.where(usable, cost, 0).ravel(),
        A_ub=within,
        b_ub=capacity,
        A_eq=once,
        b_eq=np.ones(beads),
        bounds=[(0, 1 if may else 0) for may in usable.ravel()],
        method="highs",
    )
    return answer.fun if answer.success else None


def case(seed, beads=40, entries=6, sizes=1):
    """Beads of few picture colours; with two sizes entry 0 comes in the first, entry 1 in the second only."""
    draw = np.random.default_rng(seed)
    lab = srgb_to_lab(draw.integers(0, 256, (9, 3), dtype=np.uint8))[draw.integers(0, 9, beads)]
    labs = srgb_to_lab(draw.integers(0, 256, (entries, 3), dtype=np.uint8))
    bead_size = draw.integers(0, sizes, beads).astype(np.uint8)
    every = np.arange(entries, dtype=np.int32)
    allowed = (every,) if sizes == 1 else (every[every != 1], every[every != 0])
    cost = ciede2000(lab[:, None], labs)
    for size, offered in enumerate(allowed):
        unusable = np.setdiff1d(every, offered)
        cost[np.ix_(bead_size == size, unusable)] = np.inf
    return draw, lab, labs, bead_size, allowed, cost


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("sizes", [1, 2])
def test_least_total_within_stock_against_an_independent_solver(seed, sizes):
    draw, lab, labs, bead_size, allowed, cost = case(seed, sizes=sizes)
    capacity = draw.integers(0, 16, 6)
    capacity[2] += 20
    wish = merge(lab, bead_size, labs, allowed, CIEDE2000)
    best = least_total(cost, capacity)
    if best is None:
        assert shortage(wish, capacity, allowed) is not None
        with pytest.raises(StockError):
            assign(wish, capacity, draw.random(len(lab)))
        return
    assert shortage(wish, capacity, allowed) is None
    given = assign(wish, capacity, draw.random(len(lab)))
    assert (np.bincount(given, minlength=6) <= capacity).all()
    total = cost[np.arange(len(lab)), given].sum()
    assert np.isfinite(total)
    assert best - 1e-6 <= total <= best + len(lab) * UNIT


def test_whole_beads_are_no_worse_than_a_whole_number_programme():
    draw, lab, labs, bead_size, allowed, cost = case(3, beads=25, entries=5)
    capacity = np.array([6, 6, 6, 6, 6])
    beads, entries = cost.shape
    answer = milp(
        cost.ravel(),
        integrality=np.ones(cost.size),
        bounds=(0, 1),
        constraints=[
            LinearConstraint(np.kron(np.eye(beads), np.ones(entries)), 1, 1),
            LinearConstraint(np.kron(np.ones(beads), np.eye(entries)), 0, capacity),
        ],
    )
    given = assign(merge(lab, bead_size, labs, allowed, CIEDE2000), capacity, draw.random(beads))
    assert cost[np.arange(beads), given].sum() == pytest.approx(answer.fun, abs=beads * UNIT)


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("sizes", [1, 2])
def test_dual_prices_are_what_one_more_bead_saves(seed, sizes):
    draw, lab, labs, bead_size, allowed, cost = case(seed + 20, sizes=sizes)
    capacity = draw.integers(0, 7, 6)
    found = shortage(merge(lab, bead_size, labs, allowed, CIEDE2000), capacity, allowed)
    assert found is not None
    now = least_total(cost, capacity, missing=True)
    assert found.beads.sum() == round(now / MISSING)
    for entry in range(6):
        more = least_total(cost, capacity + (np.arange(6) == entry), missing=True)
        assert found.saving[entry] == pytest.approx(now - more, abs=0.02)
    assert found.entry == found.saving.argmax()


@pytest.mark.parametrize("seed", range(5))
def test_the_purchase_named_fills_the_piece_and_less_does_not(seed):
    draw, lab, labs, bead_size, allowed, _cost = case(seed + 40)
    capacity = draw.integers(0, 6, 6)
    wish = merge(lab, bead_size, labs, allowed, CIEDE2000)
    found = shortage(wish, capacity, allowed)
    assert found is not None
    assert found.bought == found.beads.sum() == len(lab) - capacity.sum()
    capacity[found.entry] += found.bought
    assert shortage(wish, capacity, allowed) is None
    assign(wish, capacity, draw.random(len(lab)))
    capacity[found.entry] -= 1
    assert shortage(wish, capacity, allowed) is not None


def test_missing_beads_are_counted_in_their_size():
    lab = srgb_to_lab(np.full((10, 3), 90, np.uint8))
    bead_size = np.array([0] * 7 + [1] * 3, np.uint8)
    allowed = (np.array([0], np.int32), np.array([1], np.int32))
    labs = srgb_to_lab(np.array([[90, 90, 90], [200, 0, 0]], np.uint8))
    found = shortage(merge(lab, bead_size, labs, allowed, DISTANCES["cie76"]), np.array([5, 9]), allowed)
    assert found is not None
    assert found.beads.tolist() == [2, 0]
    assert (found.entry, found.bought) == (0, 2)


def test_plenty_gives_the_nearest_and_scarcity_stays_within_stock():
    lab = srgb_to_lab(data.coffee()[::10, ::10].reshape(-1, 3))
    labs = srgb_to_lab(np.random.default_rng(2).integers(0, 256, (40, 3), dtype=np.uint8))
    allowed = (np.arange(40, dtype=np.int32),)
    wish = merge(lab, np.zeros(len(lab), np.uint8), labs, allowed, CIEDE2000)
    order = np.arange(len(lab))
    plenty = assign(wish, np.full(40, len(lab)), order)
    index, least = nearest(lab, labs)
    assert ciede2000(lab, labs[plenty]).sum() == pytest.approx(least.sum(), abs=len(lab) * UNIT)
    counts = np.bincount(index, minlength=40)
    half = counts // 2 + len(lab) // 70
    given = assign(wish, half, order)
    assert (np.bincount(given, minlength=40) <= half).all()
    assert (given == index).mean() > 0.4


def test_beads_of_one_colour_take_their_entries_in_the_order_given():
    lab = srgb_to_lab(np.full((9, 3), 90, np.uint8))
    labs = srgb_to_lab(np.array([[80] * 3, [95] * 3], np.uint8))
    order = np.array([4, 8, 0, 5, 1, 7, 3, 2, 6])
    wish = merge(lab, np.zeros(9, np.uint8), labs, (np.arange(2, dtype=np.int32),), DISTANCES["cie76"])
    given = assign(wish, np.array([4, 5]), order)
    assert given.tolist() == (order >= 4).astype(int).tolist()


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("sizes", [1, 2])
def test_dye_lots_are_dealt_over_all_colours_at_no_cost(seed, sizes):
    """Three entries are lots of one colour: of a size's beads the first in the order have the first lot."""
    draw, lab, labs, bead_size, allowed, _cost = case(seed + 60, beads=60, sizes=sizes)
    lots = [0, 2, 5]  # with two sizes the first comes in one of them only
    labs[lots] = labs[2]
    cost = ciede2000(lab[:, None], labs)
    for size, offered in enumerate(allowed):
        cost[np.ix_(bead_size == size, np.setdiff1d(np.arange(6), offered))] = np.inf
    capacity = np.array([5, 20, 9, 9, 20, 30])
    order = draw.permutation(len(lab))
    given = assign(merge(lab, bead_size, labs, allowed, CIEDE2000), capacity, order)
    assert (np.bincount(given, minlength=6) <= capacity).all()
    best = least_total(cost, capacity)
    assert best - 1e-6 <= cost[np.arange(60), given].sum() <= best + 60 * 2 * UNIT
    of_lots = np.isin(given, lots)
    assert of_lots.sum() > 7
    for size in range(sizes):
        mine = of_lots & (bead_size == size)
        assert (np.diff(given[mine][np.argsort(order[mine])]) >= 0).all()


@pytest.mark.parametrize("capacity", [[90, 90, 90], [90, 10, 90], [40, 10, 90], [5, 60, 10]])
def test_a_later_lot_is_opened_only_where_the_earlier_do_not_suffice(capacity):
    draw = np.random.default_rng(5)
    lab = srgb_to_lab(np.repeat(draw.integers(90, 110, (60, 1), dtype=np.uint8), 3, axis=1))
    labs = np.repeat(srgb_to_lab(np.full((1, 3), 100, np.uint8)), 3, axis=0)
    wish = merge(lab, np.zeros(60, np.uint8), labs, (np.arange(3, dtype=np.int32),), CIEDE2000)
    given = assign(wish, np.array(capacity), draw.random(60))
    left, expected = 60, []
    for stock in capacity:
        expected.append(min(left, stock))
        left -= expected[-1]
    assert np.bincount(given, minlength=3).tolist() == expected


def test_a_purchase_is_no_larger_than_what_its_size_lacks():
    lab = srgb_to_lab(np.full((10, 3), 90, np.uint8))
    bead_size = np.array([0] * 7 + [1] * 3, np.uint8)
    allowed = (np.array([0], np.int32), np.array([1], np.int32))
    labs = srgb_to_lab(np.array([[90, 90, 90], [200, 0, 0]], np.uint8))
    found = shortage(merge(lab, bead_size, labs, allowed, DISTANCES["cie76"]), np.array([5, 0]), allowed)
    assert found is not None
    assert found.beads.tolist() == [2, 3]
    assert found.bought == found.beads[found.entry]


def test_a_shelf_of_thousands_tells_what_is_missing_at_once():
    # All that is on the shelf is white and gone; a path over all its entries would take hours.
    labs = srgb_to_lab(np.full((12_000, 3), 250, np.uint8))
    labs[7_000] = srgb_to_lab(np.full((1, 3), 90, np.uint8))
    lab = srgb_to_lab(np.full((30, 3), 90, np.uint8))
    allowed = (np.arange(6_000, 8_000, dtype=np.int32),)
    capacity = np.zeros(len(labs), np.int64)
    capacity[6_000:6_020] = 1
    wish = merge(lab, np.zeros(30, np.uint8), labs, allowed, DISTANCES["cie76"])
    found = shortage(wish, capacity, allowed)
    assert found is not None
    assert (found.entry, found.bought) == (7_000, 10)
