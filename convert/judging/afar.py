"""How well the chosen beads show the picture, so that settings can be compared by figures."""

from dataclasses import dataclass, replace

import numpy as np

from convert.choice.smoothing import Unrest, unrest
from convert.colour.lab import lab_to_linear
from convert.colour.srgb import decode, decode_16_bits, parse_hex
from convert.judging.viewing import BACKING, VIEW_DISTANCE_M, View, check_distance
from convert.making.from_picture import mean_difference
from convert.piece.about import Figures, Looks
from convert.piece.pattern import Pattern
from convert.weave.model import FloatArray, IntArray
from convert.weave.neighbours import bead_neighbours
from convert.weave.tips import woven_only

# Of figures in a file: finer than any that is told.
_DECIMALS = 4


@dataclass(frozen=True, slots=True)
class Judgement:
    """Figures of one choice of beads.

    Parameters
    ----------
    seen : float
        Mean S-CIELAB difference to beads of just the picture's colours, from the view distance, both filling
        their cells; by CIEDE2000.
    unrest : Unrest
        Lone beads and changes of colour.
    seen_with_gaps : float
        The same with the backing showing in the gaps between the beads.
    """

    seen: float
    unrest: Unrest
    seen_with_gaps: float


@dataclass(frozen=True, slots=True)
class Comparison:
    """The chosen beads beside the plain nearest ones.

    Parameters
    ----------
    chosen : Judgement
        The beads of the pattern.
    nearest : Judgement or None
        The nearest beads, None where these are the chosen ones.
    distance_m : float
        Distance of the eye.
    """

    chosen: Judgement
    nearest: Judgement | None
    distance_m: float


def compare(
    pattern: Pattern,
    wanted: FloatArray,
    nearest: IntArray,
    backing: str = BACKING,
    distance_m: float = VIEW_DISTANCE_M,
) -> Comparison:
    """Return the figures of a pattern's beads and of the nearest ones.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    wanted : ndarray of shape (B, 3), float64
        Mean light of the picture in each bead's cell, linear sRGB.
    nearest : ndarray of shape (B,), int32
        The nearest entry for each bead.
    backing : str
        Colour of what lies behind the beads, ``#RRGGBB``.
    distance_m : float
        Distance of the eye.

    Raises
    ------
    SizeError
        The distance is not more than 0.
    """
    weave = pattern.weave
    palette = np.clip(lab_to_linear(pattern.palette.labs()), 0, 1)
    behind = decode(np.array(parse_hex(backing), np.uint8))
    filled, with_gaps = (View(weave, wanted, shown, distance_m) for shown in (None, behind))
    neighbours, colours = bead_neighbours(weave), pattern.palette.colour_numbers()

    def judged(entries: IntArray) -> Judgement:
        beads = palette[entries]
        restless = unrest(colours[entries], neighbours)
        return Judgement(filled.from_best(beads), restless, with_gaps.from_best(beads))

    chosen = woven_only(weave, pattern.bead_colour)
    same = np.array_equal(chosen, nearest)
    return Comparison(judged(chosen), None if same else judged(nearest), distance_m)


def judge(pattern: Pattern, nearest: IntArray | None = None) -> tuple[float, Comparison] | tuple[None, None]:
    """Return how well a piece shows the picture it was made from, from the picture's colours that it keeps.

    Parameters
    ----------
    pattern : Pattern
        The piece; its beads may have been changed by hand since.
    nearest : ndarray of shape (B,), int32, optional
        The nearest entry for each bead, where that is known.

    Returns
    -------
    tuple
        Mean CIEDE2000 difference of the beads at which the picture shows, and how they look as the outlook of
        the piece says; None for both where no picture was followed.
    """
    if pattern.wanted is None:
        return None, None
    wanted, chosen = decode_16_bits(pattern.wanted), woven_only(pattern.weave, pattern.bead_colour)
    shown = np.delete(np.arange(len(chosen)), np.array(pattern.unshown, np.intp))
    difference = mean_difference(wanted[shown], pattern.palette, chosen[shown])
    outlook = pattern.outlook
    beside = chosen if nearest is None else nearest
    return difference, compare(pattern, wanted, beside, outlook.backing, outlook.view_distance_m)


def figures_of(
    difference: float, comparison: Comparison, gap: float | None = None, reason: str | None = None
) -> Figures:
    """Return the figures of a piece as its file keeps them, rounded; parameters as of `Figures`."""
    chosen = _looks(comparison.chosen)
    nearest = chosen if comparison.nearest is None else _looks(comparison.nearest)
    return Figures(round(difference, _DECIMALS), chosen, nearest, gap, reason)


def beside_nearest(comparison: Comparison, before: Figures) -> Comparison:
    """Return a comparison with the nearest beads that a file tells of, which are not known otherwise."""
    looks = before.nearest
    if looks is None or looks == _looks(comparison.chosen):
        return comparison
    unrest = Unrest(looks.lone_beads, looks.colour_changes, comparison.chosen.unrest.pairs)
    return replace(comparison, nearest=Judgement(looks.seen, unrest, looks.seen_with_gaps))


def _looks(judgement: Judgement) -> Looks:
    unrest = judgement.unrest
    seen, seen_with_gaps = (round(figure, _DECIMALS) for figure in (judgement.seen, judgement.seen_with_gaps))
    return Looks(seen, seen_with_gaps, unrest.lone, unrest.changes)


def check_view(backing: str, distance_m: float) -> None:
    """Refuse a backing colour and a view distance that `compare` cannot take, before a long run."""
    parse_hex(backing)
    check_distance(distance_m)
