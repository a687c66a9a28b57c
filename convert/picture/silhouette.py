"""Which loops of a sheet are woven when parts of the picture are transparent."""

import numpy as np
from numpy.typing import NDArray

from convert.errors import PictureError

# A loop is woven if the picture covers at least half of it.
LEAST_COVERAGE = 0.5


def woven_loops(coverage: NDArray[np.float64], *, joined: bool = False) -> tuple[NDArray[np.bool_], int]:
    """Return which loops are woven, so that the piece hangs together.

    Parameters
    ----------
    coverage : ndarray of shape (rows, places), float64
        Share of each loop that the picture covers; odd rows are shifted by half a loop.
    joined : bool
        Whether the last place of each row is woven into the first.

    Returns
    -------
    tuple
        Mask in the shape of `coverage`, and the number of loops dropped because they hung by nothing.

    Raises
    ------
    PictureError
        Nothing is covered, or the loops form separate islands.
    """
    covered = coverage >= LEAST_COVERAGE
    if not covered.any():
        raise PictureError(
            "the picture leaves no loop to weave: nowhere does it cover half a loop",
            "choose a larger size or smaller beads, or make less of the picture transparent",
        )
    label, sizes = _islands(covered, joined=joined)
    lone = sizes == 1
    if (~lone).any():
        woven = covered & ~lone[label]
        islands = np.sort(sizes[~lone])[::-1]
    else:
        woven, islands = covered, sizes
    if len(islands) > 1:
        counts = ", ".join(str(size) for size in islands[:5].tolist()) + (", ..." if len(islands) > 5 else "")
        raise PictureError(
            f"the picture falls into {len(islands)} separate islands (of {counts} loops)",
            "join them in the picture, choose a larger size so that thin bridges survive,"
            " or weave each island from a picture of its own",
        )
    return woven, int(covered.sum() - woven.sum())


def _islands(covered: NDArray[np.bool_], *, joined: bool) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Label the sets of loops that hang together; return the label of each loop and their sizes."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    rows, places = covered.shape
    number = np.full((rows + 1, places + 2), -1)
    number[:rows, 1:-1][covered] = np.arange(covered.sum())
    if joined:
        number[:, 0], number[:, -1] = number[:, -2], number[:, 1]
    row, place = np.nonzero(covered)
    here = number[row, place + 1]
    # To the right, and to the two loops below; a shifted row has them at its own place and the next.
    below = place + row % 2
    pairs = [
        (here, number[row, place + 2]),
        (here, number[row + 1, below]),
        (here, number[row + 1, below + 1]),
    ]
    start, end = (np.concatenate(side) for side in zip(*pairs, strict=True))
    met = end >= 0
    graph = coo_array((np.ones(met.sum()), (start[met], end[met])), shape=(len(here), len(here)))
    _, of_loop = connected_components(graph, directed=False)
    label = np.zeros(covered.shape, np.intp)
    label[covered] = of_loop
    return label, np.bincount(of_loop)
