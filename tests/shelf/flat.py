"""Discs on even paper, as light relative to it: what lies on the paper, without a camera between."""

import numpy as np

from convert.shelf.ground import Ground
from convert.shelf.heaps import Found

SHAPE = (400, 500)


def paper(shape=SHAPE):
    return np.ones((*shape, 3), np.float32)


def put_disc(flat, x, y, radius, light):
    rows, columns = np.mgrid[: flat.shape[0], : flat.shape[1]]
    flat[np.hypot(columns - x, rows - y) <= radius] = light


def with_discs(*discs, shape=SHAPE):
    """Return paper with discs of x, y, radius and light on it."""
    flat = paper(shape)
    for disc in discs:
        put_disc(flat, *disc)
    return flat


def whole_sheet(shape=SHAPE):
    return Ground(np.zeros((6, 3)), np.ones(shape, bool))


def found_of(labels):
    """Return things by their labels, whatever their middles."""
    count = int(labels.max())
    return Found(labels.astype(np.int32), np.zeros((count, 2)), np.ones(count), 0, 0)
