"""How fine a weave has to be so that a picture's detail survives."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from convert.choice.choosing import choose, nearest_in_size
from convert.colour.lab import linear_to_lab
from convert.errors import PictureError, SizeError, StockError
from convert.judging.detail import Detail, enough
from convert.making.layout import Layout, lay_out, sheet_shape
from convert.making.pipeline import ConvertOptions, Result, of_sizes, wanted_colours
from convert.palette.model import Palette
from convert.picture.model import Picture
from convert.picture.part import WHOLE
from convert.picture.sampling import polygon_means
from convert.weave.beads import BeadSize, bead_size, named_sizes
from convert.weave.fit import sheet_size_mm

MOST_LOOPS = 400
# A piece of few beads is seldom meant to show detail; in one of very many there is enough of it.
_FEWEST_BEADS_NOTED, _MOST_BEADS_NOTED = 500, 50_000
_FIRST_TRIED = 16


def bead_bytes(result: Result) -> NDArray[np.uint8]:
    """Return the colours of the beads of a weave, shape (B, 3), encoded sRGB."""
    pattern = result.pattern
    return pattern.palette.rgb()[pattern.bead_colour[: pattern.weave.beads]]


def finished_width_mm(picture: Picture, options: ConvertOptions) -> float:
    """Return the width of a full sheet for a picture."""
    rows, places = sheet_shape(picture, options)
    return sheet_size_mm(rows, places, options.sizes, options.spacing, options.direction)[0]


def loops_across(picture: Picture, options: ConvertOptions) -> int:
    """Return how many loops a full sheet for a picture has from left to right."""
    rows, places = sheet_shape(picture, options)
    return places if options.direction == "across" else rows


def of_loops(options: ConvertOptions, across: int) -> ConvertOptions:
    """Return options for a sheet of so many loops from left to right."""
    return replace(options, width_mm=None, height_mm=None, across=across)


def with_sizes(options: ConvertOptions, sizes: tuple[BeadSize, BeadSize]) -> ConvertOptions:
    """Return options for other sizes of core and connector."""
    return replace(options, beads=sizes[0], connectors=sizes[1])


def survives_at(detail: Detail, palette: Palette, options: ConvertOptions, across: int) -> bool:
    """Return whether a detail survives with so many loops across, without making a whole pattern.

    Parameters
    ----------
    detail : Detail
        The detail.
    palette : Palette
        Bead colours.
    options : ConvertOptions
        What a panel would be made with.
    across : int
        Loops across.
    """
    try:
        layout = lay_out(detail.picture, of_loops(options, across))
        colours = _bead_colours(detail, palette, options, layout)
    except (PictureError, SizeError, StockError):
        # Too coarse for the picture to hang together, too fine to be woven, or too much for the shelf.
        return False
    return enough(detail.edges_kept(layout.weave, layout.full, colours), whole=detail.part.is_whole)


def _bead_colours(
    detail: Detail, palette: Palette, options: ConvertOptions, layout: Layout
) -> NDArray[np.uint8]:
    """Return the colours of the beads that may show some of a detail, shape (B, 3); others may be black."""
    palette, weave = of_sizes(palette, options.sizes), layout.weave
    if not options.plain:
        # What a bead shows depends on all the others.
        (wanted,) = wanted_colours(detail.picture, [layout])
        return palette.rgb()[choose(wanted, weave, palette, options).chosen]
    beads, cells = detail.cells(weave, layout.full)
    means, coverage = polygon_means(detail.picture, cells)
    means[coverage <= 0] = 1.0
    allowed = [palette.for_size(size.name) for size in options.sizes]
    entries = nearest_in_size(
        linear_to_lab(means), weave.bead_size[beads], palette.labs(), allowed, options.measure
    )
    colours = np.zeros((weave.beads, 3), np.uint8)
    colours[beads] = palette.rgb()[entries]
    return colours


def loops_needed(detail: Detail, palette: Palette, options: ConvertOptions, more_than: int = 0) -> int | None:
    """Return the least number of loops across that keeps a detail, None where 400 do not.

    Detail comes and goes a little with where the beads happen to lie, so the number is found by halving, and
    to a thirtieth.

    Parameters
    ----------
    detail : Detail
        The detail.
    palette : Palette
        Bead colours.
    options : ConvertOptions
        See `survives_at`.
    more_than : int
        A number that is known not to do.
    """

    def kept(across: int) -> bool:
        return survives_at(detail, palette, options, across)

    low, high = more_than, max(_FIRST_TRIED, 2 * more_than)
    while not kept(high):
        low, high = high, high * 2
        if low >= MOST_LOOPS:
            return None
    while high - low > max(1, high // 30):
        middle = (low + high) // 2
        low, high = (low, middle) if kept(middle) else (middle, high)
    return high


def lost_detail(
    picture: Picture, palette: Palette, options: ConvertOptions, result: Result
) -> tuple[str, ...]:
    """Return a note where a panel loses the picture's detail, with the size of bead that keeps it.

    Parameters
    ----------
    picture : Picture
        The picture.
    palette : Palette
        Bead colours of all the sizes.
    options : ConvertOptions
        What the panel was made with.
    result : Result
        The panel; it is looked at from 500 to 50,000 beads.
    """
    weave = result.pattern.weave
    if not _FEWEST_BEADS_NOTED <= weave.beads <= _MOST_BEADS_NOTED:
        return ()
    detail = Detail(picture, WHOLE)
    edges = detail.edges_kept(weave, result.full, bead_bytes(result))
    if edges is None or enough(edges, whole=True):
        return ()
    said = f"{1 - edges:.0%} of the picture's edges are lost or out of place at this size"
    kept_by = _finer_size(detail, palette, options, finished_width_mm(picture, options))
    if kept_by is not None:
        return (f"{said}; {kept_by} at the same width would keep most of them",)
    return (f"{said}; combweave sizes tells how large the piece would have to be",)


def _finer_size(detail: Detail, palette: Palette, options: ConvertOptions, width_mm: float) -> str | None:
    """Return the coarsest size of a palette, finer than the one chosen, that keeps a detail at a width."""
    names = {entry.size for entry in palette.entries} & set(named_sizes())
    for size in sorted((bead_size(name) for name in names if name), key=lambda one: -one.diameter_mm):
        finer = replace(
            options,
            beads=size,
            connectors=size,
            gauge_mm=None,
            width_mm=width_mm,
            height_mm=None,
            across=None,
        )
        if finer.bead_spacing_mm < options.bead_spacing_mm:
            across = loops_across(detail.picture, finer)
            if survives_at(detail, palette, finer, across):
                return size.name
    return None
