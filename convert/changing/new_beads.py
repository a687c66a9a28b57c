"""The beads of added loops: as the picture asks of the beads about them, or of the colour of these."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from convert.choice.choosing import nearest_in_size
from convert.colour.distances import CIEDE2000
from convert.colour.lab import linear_to_lab
from convert.colour.srgb import decode, decode_16_bits, encode_to_16_bits
from convert.piece.pattern import Pattern
from convert.weave.lattice import SIDES
from convert.weave.model import FloatArray, IntArray, Weave
from convert.weave.neighbours import NONE, bead_neighbours
from convert.weave.tips import tips_of, woven_only

BoolArray = NDArray[np.bool_]


def painted(old: Pattern, new: Pattern, kept_new: BoolArray, kept_old: BoolArray) -> Pattern:
    """Return the new piece with its beads; those that the old one had keep their colour.

    Parameters
    ----------
    old, new : Pattern
        The piece before, and the one with another shape, whose beads are still those of the old one.
    kept_new, kept_old : ndarray of shape (L,), bool
        Loops of the new piece that the old one had, and of the old one that the new one has: the same loops,
        in the same order. All have six sides.
    """
    was, loops = old.weave, new.weave
    side_new, side_old = np.repeat(kept_new, SIDES), np.repeat(kept_old, SIDES)
    former = np.full(loops.beads, NONE, np.int32)
    former[loops.side_bead[side_new]] = was.side_bead[side_old]
    known = former != NONE
    shift = loops.loop_xy[kept_new.argmax()] - was.loop_xy[kept_old.argmax()]

    light = _light(old, loops, former, shift)
    beads = woven_only(was, old.bead_colour)[former]
    beads[~known] = _nearest_used(old, light[~known], loops.bead_size[~known])
    colour = beads
    if old.edge == "points":
        colour = tips_of(loops).extended(beads, _at_tips(old, loops, shift))
    if old.wanted is None:
        return replace(new, bead_colour=colour)
    wanted = old.wanted[former]
    rgb = decode(old.palette.rgb()[beads[~known]])
    wanted[~known] = encode_to_16_bits(rgb)
    unshown = np.zeros(was.beads, bool)
    unshown[list(old.unshown)] = True
    bare = unshown[former] | ~known
    if bare.all():
        return replace(new, bead_colour=colour, wanted=None, unshown=())
    return replace(new, bead_colour=colour, wanted=wanted, unshown=tuple(np.flatnonzero(bare).tolist()))


def _light(old: Pattern, weave: Weave, former: IntArray, shift: FloatArray) -> FloatArray:
    """Return the light each bead of the new piece is to show, shape (B, 3), linear sRGB.

    Of new beads that is the mean of what the picture asks of those about them, ring after ring; without a
    picture it is that of the nearest bead of their size.
    """
    known = former != NONE
    if old.wanted is None:
        return decode(old.palette.rgb()[_nearest_former(old, weave, shift)])
    light = decode_16_bits(old.wanted)[former]
    neighbours = bead_neighbours(weave)
    while not known.all():
        left = np.flatnonzero(~known)
        about = neighbours[left]
        counted = (about != NONE) & known[about]
        ready = counted.any(axis=1)
        sums = (light[about] * counted[..., None]).sum(axis=1)[ready]
        light[left[ready]] = sums / counted[ready].sum(axis=1)[:, None]
        known[left[ready]] = True
    return light


def _nearest_former(old: Pattern, weave: Weave, shift: FloatArray) -> IntArray:
    """Return the entry of the nearest bead of the old piece for each of the new, of its size if it can be."""
    from scipy.spatial import cKDTree

    colours = woven_only(old.weave, old.bead_colour)
    found = np.empty(weave.beads, np.int32)
    for size in np.unique(weave.bead_size).tolist():
        of_size = weave.bead_size == size
        alike = np.flatnonzero(old.weave.bead_size == size)
        alike = alike if len(alike) else np.arange(old.weave.beads)
        _, nearest = cKDTree(old.weave.bead_xy[alike] + shift).query(weave.bead_xy[of_size])
        found[of_size] = colours[alike[nearest]]
    return found


def _nearest_used(old: Pattern, light: FloatArray, bead_size: NDArray[np.uint8]) -> IntArray:
    """Return the entry nearest to a light among those that the piece has in that size, or else might have."""
    allowed = []
    for size, of_size in enumerate(old.weave.sizes):
        used = np.flatnonzero(old.counts[:, size]).astype(np.int32)
        allowed.append(used if len(used) else old.palette.for_size(of_size.name))
    return nearest_in_size(linear_to_lab(light), bead_size, old.palette.labs(), allowed, CIEDE2000)


def _at_tips(old: Pattern, weave: Weave, shift: FloatArray) -> IntArray:
    """Return the entry of the small bead at each tip of the new piece: that of the nearest of the old one."""
    from scipy.spatial import cKDTree

    tips = tips_of(old.weave)
    at = old.weave.junction_xy[tips.junctions] + shift
    _, nearest = cKDTree(at).query(weave.junction_xy[tips_of(weave).junctions])
    return np.asarray(tips.parted(old.bead_colour)[1][nearest])
