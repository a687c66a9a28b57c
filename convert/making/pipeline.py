"""From a picture and a palette to a pattern: the only place that knows the order of the stages."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from convert.choice.choosing import ColourSettings, choose, wanted_at_tips
from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import linear_to_lab
from convert.errors import PaletteError, SizeError
from convert.making.layout import Layout, SheetSettings, bead_means, lay_out
from convert.palette.model import Palette
from convert.picture.model import Picture
from convert.piece.pattern import Pattern
from convert.thread.edging import EDGES
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies, ThreadPlan
from convert.thread.verifier import ThreadReport, verify
from convert.weave.beads import BeadSize
from convert.weave.model import FloatArray, IntArray, Weave

Progress = Callable[[str], None]

NO_THREAD = ThreadPlan(np.empty(0, np.int32), np.empty(0, np.int32))


@dataclass(frozen=True)
class ConvertOptions(SheetSettings, ColourSettings):
    """What the user may choose for a panel; see the command line's help for each.

    Raises
    ------
    ConvertError
        The choices contradict each other or are out of range.
    """

    path: str = "steady"
    start: str = "corner"
    supplies: Supplies = field(default_factory=Supplies)
    edge: str = "plain"

    def __post_init__(self) -> None:
        if self.edge not in EDGES:
            raise SizeError(f"an edge is {' or '.join(EDGES)}, not '{self.edge}'")
        SheetSettings.__post_init__(self)
        ColourSettings.__post_init__(self)


@dataclass(frozen=True, eq=False, slots=True)
class Result:
    """A pattern and what was learnt on the way.

    Parameters
    ----------
    pattern : Pattern
        The pattern, its thread path proven.
    thread : ThreadReport
        What the proof counted.
    full : Weave
        The full sheet, over which the picture is laid; of a motif the piece itself.
    wanted : ndarray of shape (B, 3), float64
        Mean light of the picture in each bead's cell, linear sRGB.
    difference : float or None
        Mean CIEDE2000 difference between that and the bead; None where no picture was followed.
    notes : tuple of str
        What the user should know.
    nearest : ndarray of shape (B,), int32, or None
        The nearest bead for each; None where no picture was followed.
    colours_gap : float or None
        By what share another choice of as many colours could be better at most; None without `colours`.
    """

    pattern: Pattern
    thread: ThreadReport
    full: Weave
    wanted: FloatArray
    difference: float | None
    notes: tuple[str, ...]
    nearest: IntArray | None = None
    colours_gap: float | None = None


def convert(
    picture: Picture, palette: Palette, options: ConvertOptions, progress: Progress = lambda stage: None
) -> Result:
    """Turn a picture into a pattern.

    Parameters
    ----------
    picture : Picture
        The picture.
    palette : Palette
        Bead colours to choose from.
    options : ConvertOptions
        The user's choices.
    progress : callable, optional
        Is told the name of each stage as it begins.

    Raises
    ------
    SizeError, PictureError, PaletteError, ThreadPathError
        The options, the picture or the palette do not allow a pattern.
    """
    palette = of_sizes(palette, options.sizes)
    progress("Laying out loops")
    layout = lay_out(picture, options)
    progress("Sampling the picture")
    (wanted,) = wanted_colours(picture, [layout])
    return woven(picture, palette, options, layout, wanted, progress)


def wanted_colours(picture: Picture, layouts: Sequence[Layout]) -> list[FloatArray]:
    """Return for each layout the mean light of the picture in each bead's cell, shape (B, 3), linear sRGB."""
    return bead_means(picture, [(layout.weave, layout.full) for layout in layouts])


def woven(
    picture: Picture,
    palette: Palette,
    options: ConvertOptions,
    layout: Layout,
    wanted: FloatArray,
    progress: Progress = lambda stage: None,
) -> Result:
    """Turn what the beads are wanted to show into a pattern; see `convert`.

    Parameters
    ----------
    layout : Layout
        The sheet laid over the picture.
    wanted : ndarray of shape (B, 3), float64
        Mean light of the picture in each bead's cell, linear sRGB.
    """
    palette = of_sizes(palette, options.sizes)
    weave = layout.weave
    progress("Choosing beads")
    choice = choose(with_tips(wanted, weave, options.edge), weave, palette, options)
    difference = ciede2000(linear_to_lab(wanted), palette.labs()[choice.chosen[: weave.beads]])
    pattern, report = with_thread(
        Pattern(
            picture.name,
            layout.shape,
            weave,
            palette,
            choice.chosen,
            NO_THREAD,
            options.supplies,
            adjustments=picture.adjustments,
        ),
        options,
        progress,
    )
    return Result(
        pattern,
        report,
        layout.full,
        wanted,
        float(difference.mean()),
        (*picture.notes, *layout.notes),
        choice.nearest[: weave.beads],
        choice.gap,
    )


def with_tips(wanted: FloatArray, weave: Weave, edge: str) -> FloatArray:
    """Return the light wanted, followed by that of the small beads at the tips where the edge has such."""
    return np.concatenate([wanted, wanted_at_tips(wanted, weave)]) if edge == "points" else wanted


def with_thread(
    pattern: Pattern, options: ConvertOptions, progress: Progress
) -> tuple[Pattern, ThreadReport]:
    """Return a pattern with its thread path, and the proof of that.

    Parameters
    ----------
    pattern : Pattern
        The piece, as yet without a thread.
    options : ConvertOptions
        Path, start, edge and supplies are followed.
    progress : callable
        Is told the name of each stage as it begins.

    Raises
    ------
    ThreadPathError, SizeError
        The piece cannot be woven with these supplies.
    """
    progress("Planning the thread")
    plan = plan_thread(
        pattern.weave,
        path=options.path,
        start=options.start,
        edge=options.edge,
        supplies=options.supplies,
    )
    progress("Proving the thread path")
    return replace(pattern, thread=plan), verify(pattern.weave, plan, options.supplies)


def of_sizes(palette: Palette, sizes: tuple[BeadSize, BeadSize]) -> Palette:
    """Return the part of a palette that two bead sizes can use.

    Raises
    ------
    PaletteError
        The palette has no bead of one of the sizes.
    """
    for size in sizes:
        if not len(palette.for_size(size.name)):
            known = sorted({entry.size for entry in palette.entries if entry.size is not None})
            raise PaletteError(
                f"palette {palette.name} has no bead of size {size.name}",
                f"it has {', '.join(known)}; an empty size stands for a colour that comes in every size",
            )
    names = {None, *(size.name for size in sizes)}
    return Palette(palette.name, tuple(entry for entry in palette.entries if entry.size in names))
