"""Bead sizes side by side before anything is woven: how large, how long, how dear, and what is lost."""

import os
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace
from typing import NamedTuple

from convert.errors import ConvertError, PictureError, SizeError, StockError
from convert.judging.colour_ladder import PayingColours
from convert.judging.detail import Detail
from convert.judging.size_advice import advised
from convert.judging.size_candidates import (
    READINGS,
    SAME_LOOPS,
    SAME_WIDTH,
    Candidate,
    SizeComparison,
    Sizes,
    sizes_name,
)
from convert.judging.size_needed import (
    bead_bytes,
    finished_width_mm,
    in_colours_that_pay,
    loops_across,
    loops_needed,
    of_loops,
    with_sizes,
)
from convert.judging.viewing import VIEW_DISTANCE_M
from convert.making.frame import Frame, sizes_named
from convert.making.from_picture import FromPicture
from convert.making.layout import Layout
from convert.making.options import PanelOptions
from convert.making.over_picture import bead_means
from convert.making.pipeline import of_sizes, woven
from convert.making.shapes.silhouette import WIDTH_MM, Silhouette
from convert.palette.model import Palette
from convert.picture.model import Picture
from convert.picture.part import WHOLE, Part
from convert.settings.weave import check_pace
from convert.weave.model import FloatArray

BEADS_PER_HOUR = 100.0
"""How many beads are woven in an hour. Common practice, no source; every hand is different."""
# The size that panels are woven in if nothing is said, and so the one to compare with.
_USUAL = "11/0"


def compare_sizes(
    picture: Picture,
    palette: Palette,
    options: PanelOptions,
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
    options : PanelOptions
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
    check_pace(beads_per_hour)
    sizes = list({sizes_name(pair): pair for pair in sizes}.values())
    for pair in sizes:
        of_sizes(palette, pair)
    usual = next((pair for pair in sizes if sizes_name(pair) == _USUAL), sizes[0])
    chosen = _readings(picture, options, usual)
    wishes = [_Wish(reading, with_sizes(chosen[reading], pair)) for reading in READINGS for pair in sizes]

    progress("Laying out loops")
    jobs, refused = _laid_out(picture, wishes)
    progress("Sampling the picture")
    wanted = bead_means(picture, [(layout.weave, layout.full) for _, layout in jobs], everywhere=True)
    judge = _Judge(picture, palette, part, beads_per_hour, distance_m)
    of_usual = with_sizes(chosen[SAME_WIDTH], usual)
    candidates: list[Candidate] = []
    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        futures = _begun(pool, judge, jobs, wanted)
        needed = pool.submit(_searched, judge.part, palette, of_usual, _made_at(jobs, futures, usual))
        for (wish, _), future in zip(jobs, futures, strict=True):
            progress(f"Comparing {wish.name}")
            made = future.result()
            if isinstance(made, Candidate):
                candidates.append(replace(made, reading=wish.reading))
            else:
                refused.append((wish, made))
    if not candidates:
        raise refused[0][1]
    progress("Finding the size it needs")
    candidates = _marked(candidates)
    here = next((one for one in candidates if (one.reading, one.sizes) == (SAME_WIDTH, usual)), None)
    shelf, across = needed.result()
    if here is not None:
        # The search has tried other numbers of loops than this, of which it is known what survives.
        loops = loops_across(picture, of_usual)
        if here.survives:
            across = min(across or loops, loops)
        elif across is not None and across <= loops:
            across = loops_needed(judge.part, shelf, of_usual, more_than=loops)
    needs, advice = advised(candidates, here, across, of_usual, judge.part)
    return SizeComparison(
        picture, tuple(candidates), part, needs, advice, beads_per_hour, distance_m, _left_out(refused)
    )


class _Wish(NamedTuple):
    """A piece to compare."""

    reading: str
    options: PanelOptions

    @property
    def name(self) -> str:
        return sizes_name(self.sizes)

    @property
    def sizes(self) -> Sizes:
        return sizes_named(self.options)


def _laid_out(
    picture: Picture, wishes: list[_Wish]
) -> tuple[list[tuple[_Wish, Layout]], list[tuple[_Wish, ConvertError]]]:
    """Return the pieces laid out, and those that cannot be, each with why."""
    found: list[tuple[_Wish, Layout]] = []
    refused: list[tuple[_Wish, ConvertError]] = []
    for wish in wishes:
        try:
            layout = Silhouette.of(wish.options).lay_out(Frame.of(wish.options), picture)
        except (SizeError, PictureError) as error:
            refused.append((wish, error))
        else:
            found.append((wish, layout))
    return found, refused


def _left_out(refused: list[tuple[_Wish, ConvertError]]) -> tuple[str, ...]:
    """Return which sizes are left out and why, those of one reading and reason together."""
    alike: dict[tuple[str, str], list[str]] = {}
    for wish, error in refused:
        alike.setdefault((wish.reading, str(error)), []).append(wish.name)
    return tuple(
        f"{', '.join(names)} {'is' if len(names) == 1 else 'are'} left out at the"
        f" {READINGS[reading].lower()}: {why}"
        for (reading, why), names in alike.items()
    )


class _Judge:
    """Makes pieces and says what survives in them."""

    def __init__(
        self, picture: Picture, palette: Palette, part: Part, beads_per_hour: float, distance_m: float
    ) -> None:
        self._picture, self._palette = picture, palette
        self._beads_per_hour, self._distance_m = beads_per_hour, distance_m
        self._whole = Detail(picture, WHOLE)
        self.part = self._whole if part.is_whole else Detail(picture, part)

    def made(self, wish: _Wish, layout: Layout, means: FloatArray) -> Candidate | StockError:
        """Return a candidate, or why the beads on hand do not suffice for it."""
        options = wish.options
        try:
            chooser = PayingColours(options, self._distance_m)
            source = FromPicture(self._picture, means=means, chooser=chooser)
            result = woven(self._picture.name, layout, source, self._palette, options)
        except StockError as error:
            return error
        weave, full, colours = layout.weave, layout.full, bead_bytes(result)
        whole = self._whole.surviving(weave, full, colours, self._distance_m)
        part = whole
        if self.part is not self._whole:
            part = self.part.surviving(weave, full, colours, self._distance_m)
        left, _, right, _ = full.extent_mm
        beads_wide = (
            self.part.part.width * (right - left) / Frame.of(options).bead_spacing_mm(options.direction)
        )
        hours = len(result.pattern.bead_colour) / self._beads_per_hour
        return Candidate(wish.sizes, wish.reading, result, whole, part, beads_wide, hours)


def _begun(
    pool: ThreadPoolExecutor,
    judge: _Judge,
    jobs: list[tuple[_Wish, Layout]],
    wanted: list[FloatArray],
) -> list[Future[Candidate | StockError]]:
    """Return the work on each piece; that of the usual size is the same in both readings and made once."""
    begun: dict[tuple[Sizes, int, int], Future[Candidate | StockError]] = {}
    futures = []
    for (wish, layout), colours in zip(jobs, wanted, strict=True):
        key = wish.sizes, layout.full.loops, int(layout.full.loop_row.max())
        if key not in begun:
            begun[key] = pool.submit(judge.made, wish, layout, colours)
        futures.append(begun[key])
    return futures


def _made_at(
    jobs: list[tuple[_Wish, Layout]], futures: list[Future[Candidate | StockError]], usual: Sizes
) -> Future[Candidate | StockError] | None:
    """Return the work on the piece that all is compared with, None where it cannot be woven."""
    for (wish, _), future in zip(jobs, futures, strict=True):
        if (wish.reading, wish.sizes) == (SAME_WIDTH, usual):
            return future
    return None


def _searched(
    part: Detail, palette: Palette, options: PanelOptions, usual: Future[Candidate | StockError] | None
) -> tuple[Palette, int | None]:
    """Return the colours of the search, and how many loops across keep the detail in them.

    It waits for the usual piece, whose work was begun before.
    """
    made = None if usual is None else usual.result()
    if isinstance(made, Candidate):
        palette = in_colours_that_pay(palette, options, made.result)
    return palette, loops_needed(part, palette, options)


def stages(sizes: int) -> int:
    """Return how often `compare_sizes` tells its progress."""
    return len(READINGS) * sizes + 3


def _readings(picture: Picture, options: PanelOptions, usual: Sizes) -> dict[str, PanelOptions]:
    """Return the options for each reading."""
    if options.width_mm is None and options.height_mm is None and options.across is None:
        options = replace(options, width_mm=WIDTH_MM)
    of_usual = with_sizes(options, usual)
    across = options.across or loops_across(picture, of_usual)
    width = options.width_mm
    if width is None:
        width = finished_width_mm(picture, of_usual)
    return {
        SAME_WIDTH: replace(options, width_mm=width, height_mm=None, across=None),
        SAME_LOOPS: of_loops(options, across),
    }


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
