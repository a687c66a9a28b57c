"""Where the work turns back."""

import numpy as np

from convert.thread.stitches import NO_LOOP, Stitches
from convert.weave.model import IntArray, Weave

# Loops before and after a place that are looked at, and how much the way has to change for a turn.
_TURN_LOOPS = 8
_TURNED = -0.5


def turning_steps(weave: Weave, told: Stitches) -> IntArray:
    """Return the steps at which the work turns back, and the step before each.

    The work goes along rows or columns as the planner found best, so a turn is told by the loops: what is
    begun after it lies the other way from what was begun before it.

    Parameters
    ----------
    weave : Weave
        The piece, in rows.
    told : Stitches
        Its thread path.

    Returns
    -------
    ndarray of shape (N,), int32
        Steps, ascending.
    """
    at = np.flatnonzero(told.begins != NO_LOOP)
    if len(at) <= 2 * _TURN_LOOPS:
        return np.zeros(0, np.int32)
    xy = weave.loop_xy[told.begins[at]]
    here = xy[_TURN_LOOPS:-_TURN_LOOPS]
    came, goes = here - xy[: -2 * _TURN_LOOPS], xy[2 * _TURN_LOOPS :] - here
    far = np.hypot(*came.T) * np.hypot(*goes.T)
    cosine = np.where(far > weave.spacing.pitch_mm**2, (came * goes).sum(axis=1) / np.maximum(far, 1e-9), 0.0)
    turning = cosine < _TURNED
    run = np.cumsum(np.diff(turning, prepend=False) & turning)[turning]
    # Of the loops about a turn, the sharpest.
    order = np.lexsort((cosine[turning], run))
    _, sharpest = np.unique(run[order], return_index=True)
    begun = np.flatnonzero(turning)[order[sharpest]] + _TURN_LOOPS
    steps = np.searchsorted(told.step_start, at[begun], side="right") - 1
    # A long first step may turn already; there is none before it.
    before = steps[steps > 0] - 1
    return np.unique(np.concatenate([before, steps])).astype(np.int32)
