"""Where a piece holds by a single bead, and the fewest loops that make it hold better."""

from typing import NamedTuple

import numpy as np

from convert.weave.islands import NONE, SIDES, BoolArray, FloatArray, IntArray, components, pairs

# A loop or two at the tip of a shape need not be held by more than a bead.
_LEAST_PART = 3
_DISLIKE = 1e-5


class Necks(NamedTuple):
    """Beads by which alone parts of a piece hold together.

    Parameters
    ----------
    first, second : ndarray of shape (n,), intp
        The two loops of each, numbered row by row over the full sheet.
    side : ndarray of shape (n,), intp
        Side of the first that faces the second, see `convert.weave.islands.neighbours`.
    hanging : ndarray of shape (n,), intp
        Loops of the smaller of the two parts that would come apart.
    """

    first: IntArray
    second: IntArray
    side: IntArray
    hanging: IntArray


def necks_of(woven: BoolArray, around: IntArray) -> Necks:
    """Return the beads by which alone at least three loops hang.

    Parameters
    ----------
    woven : ndarray of shape (rows, places), bool
        Loops that hang together.
    around : ndarray of shape (rows * places, 6), intp
        From `convert.weave.islands.neighbours`.
    """
    first, second, side = pairs(woven, around)
    beside = np.stack([around[first, (side - 1) % SIDES], around[first, (side + 1) % SIDES]])
    # Two loops with a third beside both hold without their own bead; what is so joined is one block.
    firm = ((beside != NONE) & woven.ravel()[beside]).any(axis=0)
    block = components(woven.size, first[firm], second[firm])
    _, block[woven.ravel()] = np.unique(block[woven.ravel()], return_inverse=True)
    sizes = np.bincount(block[woven.ravel()])
    thin = np.flatnonzero(~firm)
    hanging = _hanging_by(block[first[thin]], block[second[thin]], sizes)
    weak = hanging >= _LEAST_PART
    thin = thin[weak]
    return Necks(first[thin], second[thin], side[thin], hanging[weak])


def _hanging_by(one: IntArray, other: IntArray, sizes: IntArray) -> IntArray:
    """Return for each join of two blocks how many loops hang by it alone; 0 where there is another way.

    Each join that is not of a tree over the blocks, and so closes a ring, marks its two blocks with a number
    of its own. Put together by exclusive or over all that hangs by a join of the tree, marks of rings within
    it cancel out: it is the only way where nothing is left (but for a chance of 2 to the -64).

    Parameters
    ----------
    one, other : ndarray of shape (n,), intp
        The blocks that each joins.
    sizes : ndarray of shape (K,), intp
        Loops of each block; all hang together.
    """
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import breadth_first_order

    if not len(one):
        return np.zeros(0, np.intp)
    graph = coo_array((np.ones(len(one)), (one, other)), shape=(len(sizes),) * 2)
    order, before = breadth_first_order(graph.tocsr(), 0, directed=False)
    # The block farther from the root, where a join may be of the tree; of several between two blocks one is.
    child = np.where(before[other] == one, other, np.where(before[one] == other, one, NONE))
    _, chosen = np.unique(child, return_index=True)
    of_tree = np.zeros(len(one), bool)
    of_tree[chosen] = True
    of_tree &= child != NONE
    marks = np.zeros(len(sizes), np.uint64)
    numbers = np.random.default_rng(0).integers(1, 2**63, len(one), dtype=np.uint64)
    for ends in (one, other):
        np.bitwise_xor.at(marks, ends[~of_tree], numbers[~of_tree])
    mark, loops, parent = marks.tolist(), sizes.tolist(), before.tolist()
    for place in order[:0:-1].tolist():
        mark[parent[place]] ^= mark[place]
        loops[parent[place]] += loops[place]
    below = np.array(loops)[child]
    alone = of_tree & (np.array(mark, np.uint64)[child] == 0)
    return np.where(alone, np.minimum(below, sizes.sum() - below), 0)


def mended(woven: BoolArray, necks: Necks, liking: FloatArray, around: IntArray) -> BoolArray:
    """Return the fewest loops to add so that the two loops of every neck have a third beside both.

    Each neck has such a place above and below, or left and right, unless it lies at the edge of the sheet:
    which of them are taken is a covering of edges by vertices, solved as an integer programme.

    Parameters
    ----------
    woven : ndarray of shape (rows, places), bool
        The loops.
    necks : Necks
        Theirs.
    liking : ndarray of shape (rows, places), float64
        How much the picture is for a loop, from 0 to 1; of as many loops it chooses.
    around : ndarray of shape (rows * places, 6), intp
        From `convert.weave.islands.neighbours`.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import coo_array

    added = np.zeros(woven.size, bool)
    beside = np.stack(
        [around[necks.first, (necks.side - 1) % SIDES], around[necks.first, (necks.side + 1) % SIDES]], axis=1
    )
    neck, which = np.nonzero(beside != NONE)
    if not len(neck):
        return added.reshape(woven.shape)
    loops, number = np.unique(beside[neck, which], return_inverse=True)
    covers = coo_array((np.ones(len(neck)), (neck, number)), shape=(len(necks.first), len(loops))).tocsr()
    covers = covers[np.unique(neck)]
    found = milp(
        1 + _DISLIKE * (1 - liking.ravel()[loops]),
        constraints=LinearConstraint(covers, lb=1.0),
        integrality=np.ones(len(loops)),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0.0},
    )
    added[loops[np.rint(found.x) > 0]] = True
    return added.reshape(woven.shape)
