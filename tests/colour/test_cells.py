import numpy as np
import pytest

from convert.colour.cells import sort_into_cells
from convert.colour.lab import lab_to_lch, srgb_to_lab


@pytest.mark.parametrize(("count", "spread"), [(1, 255), (200, 255), (5000, 255), (5000, 6)])
def test_every_colour_lies_in_one_cell_and_within_its_ranges(count, spread):
    draw = np.random.default_rng(count)
    middle = draw.integers(0, 256 - spread, 3)
    lab = srgb_to_lab((middle + draw.integers(0, spread + 1, (count, 3))).astype(np.uint8))
    cells = sort_into_cells(lab)
    assert sorted(cells.order) == list(range(count))
    size = np.diff(cells.start, append=count)
    assert (size > 0).all()
    lch = lab_to_lch(lab[cells.order])
    for box in (cells.box, cells.coarse_box[cells.coarse]):
        low, high = (np.repeat(box[..., end], size, axis=0) for end in (0, 1))
        middle = (low + high) / 2
        away = np.abs(lch - middle)
        away[:, 2] = np.abs((away[:, 2] + np.pi) % (2 * np.pi) - np.pi)
        assert (away <= (high - low) / 2 + 1e-12).all()
        assert (box[:, 2, 1] - box[:, 2, 0] <= 2 * np.pi).all()


def test_a_cell_across_the_seam_of_hue_stays_narrow():
    hue = np.pi + np.linspace(-0.01, 0.01, 50)
    lab = np.stack([np.full(50, 60.0), 40 * np.cos(hue), 40 * np.sin(hue)], axis=-1)
    cells = sort_into_cells(lab)
    assert (cells.box[:, 2, 1] - cells.box[:, 2, 0]).max() < 0.021


def lattice(step):
    """Colours of sRGB in even steps."""
    axis = np.arange(0, 256, step)
    return srgb_to_lab(np.stack(np.meshgrid(axis, axis, axis), axis=-1).reshape(-1, 3).astype(np.uint8))


def cloud(count, width):
    """Colours spread over a cube of CIELAB."""
    return np.array([50, 20, 20]) + np.random.default_rng(3).uniform(0, width, (count, 3))


@pytest.mark.parametrize(
    ("lab", "cells", "coarse"),
    [(lattice(17), 543, 21), (lattice(5), 6527, 179), (cloud(40_000, 6), 96, 2)],
    ids=["widest", "between", "narrowest"],
)
def test_cells_are_as_fine_as_serves_the_search(lab, cells, coarse):
    """From 8 to 1 wide, of about 16 colours, 64 to a coarse one: other widths cost time and nothing else."""
    found = sort_into_cells(lab)
    assert len(found.start) == pytest.approx(cells, rel=0.01)
    assert len(found.coarse_box) == pytest.approx(coarse, rel=0.01)
