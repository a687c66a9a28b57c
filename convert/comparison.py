"""Bead sizes side by side before anything is woven: how large, how long, how dear, and what is lost."""

import math
import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from convert.colour.lab import srgb_to_lab
from convert.colour.matching import nearest
from convert.colour.palette import Palette
from convert.colour.srgb import encode_to_bytes, parse_hex
from convert.detail import WHOLE, Part, Surviving, edges_surviving, enough, reduced, surviving, window
from convert.errors import PaletteError, SizeError
from convert.materials import FinishedSize, finished_size, materials
from convert.picture import Picture
from convert.pipeline import DEFAULT_WIDTH_MM, ConvertOptions, Result, convert, of_sizes
from convert.sampling import polygon_means
from convert.weave.beads import BeadSize, bead_size, named_sizes
from convert.weave.fit import sheet_beads, sheet_loops
from convert.weave.model import Weave
from convert.weave.shapes import Sheet

BEADS_PER_HOUR = 100.0
"""How many beads are woven in an hour. Common practice, no source; every hand is different."""
SAME_WIDTH, SAME_LOOPS = "width", "loops"
READINGS = {SAME_WIDTH: "Same finished width", SAME_LOOPS: "Same number of loops across"}
# The size that panels are woven in if nothing is said, and so the one to compare with.
_USUAL = "11/0"
_MOST_LOOPS = 400
# A piece of few beads is seldom meant to show detail; in one of very many there is enough of it.
_FEWEST_BEADS_NOTED, _MOST_BEADS_NOTED = 500, 50_000
_PAIR = "+"

Sizes = tuple[BeadSize, BeadSize]


@dataclass(frozen=True, eq=False, slots=True)
class Candidate:
    """One size of bead in one reading.

    Parameters
    ----------
    sizes : tuple of BeadSize
        Core and connector.
    reading : str
        A key of `READINGS`.
    result : Result
        The pattern.
    full : Weave
        The full sheet, which is what the picture is laid over.
    whole, part : Surviving or None
        What survives of the whole picture and of the part that is judged; None where it is not in the piece.
    beads_wide : float
        How many beads wide that part is, along a row of beads.
    hours : float
        Time to weave it.
    marked : bool
        Whether it is the smallest of its reading in which the detail survives.
    """

    sizes: Sizes
    reading: str
    result: Result
    full: Weave
    whole: Surviving | None
    part: Surviving | None
    beads_wide: float
    hours: float
    marked: bool = False

    @property
    def name(self) -> str:
        """The sizes as the user gives them."""
        return sizes_name(self.sizes)

    @property
    def finished(self) -> FinishedSize:
        """Finished width and height with their range."""
        return finished_size(self.result.pattern)

    @property
    def beads(self) -> int:
        """Beads of the piece."""
        return len(self.result.pattern.bead_colour)

    @property
    def loops(self) -> int:
        """Loops of the piece."""
        return self.result.pattern.weave.loops

    @property
    def colours(self) -> int:
        """Colours used."""
        return self.result.pattern.colours

    @property
    def grams(self) -> float:
        """Weight to have at hand, with spare beads."""
        return sum(row.grams for row in materials(self.result.pattern))

    @property
    def cost(self) -> float | None:
        """Price of the packs to buy; None where the palette has no prices."""
        costs = [row.cost for row in materials(self.result.pattern) if row.cost is not None]
        return sum(costs) if costs else None

    @property
    def thread_m(self) -> float:
        """Length of the thread in metres."""
        return self.result.thread.length_mm / 1000

    @property
    def survives(self) -> bool:
        """Whether the detail survives."""
        return self.part is not None and self.part.enough


@dataclass(frozen=True, eq=False, slots=True)
class SizeComparison:
    """All candidates, and what to choose.

    Parameters
    ----------
    candidates : tuple of Candidate
        Those of the same width first.
    part : Part
        The part of the picture that is judged.
    needs : float or None
        How many beads wide that part has to be; None where no piece keeps it, or nothing can be lost.
    advice : str
        What to choose, in words.
    """

    candidates: tuple[Candidate, ...]
    part: Part
    needs: float | None
    advice: str


def sizes_name(sizes: Sizes) -> str:
    """Return a pair of sizes as the user gives it, such as ``11/0`` or ``11/0+8/0``."""
    return _PAIR.join(dict.fromkeys(size.name for size in sizes))


def sizes_named(text: str) -> Sizes:
    """Return core and connector of ``11/0``, ``11/0+8/0`` or measures in mm.

    Raises
    ------
    SizeError
        There is no such size, or there are more than two.
    """
    names = text.split(_PAIR)
    if len(names) > 2:
        raise SizeError(
            f"'{text}' names {len(names)} bead sizes", "give one, or core and connector: 11/0+8/0"
        )
    core, connector = bead_size(names[0]), bead_size(names[-1])
    return core, connector


def sizes_of(palette: Palette) -> list[Sizes]:
    """Return every bead size of a palette, smallest first.

    Raises
    ------
    PaletteError
        The palette names no sizes.
    """
    names = dict.fromkeys(entry.size for entry in palette.entries if entry.size is not None)
    if not names:
        raise PaletteError(
            f"palette {palette.name} names no bead sizes to compare",
            "give sizes with --beads, such as --beads 15/0 --beads 11/0",
        )
    return sorted(((size, size) for size in map(bead_size, names)), key=lambda pair: pair[0].diameter_mm)


def compare_sizes(
    picture: Picture,
    palette: Palette,
    options: ConvertOptions,
    sizes: list[Sizes],
    *,
    part: Part = WHOLE,
    beads_per_hour: float = BEADS_PER_HOUR,
    progress: Callable[[str], None] = lambda stage: None,
) -> SizeComparison:
    """Compare bead sizes in both readings.

    Parameters
    ----------
    picture : Picture
        The picture.
    palette : Palette
        Bead colours of all the sizes.
    options : ConvertOptions
        The user's choices but for the bead sizes. The width, 100 mm if none is given, is that of the first
        reading; the second takes as many loops across as that gives in the size to compare with: 11/0 if it
        is among the sizes, else the first of them.
    sizes : list of tuple of BeadSize
        Core and connector of each candidate.
    part : Part
        Part of the picture to judge.
    beads_per_hour : float
        Beads woven in an hour.
    progress : callable
        Is told what is done next, `stages` times.

    Raises
    ------
    SizeError, PaletteError, ThreadPathError
        A candidate cannot be woven, or no sizes or no time are given.
    """
    if not sizes:
        raise SizeError("there are no bead sizes to compare", "give some with --beads")
    if not (math.isfinite(beads_per_hour) and beads_per_hour > 0):
        raise SizeError(f"beads in an hour must be more than 0, not {beads_per_hour:g}")
    sizes = list({sizes_name(pair): pair for pair in sizes}.values())
    usual = next((pair for pair in sizes if sizes_name(pair) == _USUAL), sizes[0])
    if options.width_mm is None and options.height_mm is None and options.across is None:
        options = replace(options, width_mm=DEFAULT_WIDTH_MM)
    of_usual = _with_sizes(options, usual)
    across = options.across or _loops_across(picture, of_usual)
    width = options.width_mm
    if width is None:
        width = finished_width_mm(picture, of_usual)
    chosen = {
        SAME_WIDTH: replace(options, width_mm=width, height_mm=None, across=None),
        SAME_LOOPS: replace(options, width_mm=None, height_mm=None, across=across),
    }

    def made(job: tuple[str, Sizes]) -> Candidate:
        reading, pair = job
        return _candidate(picture, palette, _with_sizes(chosen[reading], pair), reading, part, beads_per_hour)

    jobs = [(reading, pair) for reading in READINGS for pair in sizes]
    candidates = []
    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        for (_, pair), candidate in zip(jobs, pool.map(made, jobs), strict=True):
            progress(f"Comparing {sizes_name(pair)}")
            candidates.append(candidate)
    candidates = _marked(candidates)
    progress("Finding the size it needs")
    return _advised(picture, palette, candidates, usual, chosen[SAME_WIDTH], part)


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
    if not _FEWEST_BEADS_NOTED <= result.pattern.weave.beads <= _MOST_BEADS_NOTED:
        return ()
    if (options.width_mm, options.height_mm, options.across) == (None, None, None):
        options = replace(options, width_mm=DEFAULT_WIDTH_MM)
    full, weave = _full(picture, options), result.pattern.weave
    seen_in = window(picture, weave, full, WHOLE)
    if seen_in is None:
        return ()
    edges = edges_surviving(picture, seen_in, bead_bytes(result)[seen_in.beads], whole=True)
    if edges is None or enough(edges, whole=True):
        return ()
    width = finished_width_mm(picture, options)
    kept_by = _finer_size(picture, palette, options, width)
    said = f"{1 - edges:.0%} of the picture's edges are lost or out of place at this size"
    if kept_by is not None:
        return (f"{said}; {kept_by} at the same width would keep most of them",)
    return (f"{said}; combweave sizes tells how large the piece would have to be",)


def _finer_size(picture: Picture, palette: Palette, options: ConvertOptions, width_mm: float) -> str | None:
    """Return the coarsest size of a palette, finer than the one chosen, that keeps the picture at a width."""
    picture = reduced(picture, WHOLE)
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
        if bead_spacing_mm(finer) < bead_spacing_mm(options):
            across = _loops_across(picture, finer)
            if survives_at(picture, palette, finer, across, WHOLE):
                return size.name
    return None


def stages(sizes: int) -> int:
    """Return how often `compare_sizes` tells its progress."""
    return len(READINGS) * sizes + 1


def _with_sizes(options: ConvertOptions, sizes: Sizes) -> ConvertOptions:
    return replace(options, beads=sizes[0], connectors=sizes[1])


def _aspect(picture: Picture) -> float:
    height, width = picture.pixels.shape[:2]
    return float(width / height)


def _sheet(picture: Picture, options: ConvertOptions) -> tuple[int, int]:
    """Return rows and loops in a row of a full sheet."""
    return sheet_loops(
        options.sizes,
        options.spacing,
        _aspect(picture),
        direction=options.direction,
        width_mm=options.width_mm,
        height_mm=options.height_mm,
        across=options.across,
        fit=options.fit,
    )


def _loops_across(picture: Picture, options: ConvertOptions) -> int:
    rows, places = _sheet(picture, options)
    return places if options.direction == "across" else rows


def _full(picture: Picture, options: ConvertOptions) -> Weave:
    rows, places = _sheet(picture, options)
    return Sheet(np.ones((rows, places), bool), options.direction).build(options.sizes, options.spacing)


def finished_width_mm(picture: Picture, options: ConvertOptions) -> float:
    """Return the width of a full sheet for a picture."""
    left, _, right, _ = _full(picture, options).extent_mm
    return float(right - left)


def bead_spacing_mm(options: ConvertOptions) -> float:
    """Return how far apart beads lie from left to right: there are two to each loop."""
    spacing = options.spacing
    return float(spacing.pitch_mm if options.direction == "across" else 1.5 * spacing.side_mm) / 2


def bead_bytes(result: Result) -> NDArray[np.uint8]:
    """Return the colours of the beads of a weave, shape (B, 3), encoded sRGB."""
    pattern = result.pattern
    return _palette_bytes(pattern.palette)[pattern.bead_colour[: pattern.weave.beads]]


def _palette_bytes(palette: Palette) -> NDArray[np.uint8]:
    return np.array([parse_hex(entry.hex) for entry in palette.entries], np.uint8)


def _candidate(
    picture: Picture,
    palette: Palette,
    options: ConvertOptions,
    reading: str,
    part: Part,
    beads_per_hour: float,
) -> Candidate:
    result, full = convert(picture, palette, options), _full(picture, options)
    weave, colours = result.pattern.weave, bead_bytes(result)
    whole = _surviving(picture, weave, full, colours, WHOLE)
    judged = whole if part.is_whole else _surviving(picture, weave, full, colours, part)
    left, _, right, _ = full.extent_mm
    beads_wide = part.width * (right - left) / bead_spacing_mm(options)
    hours = len(result.pattern.bead_colour) / beads_per_hour
    return Candidate(options.sizes, reading, result, full, whole, judged, beads_wide, hours)


def _surviving(
    picture: Picture, weave: Weave, full: Weave, colours: NDArray[np.uint8], part: Part
) -> Surviving | None:
    seen_in = window(picture, weave, full, part)
    if seen_in is None:
        return None
    return surviving(picture, seen_in, colours[seen_in.beads], whole=part.is_whole)


def _marked(candidates: list[Candidate]) -> list[Candidate]:
    """Mark in each reading the smallest piece that keeps the detail, of one width that of fewest beads."""

    def rank(candidate: Candidate) -> float:
        size = candidate.finished
        if candidate.reading == SAME_WIDTH:
            return candidate.beads
        return size.width_mm * size.height_mm

    kept = [candidate for candidate in candidates if candidate.survives]
    best = [
        min(of_reading, key=rank)
        for reading in READINGS
        if (of_reading := [candidate for candidate in kept if candidate.reading == reading])
    ]
    return [replace(candidate, marked=candidate in best) for candidate in candidates]


def survives_at(picture: Picture, palette: Palette, options: ConvertOptions, across: int, part: Part) -> bool:
    """Return whether a part survives with so many loops across, without making a whole pattern.

    Parameters
    ----------
    picture : Picture
        The picture.
    palette : Palette
        Bead colours; those of ``options.beads`` are used for every bead.
    options : ConvertOptions
        Bead sizes, direction and distance are followed.
    across : int
        Loops across.
    part : Part
        Part of the picture to judge.
    """
    full = _full(picture, replace(options, width_mm=None, height_mm=None, across=across))
    seen_in = window(picture, full, full, part)
    if seen_in is None:
        return False
    means, coverage = polygon_means(picture, seen_in.cells_px)
    means[coverage <= 0] = 1.0
    entries = palette.for_size(options.beads.name)
    index, _ = nearest(srgb_to_lab(encode_to_bytes(means)), palette.labs()[entries], options.distance)
    colours = _palette_bytes(palette)[entries[index]]
    edges = edges_surviving(picture, seen_in, colours, whole=part.is_whole)
    return enough(edges, whole=part.is_whole)


def loops_needed(picture: Picture, palette: Palette, options: ConvertOptions, part: Part) -> int | None:
    """Return the least number of loops across that keeps a part, None where 400 do not.

    Detail comes and goes a little with where the beads happen to lie; the number is found by halving. The
    picture is made smaller first, as far as it stays finer than the raster on which detail is judged.
    """
    picture = reduced(picture, part)

    def kept(across: int) -> bool:
        # Sizes too large to sample are not tried.
        rows, places = _sheet(picture, replace(options, width_mm=None, height_mm=None, across=across))
        if sheet_beads(rows, places) > options.most_beads:
            return False
        return survives_at(picture, palette, options, across, part)

    low, high = 0, 8
    while not kept(high):
        low, high = high, high * 2
        if low >= _MOST_LOOPS:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if kept(middle) else (middle, high)
    return high


def _advised(
    picture: Picture,
    palette: Palette,
    candidates: list[Candidate],
    usual: Sizes,
    options: ConvertOptions,
    part: Part,
) -> SizeComparison:
    """Return the comparison with its advice."""
    of_width = [candidate for candidate in candidates if candidate.reading == SAME_WIDTH]
    here = next(candidate for candidate in of_width if candidate.sizes == usual)
    what = "the picture" if part.is_whole else "the detail"
    if here.part is None or here.part.edges is None:
        why = "lies outside the piece" if here.part is None else "has no edges that could be lost"
        advice = f"{what[0].upper()}{what[1:]} {why}: choose by size, time and cost."
        return SizeComparison(tuple(candidates), part, None, advice)
    of_usual = _with_sizes(options, usual)
    across = loops_needed(picture, of_sizes(palette, usual), of_usual, part)
    at = f"At {here.finished.width_mm:.0f} mm in {here.name}"
    if across is None:
        advice = (
            f"{at} {what} is {here.beads_wide:.0f} beads wide, and even {_MOST_LOOPS} loops across do not"
            " keep it: give it more contrast, or crop the picture closer."
        )
        return SizeComparison(tuple(candidates), part, None, advice)

    def width_needed(sizes: Sizes) -> float:
        wanted = replace(_with_sizes(options, sizes), width_mm=None, height_mm=None, across=across)
        return math.ceil(finished_width_mm(picture, wanted) / 5) * 5

    needs = (
        part.width
        * finished_width_mm(picture, replace(of_usual, width_mm=None, height_mm=None, across=across))
        / bead_spacing_mm(of_usual)
    )
    wide = f"{at} {what} is {here.beads_wide:.0f} beads wide"
    kept = [candidate for candidate in of_width if candidate.survives]
    if here.survives:
        smallest = min((candidate.sizes for candidate in of_width), key=width_needed)
        least = f"{width_needed(smallest):.0f} mm in {sizes_name(smallest)}"
        advice = (
            f"{wide} and needs about {needs:.0f}: it survives. The smallest piece that keeps it is {least}."
        )
    elif kept:
        coarsest = min(kept, key=lambda candidate: candidate.beads)
        advice = (
            f"{wide}; it needs {math.ceil(needs)}: choose {coarsest.name}, or {width_needed(usual):.0f} mm."
        )
    else:
        finest = max(of_width, key=lambda candidate: candidate.beads)
        others = f"{width_needed(usual):.0f} mm in {here.name}"
        if finest is not here:
            others = f"{width_needed(finest.sizes):.0f} mm in {finest.name} or {others}"
        advice = (
            f"{wide}; it needs {math.ceil(needs)}, and no size here keeps it at this width: choose {others}."
        )
    return SizeComparison(tuple(candidates), part, needs, advice)
