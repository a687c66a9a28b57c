"""Bead sizes side by side before anything is woven: how large, how long, how dear, and what is lost."""

import math
import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from convert.colour.palette import Palette
from convert.detail import Detail, Surviving
from convert.errors import PaletteError, SizeError, StockError
from convert.layout import DEFAULT_WIDTH_MM, Layout, lay_out
from convert.materials import FinishedSize, finished_size, materials
from convert.needs import MOST_LOOPS, bead_bytes, finished_width_mm, loops_across, loops_needed, of_loops
from convert.part import WHOLE, Part
from convert.picture import Picture
from convert.pipeline import ConvertOptions, Result, of_sizes, wanted_colours, woven
from convert.viewing import VIEW_DISTANCE_M
from convert.weave.beads import BeadSize, bead_size
from convert.weave.model import Weave

BEADS_PER_HOUR = 100.0
"""How many beads are woven in an hour. Common practice, no source; every hand is different."""
SAME_WIDTH, SAME_LOOPS = "width", "loops"
READINGS = {SAME_WIDTH: "Same finished width", SAME_LOOPS: "Same number of loops across"}
# The size that panels are woven in if nothing is said, and so the one to compare with.
_USUAL = "11/0"
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
    beads_per_hour : float
        Beads woven in an hour.
    distance_m : float
        Distance of the eye.
    notes : tuple of str
        What the user should know, such as which sizes the beads on hand do not suffice for.
    """

    candidates: tuple[Candidate, ...]
    part: Part
    needs: float | None
    advice: str
    beads_per_hour: float
    distance_m: float
    notes: tuple[str, ...]


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
    distance_m: float = VIEW_DISTANCE_M,
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
    distance_m : float
        Distance of the eye.
    progress : callable
        Is told what is done next, `stages` times.

    Raises
    ------
    SizeError, PaletteError, ThreadPathError
        A candidate cannot be woven, or no sizes or no time are given.
    StockError
        The beads on hand suffice for no candidate.
    """
    if not sizes:
        raise SizeError("there are no bead sizes to compare", "give some with --beads")
    if not (math.isfinite(beads_per_hour) and beads_per_hour > 0):
        raise SizeError(f"beads in an hour must be more than 0, not {beads_per_hour:g}")
    sizes = list({sizes_name(pair): pair for pair in sizes}.values())
    for pair in sizes:
        of_sizes(palette, pair)
    usual = next((pair for pair in sizes if sizes_name(pair) == _USUAL), sizes[0])
    chosen = _readings(picture, options, usual)
    jobs = [(reading, _with_sizes(chosen[reading], pair)) for reading in READINGS for pair in sizes]

    progress("Laying out loops")
    layouts = lay_out(picture, [of_job for _, of_job in jobs])
    progress("Sampling the picture")
    wanted = wanted_colours(picture, layouts)
    whole = Detail(picture, WHOLE)
    detail = whole if part.is_whole else Detail(picture, part)

    def made(job: tuple[tuple[str, ConvertOptions], Layout, NDArray[np.uint8]]) -> Candidate | StockError:
        (reading, of_job), layout, colours = job
        try:
            result = woven(picture, palette, of_job, layout, colours)
        except StockError as error:
            return error
        return _judged(reading, of_job, layout.full, result, (whole, detail), beads_per_hour, distance_m)

    candidates, lacking, notes = [], [], []
    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        made_ones = pool.map(made, zip(jobs, layouts, wanted, strict=True))
        for (reading, of_job), candidate in zip(jobs, made_ones, strict=True):
            name = sizes_name(of_job.sizes)
            progress(f"Comparing {name}")
            if isinstance(candidate, Candidate):
                candidates.append(candidate)
            else:
                lacking.append(candidate)
                notes.append(f"left out {name}, {READINGS[reading].lower()}: {candidate}")
    progress("Finding the size it needs")
    if not candidates:
        raise lacking[0]
    candidates = _marked(candidates)
    needs, advice = _advised(palette, candidates, usual, chosen[SAME_WIDTH], detail)
    return SizeComparison(tuple(candidates), part, needs, advice, beads_per_hour, distance_m, tuple(notes))


def stages(sizes: int) -> int:
    """Return how often `compare_sizes` tells its progress."""
    return len(READINGS) * sizes + 3


def _readings(picture: Picture, options: ConvertOptions, usual: Sizes) -> dict[str, ConvertOptions]:
    """Return the options for each reading."""
    if options.width_mm is None and options.height_mm is None and options.across is None:
        options = replace(options, width_mm=DEFAULT_WIDTH_MM)
    of_usual = _with_sizes(options, usual)
    across = options.across or loops_across(picture, of_usual)
    width = options.width_mm
    if width is None:
        width = finished_width_mm(picture, of_usual)
    return {
        SAME_WIDTH: replace(options, width_mm=width, height_mm=None, across=None),
        SAME_LOOPS: of_loops(options, across),
    }


def _with_sizes(options: ConvertOptions, sizes: Sizes) -> ConvertOptions:
    return replace(options, beads=sizes[0], connectors=sizes[1])


def _judged(
    reading: str,
    options: ConvertOptions,
    full: Weave,
    result: Result,
    details: tuple[Detail, Detail],
    beads_per_hour: float,
    distance_m: float,
) -> Candidate:
    """Return a candidate with what survives in it of the whole picture and of the part."""
    weave, colours = result.pattern.weave, bead_bytes(result)
    whole, part = details
    of_whole = whole.surviving(weave, full, colours, distance_m)
    of_part = of_whole if part is whole else part.surviving(weave, full, colours, distance_m)
    left, _, right, _ = full.extent_mm
    beads_wide = part.part.width * (right - left) / options.bead_spacing_mm
    hours = len(result.pattern.bead_colour) / beads_per_hour
    return Candidate(options.sizes, reading, result, full, of_whole, of_part, beads_wide, hours)


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


def _advised(
    palette: Palette,
    candidates: list[Candidate],
    usual: Sizes,
    options: ConvertOptions,
    detail: Detail,
) -> tuple[float | None, str]:
    """Return how many beads wide the detail has to be, if that can be said, and what to choose in words."""
    of_width = [candidate for candidate in candidates if candidate.reading == SAME_WIDTH]
    what = "the picture" if detail.part.is_whole else "the detail"
    if not of_width:
        return None, "The beads on hand suffice for no size at this width: make it smaller, or buy more."
    here = next((candidate for candidate in of_width if candidate.sizes == usual), of_width[0])
    if here.part is None or here.part.edges is None:
        why = "lies outside the piece" if here.part is None else "has no edges that could be lost"
        return None, f"{what[0].upper()}{what[1:]} {why}: choose by size, time and cost."
    picture, of_usual = detail.picture, _with_sizes(options, here.sizes)
    pattern = here.result.pattern
    # Where the user limits the choice of beads, those of the piece are what there is to choose from.
    offered = pattern.palette
    if options.limits:
        offered = Palette(offered.name, tuple(offered.entries[entry] for entry in pattern.used.tolist()))
    across = loops_needed(detail, offered, of_usual)
    wide = f"At {here.finished.width_mm:.0f} mm in {here.name} {what} is {here.beads_wide:.0f} beads wide"
    if across is None:
        return None, (
            f"{wide}, and even {MOST_LOOPS} loops across do not keep it: give it more contrast, or crop the"
            " picture closer."
        )

    def width_needed(sizes: Sizes) -> float:
        wanted = of_loops(_with_sizes(options, sizes), across)
        return math.ceil(finished_width_mm(picture, wanted) / 5) * 5

    full_width = finished_width_mm(picture, of_loops(of_usual, across))
    needs = detail.part.width * full_width / of_usual.bead_spacing_mm
    here_needed = f"{width_needed(here.sizes):.0f} mm"
    kept = [candidate for candidate in of_width if candidate.survives]
    if here.survives:
        smallest = min((candidate.sizes for candidate in of_width), key=width_needed)
        least = f"{width_needed(smallest):.0f} mm in {sizes_name(smallest)}"
        return needs, (
            f"{wide} and needs about {needs:.0f}: it survives. The smallest piece that keeps it is {least}."
        )
    if kept:
        coarsest = min(kept, key=lambda candidate: candidate.beads)
        return needs, f"{wide}; it needs {math.ceil(needs)}: choose {coarsest.name}, or {here_needed}."
    finest = max(of_width, key=lambda candidate: candidate.beads)
    others = f"{here_needed} in {here.name}"
    if finest is not here:
        others = f"{width_needed(finest.sizes):.0f} mm in {finest.name} or {others}"
    return needs, (
        f"{wide}; it needs {math.ceil(needs)}, and no size here keeps it at this width: choose {others}."
    )
