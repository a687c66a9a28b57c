"""One piece in more and more colours side by side, to see before buying how many it takes."""

from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace

import numpy as np

from convert.choice.choosing import Choice, Choosing, wanted_at_tips
from convert.choice.part import Part
from convert.choice.smoothing import unrest
from convert.errors import PaletteError, StockError
from convert.judging.colour_ladder import PayingColours, Rung
from convert.making.from_picture import FromPicture
from convert.making.options import PanelOptions
from convert.making.pipeline import Result, make
from convert.making.shapes.silhouette import Silhouette
from convert.palette.model import Palette
from convert.picture.model import Picture
from convert.piece.pattern import Pattern
from convert.settings.colour import AUTO
from convert.weave.model import FloatArray
from convert.weave.neighbours import bead_neighbours
from convert.weave.symmetry import alike
from convert.weave.tips import woven_only

SHOWN = (6, 8, 12, 16, 24, 32)
"""Numbers of colours that are shown, besides all and as many as pay."""


@dataclass(frozen=True, eq=False, slots=True)
class InColours:
    """A piece in so many colours.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    rung : Rung
        What it weighs.
    lone : int
        Beads with no neighbour of their colour.
    is_all : bool
        Whether all colours were to be had.
    marked : bool
        Whether it is the number to choose.
    """

    pattern: Pattern
    rung: Rung
    lone: int
    is_all: bool
    marked: bool


@dataclass(frozen=True, eq=False, slots=True)
class ColourComparison:
    """A piece in several numbers of colours.

    Parameters
    ----------
    picture : Picture
        What it shows.
    candidates : tuple of InColours
        Fewest colours first.
    reason : str or None
        Why the marked one is to be chosen; None where there are too few colours to choose.
    distance_m : float
        Distance of the eye.
    notes : tuple of str
        What the user should know.
    """

    picture: Picture
    candidates: tuple[InColours, ...]
    reason: str | None
    distance_m: float
    notes: tuple[str, ...]


def compare_colours(
    picture: Picture,
    palette: Palette,
    options: PanelOptions,
    progress: Callable[[str], None] = lambda stage: None,
) -> ColourComparison:
    """Make a panel in several numbers of colours; its picture is sampled and its thread planned once.

    Parameters
    ----------
    picture : Picture
        The picture.
    palette : Palette
        Bead colours.
    options : PanelOptions
        The user's choices. A number of colours is shown besides the others.
    progress : callable
        Is told what is done next.

    Raises
    ------
    ConvertError
        The picture, the palette or the options do not allow a pattern.
    """
    wish = options.most_colours
    options = replace(options, colours=AUTO)
    chooser = PayingColours(options, options.view_distance_m)
    source = FromPicture(picture, chooser=chooser)
    shape = Silhouette.of(options)
    result = make(picture.name, shape, source, palette, options, progress=progress)
    progress("Comparing numbers of colours")
    weave, palette = result.pattern.weave, result.pattern.palette
    wanted = _wanted(result)
    symmetry = result.pattern.symmetry
    first = None if symmetry is None else alike(weave, symmetry)
    part = Part(wanted, weave, options, options.bags, alike=first, distance_m=options.view_distance_m)
    choosing = Choosing((part,), palette)
    weigh = chooser.scales((part,), palette)
    full = weigh.rung(choosing.of_all().chosen)
    best = weigh.rung(result.pattern.bead_colour)
    counts = sorted({*SHOWN, *([] if wish is None else [wish])} - {best.colours})
    rungs = [weigh.rung(choice.chosen) for choice in _choices(choosing, counts, full.colours)]
    alone = best.colours == full.colours
    rungs += [full] if alone else [best, full]
    neighbours, colours = bead_neighbours(weave), palette.colour_numbers()
    candidates = [
        InColours(
            replace(result.pattern, bead_colour=rung.chosen),
            rung,
            unrest(colours[woven_only(weave, rung.chosen)], neighbours).lone,
            rung is full,
            rung is (full if alone else best),
        )
        for rung in rungs
    ]
    candidates.sort(key=lambda one: one.rung.colours)
    return ColourComparison(picture, tuple(candidates), result.reason, options.view_distance_m, result.notes)


def _wanted(result: Result) -> FloatArray:
    """Return the light that is wanted of each bead, followed by that of tips where there are such."""
    weave = result.pattern.weave
    if len(result.pattern.bead_colour) == weave.beads:
        return result.wanted
    return np.concatenate([result.wanted, wanted_at_tips(result.wanted, weave)])


def _choices(choosing: Choosing, counts: list[int], below: int) -> Iterator[Choice]:
    """Yield the choices that can be made of so many colours, fewer than all."""
    keep = choosing.settings.keep
    for count in counts:
        if len(set(keep)) <= count < below:
            # Too few for both sizes of bead, or for what is on hand.
            with suppress(PaletteError, StockError):
                yield choosing.of_best(count, keep)
