"""Choices of beads that look at a bead's neighbours: dithered for tone, or smoothed for calm."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from convert.choice.blue_noise import thresholds
from convert.choice.dithering import mix_by_threshold, spread_error
from convert.choice.search import MOST_SWEEPS, Eye, Search
from convert.choice.smoothing import smooth
from convert.colour.distances import CIEDE2000, Distance
from convert.colour.lab import linear_to_lab
from convert.colour.scielab import VIEW_DISTANCE_M
from convert.weave.model import FloatArray, IntArray, Weave
from convert.weave.neighbours import bead_neighbours, independent_classes, row_order


def refine(
    weave: Weave,
    bead_colour: IntArray,
    wanted: FloatArray,
    palette: FloatArray,
    entry_colour: IntArray,
    allowed: Sequence[IntArray],
    *,
    dither: float = 0.0,
    dither_kind: str = "spread",
    smoothing: float = 0.0,
    measure: Distance = CIEDE2000,
    spare: NDArray[np.int64] | None = None,
    search: Search | None = None,
    most_sweeps: int = MOST_SWEEPS,
) -> IntArray:
    """Return the beads of a piece, dithered or smoothed.

    Parameters
    ----------
    weave : Weave
        The piece.
    bead_colour : ndarray of shape (B,), int32
        The nearest entry of each bead, which is the answer where both strengths are 0.
    wanted : ndarray of shape (B, 3), float64
        Linear sRGB of the picture at each bead.
    palette : ndarray of shape (K, 3), float64
        Linear sRGB of the entries.
    entry_colour : ndarray of shape (K,), int32
        Colour of each entry, see `convert.palette.model.Palette.colour_numbers`.
    allowed : sequence of ndarray of int32
        For each size the entries that may be used.
    dither, smoothing : float
        Strengths from 0 to 1, not both above 0; see `convert.settings.colour.ColourSettings`.
    dither_kind : str
        One of those of `convert.settings.colour.ColourSettings`.
    measure : Distance
        The colour difference.
    spare : ndarray of shape (K,), int64, optional
        Beads on hand of each entry beyond those used, which a search heeds; the others cannot.
    search : Search, optional
        The piece ready to be searched, see `search_of`; without it one from the usual distance.
    most_sweeps : int
        How often a search looks at each bead, at most.
    """
    if dither and dither_kind == "threshold":
        at = even_thresholds(weave, weave.bead_xy)
        return mix_by_threshold(
            bead_colour, wanted, palette, allowed, weave.bead_size, at, dither, measure.lightness
        )
    if not dither and not smoothing:
        return bead_colour.copy()
    if dither and dither_kind == "search":
        search = search or search_of(weave, wanted, palette, entry_colour, measure, VIEW_DISTANCE_M)
        return search.beads(bead_colour, allowed, dither, spare, most_sweeps)
    neighbours = bead_neighbours(weave)
    classes = independent_classes(weave, neighbours)
    if dither:
        order = row_order(weave, classes)
        return spread_error(
            bead_colour, wanted, palette, allowed, weave.bead_size, neighbours, order, dither, measure
        )
    return smooth(
        bead_colour,
        linear_to_lab(wanted),
        linear_to_lab(palette),
        entry_colour,
        allowed,
        weave.bead_size,
        neighbours,
        classes,
        smoothing,
        measure,
    )


def search_of(
    weave: Weave,
    wanted: FloatArray,
    palette: FloatArray,
    entry_colour: IntArray,
    measure: Distance,
    distance_m: float,
) -> Search:
    """Return a piece ready to be searched for what looks closest from afar; parameters as of `refine`."""
    eye = Eye.at(weave.bead_xy, float(weave.cell_mm2.mean()), distance_m * 1000)
    return Search(wanted, palette, entry_colour, weave.bead_size, eye, bead_neighbours(weave), measure)


def even_thresholds(weave: Weave, bead_xy: FloatArray) -> FloatArray:
    """Return a threshold for each bead such that those below any number lie evenly spread over the piece.

    Parameters
    ----------
    weave : Weave
        The piece.
    bead_xy : ndarray of shape (N, 2)
        Centres of the beads in mm, those of the weave and of small beads at its tips.

    Returns
    -------
    ndarray of shape (N,), float64
        From 0 to 1, see `convert.choice.blue_noise.thresholds`.
    """
    # That wants rows of loops along x. A sheet with rows across has beads along y, none along x.
    runs_across = np.abs(weave.bead_direction[:, 0]).min() < np.abs(weave.bead_direction[:, 1]).min()
    return thresholds(bead_xy if runs_across else bead_xy[:, ::-1], weave.spacing.pitch_mm)
