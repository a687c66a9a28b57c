"""Beads for pieces of which unlike numbers are made, against CP-SAT, which shares nothing with them."""

import numpy as np
import pytest
from ortools.sat.python import cp_model

from convert.choice.alike import in_whole_pieces
from convert.choice.flow import UNIT, least_cost_flow, stock_prices


def case(seed, colours=9, entries=5, scarce=1.0):
    draw = np.random.default_rng(seed)
    supply = draw.integers(1, 7, colours)
    times = draw.choice([1, 2, 3], colours)
    times[:2] = 1, 2
    first, entry = (grid.ravel() for grid in np.indices((colours, entries)))
    # Not every entry comes in every size.
    kept = draw.random(len(first)) < 0.8
    kept[entry == 0] = True
    cost = np.round(draw.uniform(0, 30, len(first)), 3)
    capacity = draw.integers(0, int(scarce * (supply * times).sum() / 2), entries)
    capacity[0] = (supply * times).sum() // 4
    return supply, times, capacity, first[kept], entry[kept], cost[kept]


def exact(supply, times, capacity, first, entry, cost):
    model = cp_model.CpModel()
    beads = [model.new_int_var(0, int(supply[colour]), "") for colour in first]
    for colour, count in enumerate(supply.tolist()):
        model.add(sum(bead for bead, own in zip(beads, first, strict=True) if own == colour) == count)
    for number, count in enumerate(capacity.tolist()):
        drawn = [
            int(times[own]) * bead for bead, own, of in zip(beads, first, entry, strict=True) if of == number
        ]
        model.add(sum(drawn) <= count)
    units = np.rint(times[first] * cost / UNIT).astype(int).tolist()
    model.minimize(sum(unit * bead for unit, bead in zip(units, beads, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    return solver.objective_value * UNIT if status == cp_model.OPTIMAL else None


@pytest.mark.parametrize("seed", range(30))
def test_least_loss_in_whole_pieces_against_an_independent_solver(seed):
    given = supply, times, capacity, first, entry, cost = case(seed)
    best = exact(*given)
    found = in_whole_pieces(*given)
    if best is None:
        assert found is None
        return
    assert np.bincount(first, found, len(supply)).tolist() == supply.tolist()
    assert (np.bincount(entry, times[first] * found, len(capacity)) <= capacity).all()
    assert (times[first] * cost) @ found == pytest.approx(best, abs=1e-6)


def test_the_cases_are_of_every_kind():
    """Some cannot be served, and in some the copies being alike costs something."""
    relaxed = [least_cost_flow(s * t, c, f, e, cost) for s, t, c, f, e, cost in map(case, range(30))]
    best = [exact(*case(seed)) for seed in range(30)]
    loss = [None if flow is None else float(case(seed)[5] @ flow) for seed, flow in enumerate(relaxed)]
    dearer = [one > other + 1e-3 for one, other in zip(best, loss, strict=True) if one is not None]
    assert best.count(None) >= 2
    assert sum(dearer) >= 4


def test_copies_that_cannot_be_parted_are_not_served():
    """Three beads twice, of two entries with three each: by number enough, but a bead needs two of one."""
    supply, times, capacity = np.array([3]), np.array([2]), np.array([3, 3])
    first, entry = np.array([0, 0]), np.array([0, 1])
    cost = np.array([1.0, 2.0])
    assert least_cost_flow(supply * times, capacity, first, entry, cost) is not None
    assert in_whole_pieces(supply, times, capacity, first, entry, cost) is None


def test_what_is_dear_at_first_is_found_when_nothing_nearer_is_there():
    """The nearest entries are used up by pairs, and what is left for the last bead lies far off."""
    supply, times = np.array([2, 1]), np.array([2, 1])
    capacity = np.array([3, 2])
    first, entry = np.array([0, 0, 1, 1]), np.array([0, 1, 0, 1])
    cost = np.array([0.0, 90.0, 0.0, 50.0])
    # One pair of each entry and the single bead of the first: 2 * 90.
    assert in_whole_pieces(supply, times, capacity, first, entry, cost).tolist() == [1, 1, 1, 0]


def test_prices_of_the_stock_prove_the_flow():
    for seed in range(10):
        supply, _, capacity, first, entry, cost = case(seed, scarce=0.6)
        flow = least_cost_flow(supply, capacity, first, entry, cost)
        if flow is None:
            continue
        price = stock_prices(first, entry, cost, flow, len(capacity))
        dear = np.rint(cost / UNIT).astype(int) + price[entry]
        least = [int(dear[first == colour].min()) for colour in range(len(supply))]
        dual = supply @ least - price @ capacity
        assert (price >= 0).all()
        assert dual == np.rint(cost / UNIT).astype(int) @ flow
