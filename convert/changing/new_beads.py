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
        in the same order.
    """
    was, loops = old.weave, new.weave
    former = _former(was, loops, kept_old, kept_new)
    known = former != NONE
    shift = loops.loop_xy[kept_new.argmax()] - was.loop_xy[kept_old.argmax()]

    beads = woven_only(was, old.bead_colour)[former]
    fresh = _as_nearest if old.wanted is None else _as_asked
    beads[~known] = fresh(old, loops, former, shift)[~known]
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


def _former(was: Weave, now: Weave, kept_old: BoolArray, kept_new: BoolArray) -> IntArray:
    """Return the bead that each bead was in the old piece, shape (B,); -1 for new ones.

    A piece may have loops besides those of its sheet, which come last, such as one to hang it by. Their own
    beads stay theirs.
    """
    former = np.full(now.beads, NONE, np.int32)
    own = []
    sides = []
    for weave, kept in ((was, kept_old), (now, kept_new)):
        of_sheet = weave.side_loop < len(kept)
        sides.append(weave.side_bead[of_sheet][np.repeat(kept, SIDES)])
        own.append(np.setdiff1d(np.arange(weave.beads), weave.side_bead[of_sheet]))
    former[sides[1]] = sides[0]
    if len(own[0]) == len(own[1]):
        former[own[1]] = own[0]
    return former


def _as_asked(old: Pattern, weave: Weave, former: IntArray, shift: FloatArray) -> IntArray:
    """Return an entry for each bead of the new piece by what the picture asks.

    Of new beads that is the mean of what it asks of those about them, ring after ring.
    """
    assert old.wanted is not None
    known = former != NONE
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
    return _nearest_used(old, linear_to_lab(light), weave.bead_size)


def _as_nearest(old: Pattern, weave: Weave, former: IntArray, shift: FloatArray) -> IntArray:
    """Return the entry of the nearest bead of the old piece for each of the new, among those of its size."""
    from scipy.spatial import cKDTree

    colours, sizes = woven_only(old.weave, old.bead_colour), old.weave.bead_size
    _, nearest = cKDTree(old.weave.bead_xy + shift).query(weave.bead_xy)
    # For a size that the old piece has not: what is most like the nearest bead.
    found = _nearest_used(old, old.palette.labs()[colours[nearest]], weave.bead_size)
    for size in np.unique(sizes).tolist():
        alike, of_size = np.flatnonzero(sizes == size), weave.bead_size == size
        _, nearest = cKDTree(old.weave.bead_xy[alike] + shift).query(weave.bead_xy[of_size])
        found[of_size] = colours[alike[nearest]]
    return found


def _nearest_used(old: Pattern, labs: FloatArray, bead_size: NDArray[np.uint8]) -> IntArray:
    """Return the entry nearest to a colour among those that the piece has in that size, or might have."""
    allowed = []
    for size, of_size in enumerate(old.weave.sizes):
        used = np.flatnonzero(old.counts[:, size]).astype(np.int32)
        allowed.append(used if len(used) else old.palette.for_size(of_size.name))
    return nearest_in_size(labs, bead_size, old.palette.labs(), allowed, CIEDE2000)


def _at_tips(old: Pattern, weave: Weave, shift: FloatArray) -> IntArray:
    """Return the entry of the small bead at each tip of the new piece: that of the nearest of the old one."""
    from scipy.spatial import cKDTree

    tips = tips_of(old.weave)
    at = old.weave.junction_xy[tips.junctions] + shift
    _, nearest = cKDTree(at).query(weave.junction_xy[tips_of(weave).junctions])
    return np.asarray(tips.parted(old.bead_colour)[1][nearest])
