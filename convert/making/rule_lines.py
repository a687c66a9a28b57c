"""Which colour of a rule each bead takes: by lines, rounds, checks and kinds of bead, or by chance."""

import numpy as np
from numpy.typing import NDArray

from convert.choice.refining import even_thresholds
from convert.errors import RuleError
from convert.making.layout import Layout
from convert.making.rule_text import Rule
from convert.piece.pattern import Shape
from convert.thread.moves import bead_loops
from convert.weave.hanging import held_by, unhung
from convert.weave.honeycomb import Honeycomb, honeycomb
from convert.weave.model import RIM, IntArray, Weave
from convert.weave.motif import FLAT
from convert.weave.shapes import Flower

# Rules that need no rows.
_ANYWHERE = ("rounds", "random", "shade")


def colour_numbers(rule: Rule, layout: Layout, seed: int) -> tuple[IntArray, list[str]]:
    """Return which of a rule's colours each bead of a piece takes, shape (B,), and what the user should know.

    Parameters
    ----------
    rule : Rule
        The rule.
    layout : Layout
        The piece.
    seed : int
        What chance goes by.

    Raises
    ------
    RuleError
        The piece has no such lines.
    """
    body = unhung(layout.weave)
    numbers, notes = _numbers(rule, body, layout.shape, seed)
    if layout.weave.hanging:
        # The loop that it hangs by goes on in the colour where it begins.
        numbers = np.append(numbers, np.full(layout.weave.hanging, numbers[held_by(layout.weave)], np.int32))
    return numbers, notes


def _numbers(rule: Rule, weave: Weave, shape: Shape, seed: int) -> tuple[IntArray, list[str]]:
    """Return the colours of a piece without a loop that it hangs by."""
    if rule.kind == "random":
        return _random(rule, weave, seed), []
    if rule.kind == "shade":
        return _shaded(rule, weave, shape), []
    if rule.kind == "rounds":
        return _striped(rule, _rounds(weave, shape)), []
    if rule.kind == "cores" and not weave.one_size:
        return weave.bead_size.astype(np.int32), []
    if isinstance(shape, Flower) and shape.centre != FLAT:
        raise RuleError(
            f"the rule {rule.kind} is for pieces that lie flat, which a flower about {shape.centre} beads"
            " does not",
            f"for that there are {', '.join(_ANYWHERE)}",
        )
    comb = honeycomb(weave)
    if rule.kind == "cores":
        return _off_cores(weave, comb), []
    if rule.kind == "chevron":
        return _chevron(rule, weave, comb)
    if rule.kind == "checks":
        return _checked(rule, comb), []
    lines = {
        "rows": comb.bead_r,
        "columns": (comb.bead_x - comb.bead_x.min()) // 2,
        "diagonal": comb.bead_q + comb.bead_r,
    }[rule.kind]
    return _striped(rule, lines - lines.min()), []


def _striped(rule: Rule, lines: IntArray) -> IntArray:
    """Return the colour of each bead from the number of its line, from 0."""
    widths = np.array([called.count for called in rule.colours])
    ends = np.cumsum(widths)
    return np.asarray(np.searchsorted(ends, lines % ends[-1], side="right"), np.int32)


def _rounds(weave: Weave, shape: Shape) -> IntArray:
    """Return the round of each bead: that of the inner of its two loops."""
    in_rounds = isinstance(shape, Flower)
    of_loop = weave.loop_row if in_rounds else honeycomb(weave).steps_from(middle_loop(weave))
    beside = bead_loops(weave)
    one, other = of_loop[beside].T
    rounds = np.where(beside[:, 1] == RIM, one, np.minimum(one, other))
    return np.asarray(rounds - rounds.min())


def middle_loop(weave: Weave, along: int | None = None) -> int:
    """Return the core loop nearest to the middle of a piece; of equals the first.

    Parameters
    ----------
    weave : Weave
        The piece.
    along : int, optional
        The axis of the page on which it is to be nearest, before the other counts: 0 for x, 1 for y.
    """
    low, high = weave.bead_xy.min(axis=0), weave.bead_xy.max(axis=0)
    off = np.abs(weave.loop_xy - (low + high) / 2) / weave.spacing.pitch_mm
    # Whole thousandths, so that rounding decides nothing.
    off = np.rint(off * 1000)
    cores = np.flatnonzero(weave.loop_core)
    far = (off**2).sum(axis=1)[cores]
    if along is None:
        return int(cores[far.argmin()])
    return int(cores[np.lexsort((far, off[cores, along]))[0]])


def _chevron(rule: Rule, weave: Weave, comb: Honeycomb) -> tuple[IntArray, list[str]]:
    """Return the colours of stripes that meet at a mirror axis, which runs along the longer side."""
    middle = middle_loop(weave, 1 - comb.long_axis)
    if comb.is_wide:
        along, off = comb.bead_x, comb.bead_r - 2 * comb.loop_r[middle]
    else:
        along, off = comb.bead_r, comb.bead_x - comb.loop_x[middle]
    lines = (along + np.abs(off)) // 2
    notes = []
    if comb.is_wide and off.max() + off.min():
        rows = int(np.ptp(comb.loop_r)) + 1
        notes = [
            f"{rows} rows have none in the middle, so the chevron's points lie half a row beside it;"
            " with an odd number of rows they lie on it"
        ]
    return _striped(rule, lines - lines.min()), notes


def _checked(rule: Rule, comb: Honeycomb) -> IntArray:
    """Return the colours of checks, as wide and as high as so many loops."""
    wide = rule.colours[0].count
    across = (comb.bead_x - comb.bead_x.min()) // (4 * wide)
    down = (comb.bead_r - comb.bead_r.min()) // (2 * wide)
    return np.asarray((across + down) % len(rule.colours), np.int32)


def _off_cores(weave: Weave, comb: Honeycomb) -> IntArray:
    """Return 0 for the beads of every third loop, 1 for the others, in a piece of one size."""
    core = comb.loop_class(middle_loop(weave)) == 0
    found = np.ones(weave.beads, np.int32)
    found[weave.side_bead[core[weave.side_loop]]] = 0
    return found


def _random(rule: Rule, weave: Weave, seed: int) -> IntArray:
    """Return colours by chance, of each size of bead exactly the shares asked for."""
    chance = np.random.default_rng(seed)
    shares = np.array([called.count for called in rule.colours], float)
    found = np.empty(weave.beads, np.int32)
    for size in np.unique(weave.bead_size):
        beads = np.flatnonzero(weave.bead_size == size)
        bounds = np.rint(np.cumsum(shares) / shares.sum() * len(beads)).astype(int)
        colours = np.repeat(np.arange(len(shares)), np.diff(bounds, prepend=0))
        found[beads] = chance.permutation(colours)
    return found


def _shaded(rule: Rule, weave: Weave, shape: Shape) -> IntArray:
    """Return colours that give way to the next evenly, along the longer side or from the middle outward."""
    if isinstance(shape, Flower):
        along = weave.bead_row.astype(float)
    else:
        xy = weave.bead_xy
        along = xy[:, int(np.ptp(xy, axis=0).argmax())]
    share = (along - along.min()) / max(float(np.ptp(along)), 1e-9) * (len(rule.colours) - 1)
    at = np.minimum(np.floor(share).astype(np.int32), len(rule.colours) - 2)
    thresholds: NDArray[np.float64] = even_thresholds(weave, weave.bead_xy)
    return np.asarray(at + (thresholds < share - at), np.int32)
