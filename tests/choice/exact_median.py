"""The best few columns of a table of costs by an independent solver, HiGHS, as scipy comes with it."""

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import block_array, coo_array, eye_array, kron


def best_possible(cost, weights, count, keep=()):
    """Return the least sum: x[i, k] of row i served by column k, y[k] chosen."""
    rows, columns = cost.shape
    pairs = rows * columns
    served = block_array([[kron(eye_array(rows), np.ones((1, columns))), coo_array((rows, columns))]])
    open_only = block_array([[eye_array(pairs), -kron(np.ones((rows, 1)), eye_array(columns))]])
    number = np.concatenate([np.zeros(pairs), np.ones(columns)])[None]
    least = np.zeros(pairs + columns)
    least[pairs + np.array(keep, int)] = 1
    answer = milp(
        np.concatenate([(cost * weights[:, None]).ravel(), np.zeros(columns)]),
        integrality=np.concatenate([np.zeros(pairs), np.ones(columns)]),
        bounds=Bounds(least, 1),
        constraints=[
            LinearConstraint(served.tocsr(), 1, 1),
            LinearConstraint(open_only.tocsr(), -np.inf, 0),
            LinearConstraint(number, count, count),
        ],
        options={"mip_rel_gap": 0},
    )
    assert answer.success
    return answer.fun
