"""From a picture and a palette to a pattern: the only place that knows the order of the stages."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from convert.choosing import ColourSettings, choose, wanted_at_tips
from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import srgb_to_lab
from convert.colour.palette import Palette
from convert.colour.srgb import encode_to_bytes
from convert.errors import PaletteError, SizeError
from convert.judging import Comparison, compare
from convert.pattern import Pattern
from convert.picture import Picture
from convert.sampling import polygon_means
from convert.silhouette import woven_loops
from convert.thread.edging import EDGES
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies, ThreadPlan
from convert.thread.verifier import ThreadReport, verify
from convert.weave.beads import BeadSize
from convert.weave.fit import FITS, sheet_beads, sheet_loops
from convert.weave.model import FloatArray, IntArray, Weave
from convert.weave.shapes import Sheet
from convert.weave.spacing import Spacing, gauge_spacing, model_spacing

DEFAULT_WIDTH_MM = 100.0
MOST_BEADS = 1_000_000
# More of the picture lost than this is worth a word to the user.
CROP_WORTH_SAYING = 0.05

Progress = Callable[[str], None]

NO_THREAD = ThreadPlan(np.empty(0, np.int32), np.empty(0, np.int32))


@dataclass(frozen=True, slots=True)
class ConvertOptions(ColourSettings):
    """What the user may choose for a panel; see the command line's help for each."""

    beads: BeadSize
    connectors: BeadSize
    width_mm: float | None = None
    height_mm: float | None = None
    across: int | None = None
    fit: str = "cover"
    direction: str = "across"
    gauge_mm: float | None = None
    path: str = "steady"
    start: str = "corner"
    supplies: Supplies = field(default_factory=Supplies)
    edge: str = "plain"
    most_beads: int = MOST_BEADS

    def __post_init__(self) -> None:
        if self.fit not in FITS:
            raise SizeError(f"a picture can {' or '.join(FITS)}, not '{self.fit}'")
        if self.edge not in EDGES:
            raise SizeError(f"an edge is {' or '.join(EDGES)}, not '{self.edge}'")
        ColourSettings.__post_init__(self)

    @property
    def sizes(self) -> tuple[BeadSize, BeadSize]:
        """Core and connector."""
        return self.beads, self.connectors

    @property
    def spacing(self) -> Spacing:
        """Sides of the loops, from the gauge where one is given."""
        if self.gauge_mm is None:
            return model_spacing(*self.sizes)
        return gauge_spacing(*self.sizes, self.gauge_mm)


@dataclass(frozen=True, eq=False, slots=True)
class Result:
    """A pattern and what was learnt on the way.

    Parameters
    ----------
    pattern : Pattern
        The pattern, its thread path proven.
    thread : ThreadReport
        What the proof counted.
    wanted : ndarray of shape (B, 3), uint8
        Colour of the picture in each bead's cell, encoded sRGB.
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
    wanted: NDArray[np.uint8]
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
    shape, weave, full, notes = _lay_out(picture, options)
    progress("Sampling the picture")
    wanted = encode_to_bytes(bead_means(picture, weave, full))
    progress("Choosing beads")
    choice = choose(with_tips(wanted, weave, options.edge), weave, palette, options)
    difference = ciede2000(srgb_to_lab(wanted), palette.labs()[choice.chosen[: weave.beads]])
    pattern, report = with_thread(
        Pattern(
            picture.name,
            shape,
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
        wanted,
        float(difference.mean()),
        (*picture.notes, *notes),
        choice.nearest[: weave.beads],
        choice.gap,
    )


def judge(result: Result, backing: str, distance_m: float) -> Comparison | None:
    """Return how well the beads show the picture from a distance; None where no picture was followed.

    Parameters
    ----------
    result : Result
        The pattern and what was learnt.
    backing : str
        Colour of what lies behind the beads, ``#RRGGBB``.
    distance_m : float
        Distance of the eye.
    """
    if result.nearest is None:
        return None
    return compare(result.pattern, result.wanted, result.nearest, backing, distance_m)


def with_tips(wanted: NDArray[np.uint8], weave: Weave, edge: str) -> NDArray[np.uint8]:
    """Return the colours wanted, followed by those of the small beads at the tips where the edge has such."""
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


def _lay_out(picture: Picture, options: ConvertOptions) -> tuple[Sheet, Weave, Weave, list[str]]:
    """Return the shape, its weave, the weave of the full sheet it lies in, and notes."""
    height_px, width_px = picture.pixels.shape[:2]
    sized = (options.width_mm, options.height_mm, options.across) != (None, None, None)
    rows, places = sheet_loops(
        options.sizes,
        options.spacing,
        width_px / height_px,
        direction=options.direction,
        width_mm=options.width_mm if sized else DEFAULT_WIDTH_MM,
        height_mm=options.height_mm,
        across=options.across,
        fit=options.fit,
    )
    beads = sheet_beads(rows, places)
    if beads > options.most_beads:
        raise too_many_beads(beads, options.most_beads)
    shape = Sheet(np.ones((rows, places), bool), options.direction)
    full = shape.build(options.sizes, options.spacing)
    notes = crop_notes(picture, full)
    if picture.alpha is None or picture.alpha.min() == 255:
        return shape, full, full, notes
    woven, dropped = woven_loops(loop_coverage(picture, full).reshape(rows, places))
    if dropped:
        lone = "1 single loop" if dropped == 1 else f"{dropped} single loops"
        notes.append(f"{lone} that hung by nothing left out")
    if woven.all():
        return shape, full, full, notes
    shape = Sheet(woven, options.direction)
    return shape, shape.build(options.sizes, options.spacing), full, notes


def too_many_beads(beads: int, limit: int) -> SizeError:
    """Return the refusal of a piece with more beads than the limit."""
    return SizeError(
        f"this size takes {beads:,} beads, more than the limit of {limit:,}",
        "choose a smaller size or larger beads, or raise the limit with --max-beads",
    )


def crop_notes(picture: Picture, full: Weave) -> list[str]:
    """Return a note on how much of the picture lies outside a piece, if that is worth saying."""
    scale, _ = onto_picture(picture, full)
    shown = np.ptp(full.cells.reshape(-1, 2), axis=0) * scale
    lost = 1 - float(shown[0] * shown[1]) / (picture.pixels.shape[0] * picture.pixels.shape[1])
    if lost <= CROP_WORTH_SAYING:
        return []
    return [f"{lost:.0%} of the picture lies outside the piece and is cropped"]


def loop_coverage(picture: Picture, full: Weave) -> FloatArray:
    """Return the share of each loop of a piece that the picture covers, shape (L,)."""
    return polygon_means(picture, _to_pixels(picture, full, full.loop_corners))[1]


def onto_picture(picture: Picture, full: Weave) -> tuple[float, FloatArray]:
    """Return pixels in a millimetre and the offset that lay a full sheet's cells over the picture."""
    cells = full.cells.reshape(-1, 2)
    low, high = cells.min(axis=0), cells.max(axis=0)
    size_px = np.array(picture.pixels.shape[1::-1], float)
    scale = float((size_px / (high - low)).min())
    return scale, size_px / 2 - scale * (low + high) / 2


def _to_pixels(picture: Picture, full: Weave, points_mm: FloatArray) -> FloatArray:
    scale, offset = onto_picture(picture, full)
    return points_mm * scale + offset


def bead_means(picture: Picture, weave: Weave, full: Weave) -> FloatArray:
    """Return the mean colour of the picture in each bead's cell, shape (B, 3), linear sRGB.

    It is NaN where neither the bead's cell nor its loop shows any of the picture.

    Parameters
    ----------
    picture : Picture
        The picture.
    weave : Weave
        The woven part.
    full : Weave
        The full sheet, which is what the picture is laid over.
    """
    means, coverage = polygon_means(picture, _to_pixels(picture, full, weave.cells))
    bare = coverage <= 0
    if bare.any():
        # A bead at the rim of a silhouette may show none of the picture. There a loop is woven only if the
        # picture covers half of it, so the mean over the bead's loop is always there.
        loops = weave.side_loop[weave.bead_sides[bare, 0]]
        means[bare] = polygon_means(picture, _to_pixels(picture, full, weave.loop_corners[loops]))[0]
    return means
