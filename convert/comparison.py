"""Bead sizes side by side before anything is woven: how large, how long, how dear, and what is lost."""

import math
import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from convert.advice import advised
from convert.candidates import READINGS, SAME_LOOPS, SAME_WIDTH, Candidate, SizeComparison, Sizes, sizes_name
from convert.colour.palette import Palette
from convert.detail import Detail
from convert.errors import ConvertError, SizeError, StockError
from convert.layout import DEFAULT_WIDTH_MM, Layout, lay_out_each
from convert.needs import bead_bytes, finished_width_mm, loops_across, loops_needed, of_loops, with_sizes
from convert.part import WHOLE, Part
from convert.picture import Picture
from convert.pipeline import ConvertOptions, Result, of_sizes, wanted_colours, woven
from convert.viewing import VIEW_DISTANCE_M
from convert.weave.model import Weave

BEADS_PER_HOUR = 100.0
"""How many beads are woven in an hour. Common practice, no source; every hand is different."""
# The size that panels are woven in if nothing is said, and so the one to compare with.
_USUAL = "11/0"


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
        No sizes or no time are given, or the palette has no beads of a size.
    SizeError, PictureError, StockError
        No candidate can be woven; where only some cannot, these are left out with a note.
    """
    if not sizes:
        raise SizeError("there are no bead sizes to compare", "give some with --beads")
    if not (math.isfinite(beads_per_hour) and beads_per_hour > 0):
        raise SizeError(f"beads in an hour must be more than 0 and finite, not {beads_per_hour:g}")
    sizes = list({sizes_name(pair): pair for pair in sizes}.values())
    for pair in sizes:
        of_sizes(palette, pair)
    usual = next((pair for pair in sizes if sizes_name(pair) == _USUAL), sizes[0])
    chosen = _readings(picture, options, usual)
    wishes = [(reading, with_sizes(chosen[reading], pair)) for reading in READINGS for pair in sizes]

    progress("Laying out loops")
    jobs: list[tuple[str, ConvertOptions, Layout]] = []
    refused: list[tuple[str, ConvertOptions, ConvertError]] = []
    for wish, laid_out in zip(wishes, lay_out_each(picture, [one for _, one in wishes]), strict=True):
        if isinstance(laid_out, Layout):
            jobs.append((*wish, laid_out))
        else:
            refused.append((*wish, laid_out))
    progress("Sampling the picture")
    wanted = wanted_colours(picture, [layout for *_, layout in jobs])
    whole = Detail(picture, WHOLE)
    detail = whole if part.is_whole else Detail(picture, part)

    def made(job: tuple[str, ConvertOptions, Layout], colours: NDArray[np.uint8]) -> Candidate | StockError:
        reading, of_job, layout = job
        try:
            result = woven(picture, palette, of_job, layout, colours)
        except StockError as error:
            return error
        return _judged(reading, of_job, layout.full, result, (whole, detail), beads_per_hour, distance_m)

    candidates: list[Candidate] = []
    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        # It takes as long as a few candidates, and waits for none unless they are bound to some beads.
        of_usual = with_sizes(options, usual)
        needed = None if options.limits else pool.submit(loops_needed, detail, palette, of_usual)
        # The usual size is the same piece in both readings.
        keys = [(of_job.sizes, layout.shape.woven.shape) for _, of_job, layout in jobs]
        firsts = {key: number for number, key in reversed(list(enumerate(keys)))}
        futures = {key: pool.submit(made, jobs[first], wanted[first]) for key, first in firsts.items()}
        for (reading, of_job, _), key in zip(jobs, keys, strict=True):
            progress(f"Comparing {sizes_name(of_job.sizes)}")
            one = futures[key].result()
            if isinstance(one, Candidate):
                candidates.append(replace(one, reading=reading))
            else:
                refused.append((reading, of_job, one))
    if not candidates:
        raise refused[0][-1]
    progress("Finding the size it needs")
    candidates = _marked(candidates)
    here = next((one for one in candidates if (one.reading, one.sizes) == (SAME_WIDTH, usual)), None)
    across = None
    if needed is not None:
        across = needed.result()
    elif here is not None:
        across = loops_needed(detail, _used(here), of_usual)
    needs, advice = advised(candidates, here, across, with_sizes(options, usual), detail)
    notes = [
        f"{sizes_name(of_job.sizes)} is left out at the {READINGS[reading].lower()}: {error}"
        for reading, of_job, error in refused
    ]
    return SizeComparison(tuple(candidates), part, needs, advice, beads_per_hour, distance_m, tuple(notes))


def _used(candidate: Candidate) -> Palette:
    """Return the part of the palette that a candidate uses."""
    pattern = candidate.result.pattern
    return Palette(pattern.palette.name, tuple(pattern.palette.entries[one] for one in pattern.used.tolist()))


def stages(sizes: int) -> int:
    """Return how often `compare_sizes` tells its progress."""
    return len(READINGS) * sizes + 3


def _readings(picture: Picture, options: ConvertOptions, usual: Sizes) -> dict[str, ConvertOptions]:
    """Return the options for each reading."""
    if options.width_mm is None and options.height_mm is None and options.across is None:
        options = replace(options, width_mm=DEFAULT_WIDTH_MM)
    of_usual = with_sizes(options, usual)
    across = options.across or loops_across(picture, of_usual)
    width = options.width_mm
    if width is None:
        width = finished_width_mm(picture, of_usual)
    return {
        SAME_WIDTH: replace(options, width_mm=width, height_mm=None, across=None),
        SAME_LOOPS: of_loops(options, across),
    }


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
