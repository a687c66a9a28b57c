import itertools

import numpy as np
import pytest

from convert.choice.medians import _exchange_pair, _greedy, solve
from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import srgb_to_lab
from tests.choice.exact_median import best_possible


def problem(number, rows, columns):
    """Return costs and weights of colours drawn by lot."""
    draw = np.random.default_rng(number)
    wanted, offered = (
        srgb_to_lab(draw.integers(0, 256, (many, 3), dtype=np.uint8)) for many in (rows, columns)
    )
    return ciede2000(wanted[:, None], offered), draw.integers(1, 40, rows).astype(float)


def total(cost, weights, chosen):
    return weights @ cost[:, list(chosen)].min(axis=1)


def lagrangian_bound(price, cost, weights, count, keep=()):
    """Cornuejols, Fisher and Nemhauser (1977): all rows at their prices, less what the best columns save."""
    saved = (weights[:, None] * np.maximum(price[:, None] - cost, 0)).sum(axis=0)
    others = np.sort(np.delete(saved, list(keep)))[::-1]
    return weights @ price - saved[list(keep)].sum() - others[: count - len(keep)].sum()


@pytest.mark.parametrize("number", range(8))
def test_four_of_fourteen_are_the_best_of_all_1001_choices(number):
    cost, weights = problem(number, 50, 14)
    chosen, _ = solve(cost, weights, 4, np.empty(0, np.int64))
    best = min(total(cost, weights, choice) for choice in itertools.combinations(range(14), 4))
    assert total(cost, weights, chosen) == pytest.approx(best)


# In problem 4 with 8 columns only the exchange of a pair finds the best.
@pytest.mark.parametrize("number", [0, 1, 4, 5])
@pytest.mark.parametrize("count", [5, 8])
@pytest.mark.parametrize("keep", [(), (1, 5)])
def test_sixty_by_thirty_are_the_best_of_an_independent_solver(number, count, keep):
    cost, weights = problem(number, 60, 30)
    chosen, price = solve(cost, weights, count, np.array(keep, np.int64))
    best = best_possible(cost, weights, count, keep)
    assert len(np.unique(chosen)) == count
    assert set(keep) <= set(chosen.tolist())
    assert total(cost, weights, chosen) == pytest.approx(best)
    assert 0.99 * best <= lagrangian_bound(price, cost, weights, count, keep) <= best + 1e-6


@pytest.mark.parametrize("number", range(3))
def test_no_exchange_of_one_or_two_columns_is_left_that_helps(number):
    cost, weights = problem(number, 40, 16)
    keep = {number}
    chosen, _ = solve(cost, weights, 6, np.array([number], np.int64))
    left, others = set(chosen.tolist()) - keep, set(range(16)) - set(chosen.tolist())
    for many in (1, 2):
        for old, new in itertools.product(
            itertools.combinations(left, many), itertools.combinations(others, many)
        ):
            choice = (set(chosen.tolist()) - set(old)) | set(new)
            assert total(cost, weights, choice) >= total(cost, weights, chosen) - 1e-9


def test_all_columns_to_keep_are_the_answer():
    cost, weights = problem(3, 20, 9)
    chosen, price = solve(cost, weights, 3, np.array([0, 4, 7]))
    assert sorted(chosen.tolist()) == [0, 4, 7]
    assert lagrangian_bound(price, cost, weights, 3, (0, 4, 7)) <= total(cost, weights, chosen) + 1e-9


def test_a_pair_is_exchanged_only_where_both_together_help():
    """Over small problems drawn by lot: two are exchanged and it costs less, or all stay."""
    exchanged = 0
    for number in range(120):
        cost, weights = problem(number, 12, 9)
        chosen = np.array([0, 1, 2, 3])
        found = _exchange_pair(cost, weights, chosen, np.array([0]), np.arange(4, 9))
        if found is chosen:
            continue
        exchanged += 1
        assert len(set(found.tolist()) & {0, 1, 2, 3}) >= 2
        assert len(set(found.tolist())) == 4
        assert 0 in found
        assert total(cost, weights, found) < total(cost, weights, chosen)
    assert exchanged > 60


@pytest.mark.parametrize(
    ("number", "count", "keep", "sum_of_differences", "bound", "prices"),
    [
        (4, 8, (), 15666.510493, 15616.7572, 21823.6948),
        (2, 5, (1, 5), 19525.614826, 19521.7877, 27084.0857),
        (9, 3, (), 19963.609382, 19948.3506, 27985.4135),
    ],
)
def test_bounds_are_as_good_as_they_were(number, count, keep, sum_of_differences, bound, prices):
    """Weaker steps find the same colours and can say less of how good they are."""
    cost, weights = problem(number, 60, 30)
    chosen, price = solve(cost, weights, count, np.array(keep, np.int64))
    assert total(cost, weights, chosen) == pytest.approx(sum_of_differences, rel=1e-8)
    assert lagrangian_bound(price, cost, weights, count, keep) == pytest.approx(bound, rel=1e-7)
    assert price @ weights == pytest.approx(prices, rel=1e-7)


@pytest.mark.parametrize("number", range(4))
@pytest.mark.parametrize("start", [(), (3, 7)])
def test_columns_are_added_by_what_each_saves_most(number, start):
    cost, weights = problem(number, 40, 15)
    expected = list(start)
    while len(expected) < 7:
        others = [new for new in range(15) if new not in expected]
        expected.append(min(others, key=lambda new: total(cost, weights, [*expected, new])))
    assert _greedy(cost, weights, 7, np.array(start, np.int64)).tolist() == expected
