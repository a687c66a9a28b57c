"""What is found on the paper, and what is left out."""

import numpy as np
import pytest

from convert.colour.lab import lab_to_linear, linear_to_lab
from convert.errors import PictureError
from convert.shelf.ground import Ground
from convert.shelf.heaps import find_heaps, outlines, without
from convert.shelf.light import PAPER
from convert.shelf.rows import grid_named
from tests.shelf.conftest import DOTS, LABS
from tests.shelf.flat import SHAPE, found_of, paper, put_disc, whole_sheet, with_discs
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


DARK = 0.3
"""Light of a heap relative to paper."""


def darker_by(steps):
    """Return the light, relative to paper, of what is darker than paper by steps of L*."""
    lightness = linear_to_lab(np.full(3, PAPER))[0] - steps
    return lab_to_linear(np.array([lightness, 0, 0]))[0] / PAPER


def find(flat, sheet=None, ignored=None):
    ground = whole_sheet(flat.shape[:2]) if sheet is None else Ground(np.zeros((6, 3)), sheet)
    return find_heaps(flat, ground, ignored, "tray", PAPER)


def heaps_of(*discs):
    return len(find(with_discs(*discs)).radii)


def test_middle_and_radius_are_those_of_the_heap():
    found = find(with_discs((101, 92, 20, DARK), (300, 250, 30, DARK)))
    assert found.centres == pytest.approx(np.array([(101.5, 92.5), (300.5, 250.5)]), abs=0.3)
    # The edge is smoothed over a bead, so that a heap grows by less than one.
    assert found.radii == pytest.approx([20.8, 30.8], abs=0.15)
    assert (found.specks, found.cut) == (0, 0)
    assert [found.labels[y, x] for x, y in ((101, 92), (300, 250), (200, 200))] == [1, 2, 0]


def test_large_photographs_are_searched_in_a_coarse_raster():
    """Middles, radii and labels stay those of the photograph."""
    found = find(with_discs((900, 400, 60, DARK), shape=(802, 1001)))
    assert found.centres == pytest.approx(np.array([(901.0, 401.0)]), abs=0.8)
    assert found.radii == pytest.approx([61.5], abs=1)
    assert found.labels.shape == (802, 1001)
    assert found.labels[400, 900] == 1
    assert (found.labels[:, 965:] == 0).all()


def test_heaps_differ_from_paper_by_five_steps():
    assert heaps_of((100, 100, 30, darker_by(5.1))) == 1
    with pytest.raises(PictureError, match="no heaps"):
        heaps_of((100, 100, 30, darker_by(4.9)))


def test_heaps_differ_by_three_times_what_paper_does():
    flat = paper() * darker_by(2.0)
    put_disc(flat, 100, 100, 30, darker_by(6.2))
    assert len(find(flat).radii) == 1
    put_disc(flat, 100, 100, 30, darker_by(5.8))
    with pytest.raises(PictureError, match="no heaps"):
        find(flat)


def test_heaps_have_a_least_width():
    beside = (300, 200, 9, DARK)
    assert heaps_of((100, 100, 3.0, DARK), beside) == 1
    assert heaps_of((100, 100, 3.5, DARK), beside) == 2
    # A share of the longer side, here the height.
    found = find(with_discs((100, 100, 3.0, DARK), (100, 300, 9, DARK), shape=SHAPE[::-1]))
    assert len(found.radii) == 1


@pytest.mark.parametrize(("radius", "heaps", "specks"), [(5.5, 2, 1), (6.0, 3, 0)])
def test_a_speck_has_less_than_a_tenth_of_the_area_of_a_typical_heap(radius, heaps, specks):
    found = find(with_discs((100, 100, radius, DARK), (300, 200, 20, DARK), (400, 300, 20, DARK)))
    assert (len(found.radii), found.specks) == (heaps, specks)


@pytest.mark.parametrize(("share", "radius"), [(0.29, 52.5), (0.31, 58.1)])
def test_a_shadow_differs_by_less_than_three_tenths_of_what_the_heap_does(share, radius):
    found = find(with_discs((200, 200, 60, darker_by(60 * share)), (200, 200, 50, darker_by(60))))
    assert found.radii == pytest.approx([radius], abs=0.5)


@pytest.mark.parametrize(("neck", "heaps"), [(0.66, 2), (0.69, 1)])
@pytest.mark.parametrize("radius", [20, 40])
def test_heaps_are_parted_at_narrow_necks(neck, heaps, radius):
    """Smoothing fills the notches a little: a neck of 0.66 of the discs is one of 0.72 of what is seen."""
    apart = 2 * radius * np.sqrt(1 - (neck * (1 if radius == 40 else 0.94)) ** 2)
    assert heaps_of((150, 200, radius, DARK), (150 + apart, 200, radius, DARK)) == heaps


@pytest.mark.parametrize(("width", "heaps"), [(4, 1), (5, 2)])
def test_thin_lines_are_no_heaps(width, heaps):
    flat = with_discs((100, 100, 30, DARK))
    flat[250 : 250 + width, 200:400] = DARK
    assert len(find(flat).radii) == heaps


def test_a_thousand_heaps_are_the_most():
    flat = paper((480, 480))
    for number in range(1001):
        y, x = divmod(number, 32)
        flat[y * 15 + 3 : y * 15 + 12, x * 15 + 3 : x * 15 + 12] = DARK
    with pytest.raises(PictureError, match=r"tray: 1,001 heaps found, more than 1,000"):
        find(flat)
    flat[y * 15 : y * 15 + 15, x * 15 : x * 15 + 15] = 1
    assert len(find(flat).radii) == 1000


def test_what_is_ignored_has_no_heaps():
    ignored = np.zeros((40, 50), bool)
    ignored[5:15, 5:15] = True
    flat = with_discs((100, 100, 20, DARK), (300, 200, 20, DARK))
    found = find(flat, ignored=ignored)
    assert found.centres == pytest.approx(np.array([(300.5, 200.5)]), abs=0.3)
    ignored[:] = True
    with pytest.raises(PictureError, match="no heaps"):
        find(flat, ignored=ignored)


def test_what_lies_beside_the_sheet_or_reaches_over_its_edge_is_left_out():
    sheet = np.zeros(SHAPE, bool)
    sheet[50:350, 50:450] = True
    flat = paper()
    flat[~sheet] = DARK
    for x, y, radius in ((250, 200, 30), (250, 60, 30), (250, 340, 20), (60, 200, 20), (445, 200, 30)):
        put_disc(flat, x, y, radius, 0.1)
    found = find(flat, sheet)
    assert found.centres == pytest.approx(np.array([(250.5, 200.5)]), abs=0.3)
    # Joined by the rim of the table, they are one thing.
    assert found.cut == 1


@pytest.mark.parametrize(("out", "cut"), [(18, 0), (5, 1), (-5, 1), (-24, 0)])
@pytest.mark.parametrize("side", ["left", "right", "top", "bottom"])
def test_things_at_the_edge_are_told_if_most_of_them_is_seen(out, cut, side):
    """A disc of radius 20, its middle so far beyond the edge of the sheet: more than half is to be seen."""
    sheet = np.zeros(SHAPE, bool)
    sheet[100:300, 100:400] = True
    x, y = {
        "left": (100 - out, 200),
        "right": (399 + out, 200),
        "top": (250, 100 - out),
        "bottom": (250, 299 + out),
    }[side]
    found = find(with_discs((250, 200, 20, DARK), (x, y, 20, DARK)), sheet)
    assert len(found.radii) == 1 + (out == -24)
    assert found.cut == cut


def test_holes_are_part_of_a_heap():
    flat = with_discs((200, 200, 40, DARK), (200, 200, 15, 1.0))
    assert find(flat).radii == pytest.approx([40.8], abs=0.15)


def test_heaps_are_rounded_to_their_hulls():
    flat = with_discs((200, 200, 40, DARK))
    flat[190:210, 215:260] = 1
    assert find(flat).labels[200, 230] == 1


def test_things_are_counted_without_one_of_them():
    labels = np.array([[0, 1, 2, 3, 4]])
    found = find_heaps(
        with_discs(*((60 + 90 * n, 200, 20, DARK) for n in range(4))), whole_sheet(), None, "it", PAPER
    )
    rest = without(found, 1)
    assert rest.centres[:, 0] == pytest.approx([60.5, 240.5, 330.5], abs=0.3)
    assert [rest.labels[200, 60 + 90 * n] for n in range(4)] == [1, 0, 2, 3]
    assert len(rest.radii) == 3
    assert without(found_of(labels), 0).labels.tolist() == [[0, 0, 1, 2, 3]]
    assert without(found_of(labels), 3).labels.tolist() == [[0, 1, 2, 3, 0]]


def test_outlines_go_round_the_heaps_evenly():
    found = find(with_discs((101, 92, 20, DARK), (300, 250, 30, DARK)))
    for outline, centre, radius in zip(outlines(found), found.centres, found.radii, strict=True):
        assert outline.shape == (72, 2)
        assert np.hypot(*(outline - centre).T) == pytest.approx(radius, abs=0.5)
        assert outline.mean(axis=0) == pytest.approx(centre, abs=0.1)
        steps = np.hypot(*np.diff(outline, axis=0, append=outline[:1]).T)
        assert steps == pytest.approx(2 * np.pi * radius / 72, rel=0.12)
        # Smoothed, so that the steps of pixels are gone.
        turns = np.unwrap(np.arctan2(*np.diff(outline, axis=0, append=outline[:2]).T[::-1]))
        assert np.abs(np.diff(turns)).max() < 0.25
