"""What is found on the paper, and what is left out."""

import numpy as np
import pytest

from convert.errors import PictureError
from convert.shelf.rows import grid_named
from tests.shelf.conftest import DOTS, LABS
from tests.shelf.photographs import Photograph
from tests.shelf.trial import compared, read


def pasted(photograph, change):
    pixels = photograph.pixels.copy()
    change(pixels)
    return Photograph(pixels, photograph.labs, photograph.centres_px, photograph.radii_px, b"")


def test_heaps_are_found_in_reading_order(colour_science, photographed):
    photograph = photographed()
    shelf = read(photograph, size="11/0", grid=grid_named("2x4"))
    assert [entry.code for entry in shelf.entries] == ["A1", "A2", "A3", "A4", "B1", "B2", "B3", "B4"]
    assert {entry.size for entry in shelf.entries} == {"11/0"}
    one = compared(colour_science, photograph, shelf)
    assert one.in_order
    assert one.differences.max() < 6


def test_white_beads_on_white_paper_are_whole(photographed):
    photograph = photographed(labs=[(96, 0, 1), *LABS[1:]])
    shelf = read(photograph)
    assert shelf.rows == (4, 4)
    wide = np.ptp(shelf.outlines[0], axis=0)
    assert (wide > 1.6 * photograph.radii_px[0]).all()
    assert shelf.entries[0].lab[0] > 88


def test_touching_heaps_are_parted(photographed):
    photograph = photographed(2, 4, radius_mm=17.0)
    assert read(photograph).rows == (4, 4)


def test_specks_are_left_out_and_told(photographed):
    def spill(pixels):
        y, x = np.mgrid[: pixels.shape[0], : pixels.shape[1]]
        pixels[np.hypot(x - 240, y - 176) < 4.5 * DOTS / 2] = (40, 60, 120)

    shelf = read(pasted(photographed(radius_mm=14.0), spill))
    assert shelf.rows == (4, 4)
    assert any("far smaller than a heap" in note for note in shelf.notes)


def test_what_reaches_over_the_edge_is_left_out_and_told(photographed):
    def hand(pixels):
        pixels[130:210, :30] = (150, 100, 80)

    shelf = read(pasted(photographed(), hand))
    assert shelf.rows == (4, 4)
    assert any("over the edge" in note for note in shelf.notes)


def test_one_heap_is_told(photographed):
    shelf = read(photographed(1, 1))
    assert shelf.rows == (1,)
    assert any("Only one heap" in note for note in shelf.notes)


def test_no_heaps_are_told(photographed):
    photograph = photographed(1, 1)
    bare = Photograph(photograph.pixels[:100, :150], LABS, np.empty((0, 2)), np.empty(0), b"")
    with pytest.raises(PictureError, match="no heaps of beads found"):
        read(bare)


def test_five_hundred_heaps_are_found(photographed):
    shelf = read(photographed(20, 25, size=(330.0, 270.0), radius_mm=4.0))
    assert shelf.rows == (25,) * 20
    assert len({entry.code for entry in shelf.entries}) == 500
