"""The mirror image of a piece: its loops, its colours and its order of work, left for right."""

from dataclasses import replace

import numpy as np

from convert.errors import SizeError
from convert.piece.about import NO_WISHES
from convert.piece.pattern import Pattern, Shape
from convert.thread.steps import ThreadPlan
from convert.weave.model import FloatArray, IntArray, Weave
from convert.weave.shapes import Sheet
from convert.weave.symmetry import NO_BEAD, Symmetry, found_at
from convert.weave.tips import tips_of

# Twice the half loops to a line across the rows that brings loops onto loops, and in two sizes cores onto
# cores, is a multiple of this.
_LINES_ONE, _LINES_TWO = 2, 6

# The folder, in that of a piece, with what its mirror image is woven by.
MIRRORED = "mirrored"


def mirror_image(pattern: Pattern) -> Pattern:
    """Return a piece that is woven as the mirror image of another, of which there is one of its own kind.

    The thread takes the same way, so every turn to the right is one to the left. Where the piece lies on the
    page left and right are swapped; a flower that has no such image is turned over from top to bottom.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    """
    weave = pattern.weave
    shape, line = _turned(pattern.shape, weave)
    image = weave if shape is pattern.shape else shape.build(weave.sizes, weave.spacing)
    goes_to = _beads(weave, image, line)
    bead_colour = np.empty_like(pattern.bead_colour)
    bead_colour[goes_to[: len(bead_colour)]] = pattern.bead_colour
    wanted = None
    if pattern.wanted is not None:
        wanted = np.empty_like(pattern.wanted)
        wanted[goes_to[: weave.beads]] = pattern.wanted
    return replace(
        pattern,
        title=f"{pattern.title}, mirrored",
        shape=shape,
        weave=image,
        bead_colour=bead_colour,
        thread=ThreadPlan(
            goes_to[pattern.thread.passes],
            pattern.thread.new_threads.copy(),
            tuple(
                tail._replace(beads=tuple(goes_to[list(tail.beads)].tolist()))
                for tail in pattern.thread.tails
            ),
        ),
        wanted=wanted,
        unshown=tuple(sorted(goes_to[list(pattern.unshown)].tolist())),
        copies=pattern.made_alike,
        mirror_pair=False,
        symmetry=_symmetry(pattern.symmetry, line),
        wishes=NO_WISHES,
        figures=None,
    )


def _turned(shape: Shape, weave: Weave) -> tuple[Shape, Symmetry]:
    """Return the shape of the image, and the mirror line between the two."""
    if not isinstance(shape, Sheet):
        for line in (Symmetry(mirror_half_loops=0), Symmetry(mirror_row=0)):
            if (_images(weave, weave, weave.bead_xy, line) != NO_BEAD).all():
                return shape, line
        raise AssertionError("a flower has a mirror line")
    row, place = np.nonzero(shape.woven)
    along = 2 * place + row % 2
    rows, places = shape.woven.shape
    if shape.direction == "along":
        # Rows change places; an odd number of them below the last keeps every other one shifted.
        half = (rows - 1 + (rows - 1) % 2) // 2
        line = Symmetry(mirror_row=half, direction="along")
        row = 2 * half - row
    else:
        step = _LINES_ONE if weave.one_size else _LINES_TWO
        twice = step * -(-int((along + row % 2).max()) // step)
        line = Symmetry(mirror_half_loops=twice // 2)
        along = twice - along
    place = (along - row % 2) // 2
    if shape.joined:
        place = place % places
    woven = np.zeros((int(row.max()) + 1, places if shape.joined else int(place.max()) + 1), bool)
    woven[row, place] = True
    return replace(shape, woven=woven), line


def _beads(weave: Weave, image: Weave, line: Symmetry) -> IntArray:
    """Return which bead of the image each bead is, small ones at tips last, shape (B + T,)."""
    tips, image_tips = tips_of(weave), tips_of(image)
    beads = _images(weave, image, weave.bead_xy, line)
    junctions = found_at(
        image,
        _reflected(weave, weave.junction_xy[tips.junctions], line),
        image.junction_xy[image_tips.junctions],
        line,
    )
    if (beads == NO_BEAD).any() or (junctions == NO_BEAD).any():
        raise SizeError(
            "the mirror image of this piece would hang by another place than it does",
            "leave out --mirror-pair, or --hanging-loop",
        )
    return np.concatenate([beads, image_tips.first + junctions]).astype(np.int32)


def _images(weave: Weave, image: Weave, xy: FloatArray, line: Symmetry) -> IntArray:
    return found_at(image, _reflected(weave, xy, line), image.bead_xy, line)


def _reflected(weave: Weave, xy: FloatArray, line: Symmetry) -> FloatArray:
    """Return the images of points in mm in a line, as places on the lattice."""
    places = line.on_lattice(xy, weave)
    if line.mirror_half_loops is not None:
        return places * (-1, 1) + (2 * line.mirror_half_loops, 0)
    assert line.mirror_row is not None
    return places * (1, -1) + (0, 2 * line.mirror_row)


def _symmetry(symmetry: Symmetry | None, line: Symmetry) -> Symmetry | None:
    """Return the symmetry of the image."""
    if symmetry is None:
        return None
    half_loops, row = symmetry.mirror_half_loops, symmetry.mirror_row
    if half_loops is not None and line.mirror_half_loops is not None:
        half_loops = 2 * line.mirror_half_loops - half_loops
    if row is not None and line.mirror_row is not None:
        row = 2 * line.mirror_row - row
    return replace(symmetry, mirror_half_loops=half_loops, mirror_row=row)
