"""What maps a piece onto itself: repeats and mirror lines, and the beads that are therefore alike.

Places are counted on the lattice, in half loops along a row and in rows across it, from the centre of the
first place of the first row. Mirror lines across a row lie on whole half loops, in two sizes through the
centres of cores; those along a row are the centre lines of rows (own derivation, checked by the tests).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.errors import SizeError
from convert.weave.model import FloatArray, IntArray, Weave
from convert.weave.tips import tips_of

NO_BEAD = -1
# Places are compared on a grid of this share of a half loop and of a row; an odd shift keeps those of one
# size off its lines.
_GRID, _SHIFT = 2**-10, 0.3183


@dataclass(frozen=True, slots=True)
class Symmetry:
    """The repeats and the mirror lines of a piece.

    Parameters
    ----------
    repeat_loops : int or None
        Loops of a row after which the piece repeats.
    repeat_rows : int or None
        Rows after which it repeats, an even number, since every other row is shifted.
    mirror_half_loops : int or None
        A mirror line across the rows, so many half loops from the first place of the first row.
    mirror_row : int or None
        The row, from 0, whose centre line is a mirror line.
    direction : str
        Which way the rows run, see `convert.weave.lattice.sheet`.

    Raises
    ------
    SizeError
        A repeat is none.
    """

    repeat_loops: int | None = None
    repeat_rows: int | None = None
    mirror_half_loops: int | None = None
    mirror_row: int | None = None
    direction: str = "across"

    def __post_init__(self) -> None:
        if self.repeat_loops is not None and self.repeat_loops < 1:
            raise SizeError(f"a repeat is one loop or more, not {self.repeat_loops}")
        if self.repeat_rows is not None and (self.repeat_rows < 2 or self.repeat_rows % 2):
            raise SizeError(f"a repeat is an even number of rows, not {self.repeat_rows}")

    @property
    def repeats(self) -> bool:
        """Whether there is a repeat."""
        return (self.repeat_loops, self.repeat_rows) != (None, None)

    @property
    def mirrors(self) -> bool:
        """Whether there is a mirror line."""
        return (self.mirror_half_loops, self.mirror_row) != (None, None)

    @property
    def mirror_words(self) -> str:
        """How it is mirrored as the page lies: ``across``, ``down``, ``both``, or nothing."""
        if None not in (self.mirror_half_loops, self.mirror_row):
            return "both"
        if not self.mirrors:
            return ""
        return "across" if (self.mirror_row is None) == (self.direction == "across") else "down"

    def only_repeats(self) -> "Symmetry":
        """Return the same without mirror lines."""
        return Symmetry(self.repeat_loops, self.repeat_rows, direction=self.direction)

    def on_lattice(self, xy: FloatArray, weave: Weave) -> FloatArray:
        """Return points in mm, shape (..., 2), as half loops along a row and rows across it."""
        along, across = np.moveaxis(xy if self.direction == "across" else xy[..., ::-1], -1, 0)
        half_mm, row_mm = lattice_mm(weave)
        return np.stack([along / half_mm, across / row_mm], axis=-1)

    def folded(self, places: FloatArray, loops: int | None = None) -> FloatArray:
        """Return places on the lattice, shape (..., 2), each moved to the one that stands for all alike.

        Parameters
        ----------
        places : ndarray of shape (..., 2), float64
            From `on_lattice`.
        loops : int, optional
            Loops in the round of a piece that is closed to a ring.
        """
        half_loops = self.repeat_loops or loops
        periods = None if half_loops is None else 2 * half_loops, self.repeat_rows
        lines = self.mirror_half_loops, self.mirror_row
        along, across = (
            _folded(places[..., axis], period, line)
            for axis, (period, line) in enumerate(zip(periods, lines, strict=True))
        )
        return np.stack([along, across], axis=-1)


def lattice_mm(weave: Weave) -> tuple[float, float]:
    """Return the length of half a loop along a row, and the distance of rows."""
    pitch_mm = weave.spacing.pitch_mm
    return pitch_mm / 2, pitch_mm * 3**0.5 / 2


def _folded(values: FloatArray, period: int | None, line: int | None) -> FloatArray:
    if line is not None:
        values = values - line
    if period is not None:
        values = (values + _GRID / 2) % period - _GRID / 2
    if line is not None:
        values = np.abs(values)
        if period is not None:
            values = np.minimum(values, period - values)
    return values


def alike(weave: Weave, symmetry: Symmetry) -> IntArray:
    """Return for each bead the first one that is to have its colour, shape (B + T,), small tip beads last.

    Parameters
    ----------
    weave : Weave
        The piece.
    symmetry : Symmetry
        What maps it onto itself.
    """
    tips = tips_of(weave)
    first = _first_alike(weave, symmetry, weave.bead_xy)
    return tips.extended(first, tips.first + _first_alike(weave, symmetry, weave.junction_xy[tips.junctions]))


def alike_loops(weave: Weave, symmetry: Symmetry) -> IntArray:
    """Return for each loop the first one that it repeats or mirrors, shape (L,); parameters as in `alike`."""
    return _first_alike(weave, symmetry, weave.loop_xy)


def mirror_partners(weave: Weave, symmetry: Symmetry) -> IntArray:
    """Return the beads that mirror each bead of the weave, shape (B, 3).

    The columns are its images in the mirror line across the rows, in that along the rows, and in both;
    `NO_BEAD` where there is no such line or nothing is woven there. A bead on a line is its own image. In a
    piece that repeats, too, they are the images in the lines that are nearest to the beginning.

    Parameters
    ----------
    weave : Weave
        The piece.
    symmetry : Symmetry
        Its mirror lines.
    """
    places = symmetry.on_lattice(weave.bead_xy, weave)
    found = np.full((weave.beads, 3), NO_BEAD, np.int32)
    lines = symmetry.mirror_half_loops, symmetry.mirror_row
    for column, turned in enumerate(((True, False), (False, True), (True, True))):
        if any(line is None for line, wanted in zip(lines, turned, strict=True) if wanted):
            continue
        images = np.stack(
            [
                2 * (line or 0) - of_axis if wanted else of_axis
                for of_axis, line, wanted in zip(places.T, lines, turned, strict=True)
            ],
            axis=1,
        )
        at = found_at(weave, images, weave.bead_xy, symmetry)
        same = (at != NO_BEAD) & (weave.bead_size[at] == weave.bead_size)
        found[same, column] = at[same]
    return found


def found_at(weave: Weave, places: FloatArray, xy: FloatArray, symmetry: Symmetry) -> IntArray:
    """Return which of some points of a weave lies at each place on its lattice, `NO_BEAD` where none does.

    Parameters
    ----------
    weave : Weave
        The weave; in a ring places a round apart are one.
    places : ndarray of shape (N, 2), float64
        Places as `Symmetry.on_lattice` gives them.
    xy : ndarray of shape (M, 2), float64
        The points, in mm.
    symmetry : Symmetry
        Which way the rows run.
    """
    period = Symmetry(repeat_loops=None if weave.seam is None else weave.seam.loops)
    keys = _keys(period.folded(symmetry.on_lattice(xy, weave)))
    wanted = _keys(period.folded(places))
    if not len(keys):
        return np.full(len(wanted), NO_BEAD, np.int32)
    order = np.argsort(keys)
    at = order[np.minimum(np.searchsorted(keys, wanted, sorter=order), len(keys) - 1)]
    return np.where(keys[at] == wanted, at, NO_BEAD).astype(np.int32)


def _first_alike(weave: Weave, symmetry: Symmetry, xy: FloatArray) -> IntArray:
    """Return for each of some points the first that is folded to the same place."""
    loops = None if weave.seam is None else weave.seam.loops
    keys = _keys(symmetry.folded(symmetry.on_lattice(xy, weave), loops))
    _, first, which = np.unique(keys, return_index=True, return_inverse=True)
    return first[which].astype(np.int32)


def _keys(places: FloatArray) -> NDArray[np.int64]:
    grid = np.rint(places / _GRID + _SHIFT).astype(np.int64)
    return grid[..., 0] * (1 << 32) + grid[..., 1]
