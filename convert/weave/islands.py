"""What of the loops of a sheet hangs together, and the fewest loops that join what does not.

A set of loops is a mask of a full sheet, shape (rows, places), of which odd rows are shifted by half a loop.
Two loops hang together by the bead they share.
"""

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]

NONE = -1
SIDES = 6
# Bridges between so many islands are the fewest that there are; between more they are searched for one by
# one.
_MOST_EXACT = 6
# Trees times loops that the exact search keeps in memory.
_MOST_KEPT = 4_000_000
# What a loop that the picture likes least weighs more than one it likes; less than a loop in any bridge.
_DISLIKE = 1e-5
# In place of nothing, which a sparse matrix would take for no way at all.
_FREE = 1e-9


def neighbours(sheet: BoolArray, *, joined: bool = False) -> IntArray:
    """Return the loops about each loop of a sheet, shape (rows * places, 6); -1 beyond its edge.

    Loops are numbered row by row; the first neighbour is to the right, the others follow clockwise on the
    page.

    Parameters
    ----------
    sheet : ndarray of shape (rows, places), bool
        Which loops there can be.
    joined : bool
        Whether the last place of each row is woven into the first.
    """
    rows, places = sheet.shape
    row, place = np.divmod(np.arange(rows * places), places)
    shifted = row % 2
    to_row = row[:, None] + np.array([0, 1, 1, 0, -1, -1])
    slanted = place + shifted
    beside = [place + 1, slanted, slanted - 1, place - 1, slanted - 1, slanted]
    to_place = np.stack(beside, axis=-1)
    if joined:
        to_place %= places
    there = (to_row >= 0) & (to_row < rows) & (to_place >= 0) & (to_place < places)
    to = np.where(there, to_row * places + to_place, 0)
    there &= sheet.ravel()[to] & sheet.ravel()[:, None]
    return np.asarray(np.where(there, to, NONE), np.intp)


def pairs(woven: BoolArray, around: IntArray) -> tuple[IntArray, IntArray, IntArray]:
    """Return the pairs of woven loops that share a bead, each once: both loops, and the side of the first."""
    around = around[:, : SIDES // 2]
    flat = woven.ravel()
    loop, side = np.nonzero((around != NONE) & flat[:, None] & flat[around])
    return loop, around[loop, side], side


def islands_of(woven: BoolArray, around: IntArray) -> tuple[IntArray, IntArray]:
    """Return the island of each loop, -1 for none, in the shape of the sheet, and how many loops each has."""
    label = np.full(woven.size, NONE)
    inside = np.flatnonzero(woven)
    first, second, _ = pairs(woven, around)
    number = np.empty(woven.size, np.intp)
    number[inside] = np.arange(len(inside))
    label[inside] = components(len(inside), number[first], number[second])
    return label.reshape(woven.shape), np.bincount(label[inside])


def components(count: int, first: IntArray, second: IntArray) -> IntArray:
    """Return the number of the part that each of so many nodes hangs together with by pairs of nodes."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    graph = coo_array((np.ones(len(first)), (first, second)), shape=(count, count))
    return np.asarray(connected_components(graph, directed=False)[1], np.intp)


def bridges(woven: BoolArray, liking: FloatArray, around: IntArray) -> BoolArray:
    """Return the loops to add so that islands hang together: the fewest for up to six islands.

    For these it is the smallest tree (Dreyfus and Wagner 1971, "The Steiner problem in graphs", Networks 1,
    195-207, with weights of nodes). More are joined one after the other, the nearest first (Takahashi and
    Matsuyama 1980, "An approximate solution for the Steiner problem in graphs", Mathematica Japonica 24,
    573-577), by at most twice the fewest and a loop for each island: that is how many a way round the
    smallest tree passes, since a tree of n loops and k islands has n + k - 1 steps.

    Parameters
    ----------
    woven : ndarray of shape (rows, places), bool
        The islands.
    liking : ndarray of shape (rows, places), float64
        How much the picture is for a loop, from 0 to 1; of bridges of as many loops it chooses.
    around : ndarray of shape (rows * places, 6), intp
        From `neighbours`.
    """
    label, sizes = islands_of(woven, around)
    count = len(sizes)
    added = np.zeros(woven.size, bool)
    if count < 2:
        return added.reshape(woven.shape)
    bare = np.flatnonzero(~woven)
    node = label.ravel().copy()
    node[bare] = count + np.arange(len(bare))
    cost = np.concatenate([np.full(count, _FREE), 1 + _DISLIKE * (1 - liking.ravel()[bare])])
    graph = _Ways(node, around, cost, count)
    exact = count <= _MOST_EXACT and 2 ** (count - 1) * len(cost) <= _MOST_KEPT
    found = graph.smallest_tree() if exact else graph.one_after_the_other(int(sizes.argmax()))
    added[bare[np.array(sorted(found), np.intp) - count]] = True
    return added.reshape(woven.shape)


class _Ways:
    """Ways over a sheet whose islands are single nodes, the first ones; a step costs what its end costs."""

    def __init__(self, node: IntArray, around: IntArray, cost: FloatArray, islands: int) -> None:
        from scipy.sparse import csr_array

        start, side = np.nonzero(around != NONE)
        ways = np.unique(np.stack([node[start], node[around[start, side]]]), axis=1)
        ways = ways[:, ways[0] != ways[1]]
        self._cost, self._islands, self._nodes = cost, islands, len(cost)
        self._matrix = csr_array((cost[ways[1]], (ways[0], ways[1])), shape=(self._nodes,) * 2)

    def _nearest(self, begin: FloatArray) -> tuple[FloatArray, IntArray]:
        """Return what it costs to reach each node where each can be begun at for a price, and from where."""
        from scipy.sparse import csr_array
        from scipy.sparse.csgraph import dijkstra

        matrix, nodes = self._matrix, self._nodes
        open_to = np.flatnonzero(np.isfinite(begin))
        # One node more, from which all others are begun at.
        widened = csr_array(
            (
                np.concatenate([matrix.data, begin[open_to]]),
                np.concatenate([matrix.indices, open_to]),
                np.append(matrix.indptr, matrix.indptr[-1] + len(open_to)),
            ),
            shape=(nodes + 1, nodes + 1),
        )
        costs, before = dijkstra(widened, indices=nodes, return_predecessors=True)
        return costs[:nodes], before[:nodes].astype(np.intp)

    def _begun_at(self, places: set[int]) -> tuple[FloatArray, IntArray]:
        begin = np.full(self._nodes, np.inf)
        begin[list(places)] = _FREE
        return self._nearest(begin)

    def one_after_the_other(self, first: int) -> set[int]:
        """Return the bare nodes of a tree that is begun at an island, the nearest one joined next."""
        tree, left = {first}, set(range(self._islands)) - {first}
        while left:
            costs, before = self._begun_at(tree)
            here = min(left, key=lambda island: float(costs[island]))
            while here not in tree and here != self._nodes:
                tree.add(here)
                here = int(before[here])
            left -= tree
        return {place for place in tree if place >= self._islands}

    def smallest_tree(self) -> set[int]:
        """Return the bare nodes of the tree of least cost that joins all islands."""
        # One island is the root; for each set of the others, as the bits of a number, the costs of the tree
        # that joins it to each node, the node before on the way there, and how the set is parted where it
        # begins.
        others = self._islands - 1
        sets = 1 << others
        costs = np.full((sets, self._nodes), np.inf)
        before = np.zeros((sets, self._nodes), np.intp)
        parted = np.zeros((sets, self._nodes), np.uint8)
        for joined in range(1, sets):
            if joined & (joined - 1) == 0:
                costs[joined], before[joined] = self._begun_at({joined.bit_length() - 1})
                continue
            begin = np.full(self._nodes, np.inf)
            lowest = joined & -joined
            part = (joined - 1) & joined
            while part:
                if part & lowest:
                    both = costs[part] + costs[joined ^ part] - self._cost
                    better = both < begin
                    begin[better], parted[joined, better] = both[better], part
                part = (part - 1) & joined
            costs[joined], before[joined] = self._nearest(begin)
        found: set[int] = set()
        todo = [(sets - 1, others)]
        while todo:
            joined, here = todo.pop()
            way = [here]
            while (here := int(before[joined, here])) != self._nodes:
                way.append(here)
            found.update(way)
            if joined & (joined - 1):
                part = int(parted[joined, way[-1]])
                todo += [(part, way[-1]), (joined ^ part, way[-1])]
        return {place for place in found if place >= self._islands}


def loop_names(woven: BoolArray, which: BoolArray) -> list[str]:
    """Return what some loops of a sheet are called in the chart of the woven ones: row.place, from 1."""
    row, place = np.nonzero(woven)
    top, left = row.min() - 1, place.min() - 1
    return [f"{row - top}.{place - left}" for row, place in np.argwhere(which).tolist()]
