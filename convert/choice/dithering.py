"""Mixing bead colours where the palette has none between: by spread error, or by fixed thresholds.

Both work in linear light, in which the eye mixes from afar, and leave a bead only entries it can take. The
beads' places come as arrays, so that nothing here knows a weave.
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from convert.colour.distances import CIEDE2000, Distance
from convert.colour.lab import lab_to_linear, linear_to_lab
from convert.colour.matching import merge_equal
from convert.colour.mixtures import best_mixtures

# A neighbour's share of an error is from 0.3 to 1.3, before all are scaled to the whole of it.
_EVENNESS = 0.3
# Errors from two sides can add up to more than one alone; with 1.5 flat greys keep their mean.
_SLACK = 1.5
# Entries looked at beside another: for the nearest one, and for what lies next to it.
_SHORTLIST = 3
_BESIDE = 13


def spread_error(
    bead_colour: NDArray[np.int32],
    wanted: NDArray[np.float64],
    palette: NDArray[np.float64],
    allowed: Sequence[NDArray[np.int32]],
    bead_size: NDArray[np.uint8],
    neighbours: NDArray[np.int32],
    order: NDArray[np.int64],
    strength: float,
    measure: Distance = CIEDE2000,
) -> NDArray[np.int32]:
    """Choose beads in a fixed order, each making up for the errors of those chosen before it beside it.

    A bead hands its error in linear light to those of its neighbours that come later. Beads of one place in
    the order are chosen at the same time.

    Parameters
    ----------
    bead_colour : ndarray of shape (B,), int32
        The nearest entry of each bead, which is the answer at strength 0.
    wanted : ndarray of shape (B, 3), float64
        Linear sRGB of the picture at each bead.
    palette : ndarray of shape (K, 3), float64
        Linear sRGB of the entries.
    allowed : sequence of ndarray of int32
        For each size the entries that come in it.
    bead_size : ndarray of shape (B,), uint8
        Index into `allowed`.
    neighbours : ndarray of shape (B, N), int32
        Neighbouring beads, -1 where there are fewer.
    order : ndarray of shape (B,), int64
        When each bead is chosen; neighbours at the same time exchange nothing.
    strength : float
        Share of each error that is handed on, from 0 to 1.
    measure : Distance
        The colour difference.

    Returns
    -------
    ndarray of shape (B,), int32
    """
    chosen = bead_colour.copy()
    if strength == 0:
        return chosen
    share, total = _shares(neighbours, order)
    options = _Options(palette, allowed, measure)
    size = bead_size if options.sizes > 1 else np.zeros_like(bead_size)
    # No bead is asked to make up for more than its surroundings in the palette can be off. Without this limit
    # errors pile up where the picture asks for colours out of reach, and come out as specks of an odd colour.
    limit = np.maximum(_SLACK * options.reach()[size, bead_colour], 1e-9)

    # The beads in the order of their turns, so that those of one turn lie side by side. The last row of
    # `error` stands for neighbours that are not there; those not chosen yet have no error so far.
    sequence = np.argsort(order, kind="stable")
    place = np.full(len(sequence) + 1, len(sequence))
    place[sequence] = np.arange(len(sequence))
    beside = place[neighbours[sequence]]
    wanted, share, size = wanted[sequence], share[sequence][:, None], size[sequence]
    handed_on = (strength / np.where(total > 0, total, 1))[sequence, None]
    limit = limit[sequence, None]
    error = np.zeros((len(wanted) + 1, 3))
    turns = np.flatnonzero(np.diff(order[sequence], prepend=-1, append=-1)).tolist()
    for start, end in pairwise(turns):
        turn = slice(start, end)
        received = (share[turn] @ error[beside[turn]])[:, 0]
        length = np.sqrt(np.einsum("bc,bc->b", received, received))[:, None]
        target = wanted[turn] + received * (limit[turn] / np.maximum(length, limit[turn]))
        entry = options.nearest(target, size[turn])
        chosen[sequence[turn]] = entry
        error[turn] = (target - palette[entry]) * handed_on[turn]
    return chosen


def _shares(
    neighbours: NDArray[np.int32], order: NDArray[np.int64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the weight of each neighbour (B, N) and the sum of the weights of the later ones (B,).

    The weights are uneven by a fixed scramble of the two beads' numbers: with even ones all beads of a row
    would choose alike wherever the picture is flat.
    """
    number = np.arange(len(neighbours) + 1, dtype=np.uint64) * np.uint64(0x9E3779B97F4A7C15)
    number ^= number >> np.uint64(29)
    scramble = (number * np.uint64(0xC2B2AE3D27D4EB4F) >> np.uint64(40)).astype(np.float64) / (1 << 24)
    share = _EVENNESS + (scramble[:-1, None] + scramble[neighbours]) % 1
    later = (neighbours >= 0) & (order[neighbours] > order[:, None])
    return share, (share * later).sum(axis=1)


class _Options:
    """The entries that beads can take, size after size."""

    def __init__(
        self, palette: NDArray[np.float64], allowed: Sequence[NDArray[np.int32]], measure: Distance
    ) -> None:
        if all(np.array_equal(entries, allowed[0]) for entries in allowed):
            self.entries, of_size = allowed[0], np.zeros(len(allowed[0]), np.intp)
        else:
            self.entries = np.concatenate(allowed)
            of_size = np.repeat(np.arange(len(allowed)), [len(entries) for entries in allowed])
        self.sizes = int(of_size[-1]) + 1
        self.of_size, self.measure = of_size, measure
        self.palette, self.lab = palette, linear_to_lab(palette[self.entries])
        # Places are in Lab, with the axis of lightness as long as it weighs. |place - entry|^2 less
        # |place|^2, for each size with all other entries out of the question.
        self.axes = np.array([measure.lightness, 1, 1])
        self.place = self.lab * self.axes
        self.minus_twice = -2 * self.place.T
        square = np.einsum("kc,kc->k", self.place, self.place)
        self.square = np.where(of_size == np.arange(self.sizes)[:, None], square, np.inf)
        apart = self.place @ self.minus_twice + self.square[of_size]
        self.beside = np.argsort(apart, axis=1, kind="stable")[:, : min(_BESIDE, *np.bincount(of_size))]
        self.shortlist = self.beside[:, :_SHORTLIST]
        self.shortlist_lab = self.lab[self.shortlist]

    def nearest(self, linear: NDArray[np.float64], size: NDArray[np.uint8]) -> NDArray[np.int32]:
        """Return for beads of some sizes the best of the few entries beside the one that is nearest in Lab.

        This is asked hundreds of times for a few hundred beads each, where the exact search would be slow.
        One in five is not the very nearest; the neighbours make up for what is missed.
        """
        lab = linear_to_lab(np.clip(linear, 0, 1))
        square = self.square[0] if self.sizes == 1 else self.square[size]
        first = (lab * self.axes @ self.minus_twice + square).argmin(axis=1)
        best = self.measure(lab[:, None], self.shortlist_lab[first]).argmin(axis=1)
        nearest: NDArray[np.int32] = self.entries[self.shortlist[first, best]]
        return nearest

    def reach(self) -> NDArray[np.float64]:
        """Return the most that a colour between an entry and those round it can be off in light, (sizes, K).

        Two entries are next to each other if none is nearer to the middle between them in Lab, which is where
        the choice changes from one to the other.
        """
        linear = self.palette[self.entries]
        reach = np.zeros(len(self.lab))
        for other in self.beside.T:
            middle = (self.place + self.place[other]) / 2
            half = self.place - middle
            nearest = (middle @ self.minus_twice + self.square[self.of_size]).min(axis=1)
            nearest += np.einsum("kc,kc->k", middle, middle)
            next_to = nearest > np.einsum("kc,kc->k", half, half) * (1 - 1e-9) - 1e-6
            light = lab_to_linear(middle / self.axes)
            off = [np.linalg.norm(light - end, axis=1) for end in (linear, linear[other])]
            reach = np.maximum(reach, np.where(next_to, np.maximum(*off), 0))
        by_size = np.zeros((self.sizes, len(self.palette)))
        by_size[self.of_size, self.entries] = reach
        return by_size


def mix_by_threshold(
    bead_colour: NDArray[np.int32],
    wanted: NDArray[np.float64],
    palette: NDArray[np.float64],
    allowed: Sequence[NDArray[np.int32]],
    bead_size: NDArray[np.uint8],
    thresholds: NDArray[np.float64],
    strength: float,
    lightness: float = 1.0,
) -> NDArray[np.int32]:
    """Mix each bead's nearest entry with a second one, where its threshold is below that one's share.

    Parameters
    ----------
    bead_colour, wanted, palette, allowed, bead_size
        As in `spread_error`.
    thresholds : ndarray of shape (B,), float64
        Fixed for each place and evenly spread over (0, 1), see `convert.choice.blue_noise`.
    strength : float
        Factor on the second entry's share, from 0 to 1.
    lightness : float
        How much lightness weighs, see `convert.colour.distances`.

    Returns
    -------
    ndarray of shape (B,), int32
    """
    chosen = bead_colour.copy()
    for size, entries in enumerate(allowed):
        beads = np.flatnonzero(bead_size == size)
        if strength == 0 or len(entries) < 2 or not len(beads):
            continue
        distinct, inverse = merge_equal(np.ascontiguousarray(wanted[beads]))
        first = np.empty(len(distinct), np.int32)
        first[inverse] = bead_colour[beads]
        second, share = best_mixtures(distinct, palette[first], palette[entries], lightness)
        mixed = thresholds[beads] < strength * share[inverse]
        chosen[beads[mixed]] = entries[second[inverse[mixed]]]
    return chosen
