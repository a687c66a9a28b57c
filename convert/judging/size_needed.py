"""How fine a weave has to be so that a picture's detail survives."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from convert.choice.choosing import choose, measure_of, nearest_in_size
from convert.colour.lab import linear_to_lab
from convert.errors import PictureError, SizeError, StockError
from convert.judging.detail import Detail, enough
from convert.making.frame import Frame
from convert.making.layout import Layout
from convert.making.options import PanelOptions
from convert.making.over_picture import bead_means
from convert.making.pipeline import Result, of_sizes
from convert.making.shapes.silhouette import Silhouette
from convert.palette.model import Palette
from convert.picture.model import Picture
from convert.picture.part import WHOLE
from convert.picture.sampling import polygon_means
from convert.settings.colour import AUTO
from convert.weave.beads import BeadSize, bead_size, named_sizes
from convert.weave.tips import woven_only

MOST_LOOPS = 400
# A piece of few beads is seldom meant to show detail; in one of very many there is enough of it.
_FEWEST_BEADS_NOTED, _MOST_BEADS_NOTED = 500, 50_000
_FIRST_TRIED = 16


def bead_bytes(result: Result) -> NDArray[np.uint8]:
    """Return the colours of the beads of a weave, shape (B, 3), encoded sRGB."""
    pattern = result.pattern
    return pattern.palette.rgb()[woven_only(pattern.weave, pattern.bead_colour)]


def finished_width_mm(picture: Picture, options: PanelOptions) -> float:
    """Return the width of a full sheet for a picture."""
    frame = Frame.of(options)
    rows, places = Silhouette.of(options).loops(frame, picture.aspect)
    return frame.size_mm(rows, places, options.direction)[0]


def loops_across(picture: Picture, options: PanelOptions) -> int:
    """Return how many loops a full sheet for a picture has from left to right."""
    rows, places = Silhouette.of(options).loops(Frame.of(options), picture.aspect)
    return places if options.direction == "across" else rows


def of_loops(options: PanelOptions, across: int) -> PanelOptions:
    """Return options for a sheet of so many loops from left to right."""
    return replace(options, width_mm=None, height_mm=None, across=across)


def with_sizes(options: PanelOptions, sizes: tuple[BeadSize, BeadSize]) -> PanelOptions:
    """Return options for other sizes of core and connector."""
    return replace(options, beads=sizes[0].written, connectors=sizes[1].written)


def survives_at(detail: Detail, palette: Palette, options: PanelOptions, across: int) -> bool:
    """Return whether a detail survives with so many loops across, without making a whole pattern.

    Parameters
    ----------
    detail : Detail
        The detail.
    palette : Palette
        Bead colours.
    options : PanelOptions
        What a panel would be made with.
    across : int
        Loops across.
    """
    try:
        wanted = of_loops(options, across)
        layout = Silhouette.of(wanted).lay_out(Frame.of(wanted), detail.picture)
        colours = _bead_colours(detail, palette, options, layout)
    except (PictureError, SizeError, StockError):
        # Too coarse for the picture to hang together, too fine to be woven, or too much for the shelf.
        return False
    return enough(detail.edges_kept(layout.weave, layout.full, colours), whole=detail.part.is_whole)


def _bead_colours(
    detail: Detail, palette: Palette, options: PanelOptions, layout: Layout
) -> NDArray[np.uint8]:
    """Return the colours of the beads that may show some of a detail, shape (B, 3); others may be black."""
    weave = layout.weave
    palette = of_sizes(palette, weave.sizes)
    if not options.plain:
        # What a bead shows depends on all the others.
        (means,) = bead_means(detail.picture, [(weave, layout.full)], everywhere=True)
        return palette.rgb()[choose(means, weave, palette, options).chosen]
    beads, cells = detail.cells(weave, layout.full)
    means, coverage = polygon_means(detail.picture, cells)
    means[coverage <= 0] = 1.0
    allowed = [palette.for_size(size.name) for size in weave.sizes]
    entries = nearest_in_size(
        linear_to_lab(means), weave.bead_size[beads], palette.labs(), allowed, measure_of(options)
    )
    colours = np.zeros((weave.beads, 3), np.uint8)
    colours[beads] = palette.rgb()[entries]
    return colours


def in_colours_that_pay(palette: Palette, options: PanelOptions, result: Result) -> Palette:
    """Return the palette that a search for a size chooses from.

    Where as many colours are taken as pay, they are those of a piece that is made already: to weigh them anew
    at every size tried would take long, and they are much the same at all.

    Parameters
    ----------
    palette : Palette
        Bead colours.
    options : PanelOptions
        What panels are made with.
    result : Result
        One in the sizes of bead that are looked for.
    """
    if options.colours != AUTO:
        return palette
    codes = {result.pattern.palette.entries[entry].code for entry in result.pattern.used.tolist()}
    return Palette(palette.name, tuple(entry for entry in palette.entries if entry.code in codes))


def loops_needed(detail: Detail, palette: Palette, options: PanelOptions, more_than: int = 0) -> int | None:
    """Return the least number of loops across that keeps a detail, None where 400 do not.

    Detail comes and goes a little with where the beads happen to lie, so the number is found by halving, and
    to a thirtieth.

    Parameters
    ----------
    detail : Detail
        The detail.
    palette : Palette
        Bead colours.
    options : PanelOptions
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


def lost_detail(picture: Picture, palette: Palette, options: PanelOptions, result: Result) -> tuple[str, ...]:
    """Return a note where a panel loses the picture's detail, with the size of bead that keeps it.

    Parameters
    ----------
    picture : Picture
        The picture.
    palette : Palette
        Bead colours of all the sizes.
    options : PanelOptions
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


def _finer_size(detail: Detail, palette: Palette, options: PanelOptions, width_mm: float) -> str | None:
    """Return the coarsest size of a palette, finer than the one chosen, that keeps a detail at a width."""
    names = {entry.size for entry in palette.entries} & set(named_sizes())
    chosen_mm = Frame.of(options).bead_spacing_mm(options.direction)
    for size in sorted((bead_size(name) for name in names if name), key=lambda one: -one.diameter_mm):
        finer = replace(
            options,
            beads=size.written,
            connectors=None,
            gauge_mm=None,
            width_mm=width_mm,
            height_mm=None,
            across=None,
        )
        if Frame.of(finer).bead_spacing_mm(options.direction) < chosen_mm:
            across = loops_across(detail.picture, finer)
            if survives_at(detail, palette, finer, across):
                return size.name
    return None
