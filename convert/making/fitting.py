"""A sheet over a picture such that what is woven of it has the size that is asked for.

Width and height are those from the first to the last bead. Where the picture is bare at the edges of the
sheet, or its tips are too fine for a loop, the sheet has to be larger than what is asked for: a few are
tried, and the nearest is kept.
"""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from convert.errors import PictureError, SizeError
from convert.making.over_picture import alike_loops_coverage, loop_coverage
from convert.making.woven_part import covered_loops, woven_part
from convert.picture.model import Picture
from convert.weave.islands import neighbours
from convert.weave.model import FloatArray, Weave

if TYPE_CHECKING:
    from convert.making.frame import Frame
    from convert.making.layout import Layout
    from convert.making.shapes.silhouette import Silhouette

# A size that misses what was asked for by more is told.
_WORTH_SAYING = 0.02
_TRIALS = 5
# A sheet so many times as large as what is asked for is as far as trials go.
_MOST_LARGER = 4.0
AXES = ("width", "height")

# Width and height in mm; None where it is not asked for.
Asked = tuple[float | None, float | None]
Size = tuple[float, float]


class _Trial(NamedTuple):
    """A full sheet, the share of each loop that the picture covers, and the size of what is covered."""

    whole: "Layout"
    coverage: FloatArray
    size_mm: Size


@dataclass(frozen=True, slots=True)
class Wish:
    """A size that is asked for, and how near another one is to it.

    Parameters
    ----------
    asked : tuple of float or None
        Width and height in mm; None where it is not asked for.
    inside : bool
        Whether the piece is to lie inside both, which only one of its sides then meets.
    """

    asked: Asked
    inside: bool = False

    def shares(self, size: Size) -> list[float | None]:
        """Return width and height as shares of those asked for; None where they do not count."""
        shares = [
            None if wanted is None else found / wanted for wanted, found in zip(self.asked, size, strict=True)
        ]
        if self.inside:
            most = max(share for share in shares if share is not None)
            shares = [share if share == most else None for share in shares]
        return shares

    def miss(self, size: Size) -> float:
        """Return by what share a size is off at most."""
        return max(abs(share - 1) for share in self.shares(size) if share is not None)

    def notes(self, size: Size, others: list[Size]) -> list[str]:
        """Return what to say of a size that is off by more than a fiftieth.

        Parameters
        ----------
        size : tuple of float
            Width and height that are woven.
        others : list of tuple of float
            Other sizes that can be woven.
        """
        said = []
        for axis, share in enumerate(self.shares(size)):
            wanted = self.asked[axis]
            if share is None or wanted is None or abs(share - 1) <= _WORTH_SAYING:
                continue
            # On the other side of what is asked for.
            beyond = [other[axis] for other in others if (other[axis] < wanted) == (share > 1)]
            if beyond:
                beyond = [max(beyond) if share > 1 else min(beyond)]
            nearest = [f"{length:.1f}" for length in sorted([size[axis], *beyond])]
            said.append(
                f"a {AXES[axis]} of {wanted:g} mm was asked for; the nearest that can be woven"
                f" {'is' if len(nearest) == 1 else 'are'} {' and '.join(nearest)} mm,"
                f" and it is {size[axis]:.1f} mm"
            )
        return said


def fitted(frame: "Frame", whole: "Layout", shape: "Silhouette", picture: Picture) -> "Layout":
    """Return the loops that a picture covers, in the size asked for.

    Parameters
    ----------
    frame : Frame
        What it is laid out with.
    whole : Layout
        The full sheet of the size asked for.
    shape : Silhouette
        What is asked for.
    picture : Picture
        The picture, parts of which are transparent, without margins.

    Raises
    ------
    SizeError
        The size is impossible.
    PictureError
        The picture leaves no loop to weave, or islands.
    """
    asked = shape.asked(frame)
    inside = shape.fit == "contain" and None not in asked
    trials = _trials(frame, shape, picture, whole, Wish(asked, inside))
    best = min(trials, key=lambda trial: Wish(asked, inside).miss(trial.size_mm))
    part = woven_part(best.coverage, shape.islands, mend=shape.mend)
    size = _size_mm(best.whole.full, part.woven)
    # What nobody has asked for is not missed.
    said = Wish((shape.width_mm, shape.height_mm), inside).notes(size, [trial.size_mm for trial in trials])
    if shape.across is not None and (loops := _loops_across(frame, size, shape.direction)) != shape.across:
        said.append(f"{shape.across} loops from left to right were asked for; {loops} come nearest")
    layout = frame.part(best.whole, part.woven, (*part.notes, *said))
    return replace(layout, follows_picture=True)


def cut_out(frame: "Frame", whole: "Layout", shape: "Silhouette", picture: Picture) -> "Layout":
    """Return what a picture covers of a sheet that has its outline or design.

    Raises
    ------
    PictureError
        The picture leaves no loop to weave, or islands; or bridges would spoil what repeats or is mirrored.
    """
    if whole.symmetry is None:
        (covers,) = loop_coverage(picture, [whole.full])
    else:
        covers = alike_loops_coverage(picture, whole.full, whole.symmetry)
    coverage = np.zeros(whole.sheet_shape)
    coverage[whole.woven] = covers
    around = neighbours(whole.woven, joined=whole.joined)
    part = woven_part(coverage, shape.islands, mend=shape.mend, around=around)
    if whole.symmetry is not None and part.is_changed:
        raise PictureError(
            "what is done with islands and weak places would spoil the repeats or the mirror image",
            "leave out --islands and --mend, or --repeat, --join and --mirror",
        )
    return replace(frame.part(whole, part.woven, part.notes), follows_picture=whole.symmetry is None)


def _trials(
    frame: "Frame", shape: "Silhouette", picture: Picture, whole: "Layout", wish: Wish
) -> list[_Trial]:
    """Return sheets tried, each as much larger or smaller as what was woven of the one before was off."""
    found: dict[tuple[int, ...], _Trial] = {}
    scale = [1.0, 1.0]
    while len(found) < _TRIALS:
        key = whole.sheet_shape
        if key in found:
            break
        try:
            trial = _tried(whole, shape, picture)
        except PictureError:
            if not found:
                raise
            break
        found[key] = trial
        shares = wish.shares(trial.size_mm)
        if wish.inside:
            # Both sides of what it is to lie in, or the other one would hold it back.
            shares = [share or other for share, other in zip(shares, shares[::-1], strict=True)]
        for axis, share in enumerate(shares):
            if share is not None:
                scale[axis] = min(scale[axis] / share, _MOST_LARGER)
        try:
            loops = shape.loops(frame, picture.aspect, (scale[0], scale[1]))
            whole = frame.sheet(*loops, shape.direction)
        except SizeError:
            break
    return list(found.values())


def _tried(whole: "Layout", shape: "Silhouette", picture: Picture) -> _Trial:
    (coverage,) = loop_coverage(picture, [whole.full])
    coverage = coverage.reshape(whole.sheet_shape)
    woven, _ = covered_loops(coverage, shape.islands)
    return _Trial(whole, coverage, _size_mm(whole.full, woven))


def _size_mm(full: Weave, woven: NDArray[np.bool_]) -> Size:
    """Return width and height of some of the loops of a full sheet, over the outlines of their beads."""
    beads = np.unique(full.side_bead[woven.ravel()[full.side_loop]])
    centres, reach = full.bead_xy[beads], full.bead_reach[beads]
    width, height = ((centres + reach).max(axis=0) - (centres - reach).min(axis=0)).tolist()
    return width, height


def _loops_across(frame: "Frame", size: Size, direction: str) -> int:
    """Return how many loops from left to right a width is nearest to."""
    one = frame.size_mm(*((2, 1) if direction == "across" else (1, 2)), direction)[0]
    return 1 + max(0, round((size[0] - one) / (2 * frame.bead_spacing_mm(direction))))
