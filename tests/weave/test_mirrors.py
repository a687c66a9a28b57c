"""Mirrors of a piece, against what holds for its loops by eye and against a search among all beads."""

import numpy as np
import pytest
from scipy.spatial import cKDTree

from convert.weave.beads import bead_size
from convert.weave.mirrors import mirrors_of
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import model_spacing

DIAMOND = [[0, 1, 1, 0], [1, 1, 1, 0], [1, 1, 1, 1], [1, 1, 1, 0], [0, 1, 1, 0]]


def weave(shape, core="11/0", connector="11/0"):
    shape = shape if isinstance(shape, Flower) else Sheet(np.array(shape, bool))
    sizes = bead_size(core), bead_size(connector)
    return shape.build(sizes, model_spacing(*sizes))


def found(shape, *sizes):
    mirrors = mirrors_of(weave(shape, *sizes))
    return mirrors.sides, mirrors.ends, mirrors.turned


@pytest.mark.parametrize(
    ("shape", "sizes", "expected"),
    [
        (DIAMOND, (), (True, True, True)),
        # Rows are shifted in turns: whole sheets of an odd number of rows have top and bottom alike only.
        (np.ones((5, 6)), (), (False, True, False)),
        (np.ones((4, 6)), (), (False, False, True)),
        (np.ones((1, 6)), (), (True, True, True)),
        ([[1, 1, 1], [1, 1, 0]], (), (True, False, False)),
        ([[1, 1, 1], [1, 0, 0]], (), (False, False, False)),
        (Flower(2), (), (True, True, True)),
        (Flower(2), ("11/0", "8/0"), (True, True, True)),
        # Loops alone would do, but larger and smaller beads would change places.
        ([[1, 1]], ("11/0", "8/0"), (False, True, False)),
        ([[1, 1, 1]], ("11/0", "8/0"), (False, True, False)),
        ([[1, 1, 1, 1]], ("11/0", "8/0"), (True, True, True)),
    ],
)
def test_mirrors_are_found_where_they_are_exact(shape, sizes, expected):
    assert found(shape, *sizes) == expected


@pytest.mark.parametrize("centre", [3, 4, 5, 6, 7, 8])
def test_flowers_about_other_centres(centre):
    piece = weave(Flower(3, centre), "11/0", "8/0")
    mirrors = mirrors_of(piece)
    middle = np.array(mirrors.middle_mm)
    tree = cKDTree(piece.bead_xy)
    for flip, offered in (((-1, 1), mirrors.sides), ((1, -1), mirrors.ends), ((-1, -1), mirrors.turned)):
        far, partner = tree.query(middle + (piece.bead_xy - middle) * flip)
        exact = far.max() < 1e-6 and (piece.bead_size[partner] == piece.bead_size).all()
        assert offered == exact


def test_a_bead_more_breaks_the_mirror():
    whole = np.array(DIAMOND, bool)
    whole[0, 0] = True
    assert found(whole) == (False, False, False)
