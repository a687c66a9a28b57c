"""The few colours that tell most about a picture."""

import numpy as np
from numpy.typing import NDArray

from convert.colour.lab import linear_to_lab

# Colours are gathered in cells of this width in CIELAB, about what one sees at a glance.
_CELL = 4.0
_ROUNDS = 50


def main_colours(linear: NDArray[np.float64], count: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the main colours of a picture and how much of it each stands for, the largest share first.

    k-means in CIELAB. It starts from the colour nearest to most of the picture and adds, one by one, the
    colour that is most missed: number of pixels times the squared distance to those already there. Nothing is
    drawn by lot.

    Parameters
    ----------
    linear : ndarray of shape (N, 3), float64
        Linear sRGB of the pixels.
    count : int
        How many colours, at least 1. A picture of fewer colours gives fewer.

    Returns
    -------
    colours : ndarray of shape (K, 3), float64
        Linear sRGB, the mean light of the pixels each stands for.
    shares : ndarray of shape (K,), float64
    """
    lab = linear_to_lab(linear)
    place = np.floor(lab / _CELL).astype(np.int64)
    cell = np.unique(place, axis=0, return_inverse=True)[1].ravel()
    weight = np.bincount(cell).astype(np.float64)
    point = np.stack([np.bincount(cell, weights=axis) for axis in lab.T], axis=1) / weight[:, None]

    centres = point[[int(weight.argmax())]]
    for _ in range(min(count, len(point)) - 1):
        missed = weight * _squared(point, centres).min(axis=1)
        centres = np.vstack([centres, point[missed.argmax()]])
    for _ in range(_ROUNDS):
        nearest = _squared(point, centres).argmin(axis=1)
        held = np.bincount(nearest, weights=weight, minlength=len(centres))
        sums = np.stack(
            [np.bincount(nearest, weights=weight * axis, minlength=len(centres)) for axis in point.T], axis=1
        )
        moved = np.divide(sums, held[:, None], out=centres.copy(), where=held[:, None] > 0)
        if np.allclose(moved, centres, atol=1e-9):
            break
        centres = moved
    nearest = _squared(point, centres).argmin(axis=1)
    pixels = np.bincount(nearest[cell], minlength=len(centres))
    light = np.stack(
        [np.bincount(nearest[cell], weights=axis, minlength=len(centres)) for axis in linear.T], axis=1
    )
    order = np.argsort(-pixels, kind="stable")
    order = order[pixels[order] > 0]
    return light[order] / pixels[order, None], pixels[order] / len(lab)


def _squared(point: NDArray[np.float64], centres: NDArray[np.float64]) -> NDArray[np.float64]:
    apart = point[:, None] - centres
    return np.asarray(np.einsum("nkc,nkc->nk", apart, apart))
