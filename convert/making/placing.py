"""Where an outline is laid on a sheet, so that few loops are cut unfairly and mirrored sides come out alike.

A sheet has mirror lines only through the middle of a row, and across the rows through the centre of a core.
An outline that is its own mirror image is laid with its axis on such a line; where it may still be moved, and
by a little made larger or smaller, what fits best is taken.
"""

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.errors import PictureError, ShapeError
from convert.making.woven_part import LEAST_COVERAGE, woven_part
from convert.outline.covering import shares
from convert.outline.outline import Outline
from convert.weave.lattice import REPEAT_TWO_SIZES
from convert.weave.model import FloatArray

# By how much an outline may be drawn smaller or larger than asked for, and where in a loop it may begin.
_SCALES = (0.94, 0.96, 0.98, 1.0, 1.02, 1.04, 1.06, 1.09)
_PLACES = 6
# Above so many loops one placing is as good as another.
_MANY_LOOPS = 800
# What a miss of a side that is asked for and of one that follows weighs against an unfair cut, as shares.
_ASKED, _FOLLOWS = 3.0, 1.5
_DIGITS = 9
LEAST_LOOPS = 3


@dataclass(frozen=True, slots=True)
class Wanted:
    """A size asked for, along rows and across them in mm; None where it follows from the outline."""

    along_mm: float | None
    across_mm: float | None


@dataclass(frozen=True, slots=True)
class _Lattice:
    """Loops in rows: their pitch, the distance of rows, and the finished size of a single loop, in mm."""

    pitch_mm: float
    loop_mm: tuple[float, float]

    @property
    def row_mm(self) -> float:
        return self.pitch_mm * math.sqrt(3) / 2

    def beyond_mm(self) -> FloatArray:
        """Return how much a piece reaches beyond the cells of its loops, along rows and across them."""
        return np.array(self.loop_mm) - (self.pitch_mm, self.pitch_mm * 2 / math.sqrt(3))

    def size_mm(self, centres: FloatArray) -> FloatArray:
        """Return the finished size of a piece of these loops."""
        return np.asarray(np.ptp(centres, axis=0) + self.loop_mm)


def placed(
    outline: Outline,
    wanted: Wanted,
    pitch_mm: float,
    loop_mm: tuple[float, float],
    *,
    rows_down: bool,
    gap_at_top: bool,
) -> NDArray[np.bool_]:
    """Return the loops of a sheet that an outline takes, shape (rows, places).

    Parameters
    ----------
    outline : Outline
        The outline.
    wanted : Wanted
        Its finished size.
    pitch_mm : float
        Distance of loops in a row.
    loop_mm : tuple of float
        Finished size of a single loop along its row and across it.
    rows_down : bool
        Whether rows of loops run down the outline rather than across it.
    gap_at_top : bool
        Whether there must be a gap between two loops, not a loop, at the top of the upright axis.

    Raises
    ------
    ShapeError
        It is too small for this outline.
    """
    lattice = _Lattice(pitch_mm, loop_mm)
    points = outline.points[:, ::-1] if rows_down else outline.points
    mirrored = outline.symmetric[::-1] if rows_down else outline.symmetric
    size = _size_mm(points.max(axis=0), wanted, lattice)
    finished = size + lattice.beyond_mm()
    weight = np.array([_FOLLOWS if side is None else _ASKED for side in (wanted.along_mm, wanted.across_mm)])
    points = points / points.max(axis=0) - 0.5
    needs_gap = gap_at_top and not rows_down and mirrored[0]
    best: tuple[float, NDArray[np.bool_]] | None = None
    many = size.prod() > _MANY_LOOPS * pitch_mm * lattice.row_mm
    scales = (1.0,) if many else _SCALES
    for scale, place in itertools.product(scales, _places(mirrored, lattice, few=many)):
        drawn = points * size * scale + place
        woven, misfit, found = _cut(drawn, lattice, needs_gap=needs_gap)
        if woven is None:
            continue
        score = float((weight * np.abs(found / finished - 1)).sum()) + misfit
        if best is None or score < best[0] - 10.0**-_DIGITS:
            best = score, woven
    if best is None:
        raise ShapeError(
            f"{outline.name} is too small at this size: its loops do not hang together, or are fewer than"
            f" {LEAST_LOOPS}",
            "choose a larger size or smaller beads",
        )
    return best[1]


def _size_mm(shape: FloatArray, wanted: Wanted, lattice: _Lattice) -> FloatArray:
    """Return how large the outline is drawn, along rows and across them, so that beads reach to the size."""
    beyond = lattice.beyond_mm()
    asked = [wanted.along_mm, wanted.across_mm]
    drawn = [None if side is None else side - more for side, more in zip(asked, beyond, strict=True)]
    scale = max(
        (side / whole for side, whole in zip(drawn, shape, strict=True) if side is not None), default=1.0
    )
    found = np.array([shape[axis] * scale if side is None else side for axis, side in enumerate(drawn)])
    if found.min() <= lattice.pitch_mm:
        least = LEAST_LOOPS * lattice.pitch_mm
        raise ShapeError("this is smaller than a few loops", f"make it at least {least:.0f} mm wide and high")
    return found


def _places(mirrored: tuple[bool, bool], lattice: _Lattice, *, few: bool) -> Iterator[tuple[float, float]]:
    """Return where the middle of an outline may lie, from the centre of a core, in mm."""
    steps = np.arange(1 if few else _PLACES) / _PLACES
    # Along the rows its axis is that of a core, across them that of a row, of which two are unlike.
    along = [0.0] if mirrored[0] else (steps * lattice.pitch_mm).tolist()
    across = [0.0, lattice.row_mm] if mirrored[1] else (steps * 2 * lattice.row_mm).tolist()
    if few and not mirrored[1]:
        across = [0.0, lattice.row_mm]
    return itertools.product(along, across)


def _cut(
    points: FloatArray, lattice: _Lattice, *, needs_gap: bool
) -> tuple[NDArray[np.bool_] | None, float, FloatArray]:
    """Return the loops that an outline takes, None if it fails, how unfairly they cut it, and their size."""
    low, high = points.min(axis=0), points.max(axis=0)
    above = 2 * math.ceil(max(0.0, -low[1]) / lattice.row_mm / 2) + 2
    before = math.ceil(max(0.0, -low[0]) / lattice.pitch_mm) + 2
    # The loop at the origin must be a core.
    before += (above // 2 + above - before) % REPEAT_TWO_SIZES
    rows = above + math.ceil(max(0.0, high[1]) / lattice.row_mm) + 2
    places = before + math.ceil(max(0.0, high[0]) / lattice.pitch_mm) + 2
    row, place = np.mgrid[:rows, :places]
    centres = np.stack(
        [(place - before + row % 2 / 2) * lattice.pitch_mm, (row - above) * lattice.row_mm], axis=-1
    )
    cover = shares(centres.reshape(-1, 2), lattice.pitch_mm, 0.0, points).reshape(rows, places)
    # Loops that are halved exactly are woven on both sides of the axis, however they are rounded.
    cover = np.round(cover, _DIGITS)
    failed = None, math.inf, np.zeros(2)
    if (cover >= LEAST_COVERAGE).sum() < LEAST_LOOPS:
        return failed
    try:
        woven = woven_part(cover).woven
    except PictureError:
        return failed
    at = centres[woven]
    if woven.sum() < LEAST_LOOPS or (needs_gap and not _has_gap(at, lattice.pitch_mm)):
        return failed
    misfit = float(np.abs(cover - woven).sum() / cover.sum())
    return _trimmed(woven), misfit, lattice.size_mm(at)


def _has_gap(centres: FloatArray, pitch_mm: float) -> bool:
    """Return whether of the loops about the upright axis the topmost lie beside it."""
    off = np.abs(centres[:, 0]) / pitch_mm
    on, beside = centres[off < 0.25, 1], centres[(off > 0.25) & (off < 0.75), 1]
    return bool(len(beside) and (not len(on) or beside.min() < on.min()))


def _trimmed(woven: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return a sheet without its empty margins, as far as shifted rows stay so and cores stay cores."""
    rows, places = np.flatnonzero(woven.any(axis=1)), np.flatnonzero(woven.any(axis=0))
    top, left = rows[0] // 2 * 2, places[0] // REPEAT_TWO_SIZES * REPEAT_TWO_SIZES
    return woven[top : rows[-1] + 1, left : places[-1] + 1].copy()
