"""What is said of a shelf, on paper as even as none is, so that each heap has the colour it was given."""

import numpy as np
import pytest

from convert.colour.lab import lab_to_linear
from convert.errors import PictureError
from convert.palette.model import BeadColour
from convert.shelf.photograph import Photograph
from convert.shelf.shelf import ShelfOptions, read_shelf
from tests.shelf.flat import paper, put_disc

LIMITS = 2
"""Notes that are always there."""
BY_PAPER = 1


def tray(rows, *, notes=(), varied=(), level=0.8):
    """Return a photograph of heaps, by rows of their lightness, some of them half of another."""
    high, wide = 70 * len(rows), 70 * max(map(len, rows))
    flat = paper((high, wide))
    number = 0
    for row, lightnesses in enumerate(rows):
        for place, lightness in enumerate(lightnesses):
            number += 1
            x, y = 35 + 70 * place, 35 + 70 * row
            put_disc(flat, x, y, 20, light_of(lightness))
            if number in varied:
                flat[y - 20 : y + 20 : 2, x - 10 : x + 10] = light_of(lightness - 30)
    return Photograph("tray", flat * np.float32(level), np.zeros((high, wide), bool), notes)


def light_of(lightness):
    return lab_to_linear(np.array([lightness, 0.0, 0.0]))[0] / 0.87


def read(*rows, former=(), names=None, size=None, grid=None, **scene):
    options = ShelfOptions(former=former, names=names, size=size, grid=grid)
    return read_shelf(tray(rows, **scene), options)


def bead(code, lightness, size=None, name="reed"):
    return BeadColour(code, name, size, "#808080", (float(lightness), 0.0, 0.0))


def test_heaps_are_entries_in_reading_order():
    shelf = read([20, 40, 60], [75, 30], size="11/0", notes=("Read so.",))
    assert shelf.name == "tray"
    assert [(entry.code, entry.name, entry.size) for entry in shelf.entries] == [
        ("A1", "black 1", "11/0"),
        ("A2", "dark grey 1", "11/0"),
        ("A3", "grey 1", "11/0"),
        ("B1", "light grey 1", "11/0"),
        ("B2", "dark grey 2", "11/0"),
    ]
    assert np.array([entry.lab for entry in shelf.entries]) == pytest.approx(
        np.array([(20, 0, 0), (40, 0, 0), (60, 0, 0), (75, 0, 0), (30, 0, 0)]), abs=0.15
    )
    # Greys of L* by CIE 15 and IEC 61966-2-1, L* 60 is Y 0.281 and byte 145.
    assert shelf.entries[2].hex == "#919191"
    assert shelf.rows == (3, 2)
    assert shelf.spreads == pytest.approx([0] * 5, abs=0.1)
    middles = np.array([outline.mean(axis=0) for outline in shelf.outlines])
    assert middles == pytest.approx(np.array([(35, 35), (105, 35), (175, 35), (35, 105), (105, 105)]), abs=1)
    assert shelf.light[5, 5] == pytest.approx(0.87, abs=1e-3)
    assert shelf.light[35, 35] == pytest.approx(light_of(20) * 0.87, abs=1e-3)
    assert shelf.notes[0] == "Read so."
    assert "by the white of the paper" in shelf.notes[1]
    assert len(shelf.notes) == 1 + BY_PAPER + LIMITS


def test_heaps_that_vary_are_told_up_to_six():
    shelf = read([60, 50, 70, 40], [65, 55, 45, 72], varied=range(1, 7))
    assert min(shelf.spreads[:6]) > 8 > max(shelf.spreads[6:])
    (told,) = (note for note in shelf.notes if "vary much" in note)
    listed, words = told.split(" vary much", 1)
    assert [part.split(" (±")[0] for part in listed.split(", ")] == ["A1", "A2", "A3", "A4", "B1", "B2"]
    assert f"A1 (±{shelf.spreads[0]:.0f})" in listed
    assert words == ": shiny, see-through or mixed beads; check them by eye."
    shelf = read([60, 50, 70, 40], [65, 55, 45, 72], varied=range(1, 8))
    (told,) = (note for note in shelf.notes if "vary much" in note)
    assert " and 1 more vary much" in told
    assert "B3" not in told


def test_pairs_that_are_hard_to_tell_apart_are_told():
    (told,) = (note for note in read([40, 60, 41.5]).notes if "Hard to tell" in note)
    assert told.startswith("Hard to tell apart, below 2: A1 dark grey 1 and A3 dark grey 2 (1.")
    assert not any("Hard to tell" in note for note in read([40, 60, 43.5]).notes)


def test_old_beads_are_compared_with_new_ones_of_their_size_only():
    """Two old ones are hers to know."""
    former = (bead("A1", 40), bead("A2", 40.5, name="rush"))
    shelf = read([60, 41], former=former)
    (told,) = (note for note in shelf.notes if "Hard to tell" in note)
    assert "A1 reed and B2 dark grey 1" in told
    assert "A2 rush and B2 dark grey 1" in told
    assert "A1 reed and A2" not in told
    one = (bead("A1", 40, "11/0"),)
    assert any("Hard to tell" in note for note in read([60, 41], former=one).notes)
    assert any("Hard to tell" in note for note in read([60, 41], former=one, size="11/0").notes)
    assert not any("Hard to tell" in note for note in read([60, 41], former=one, size="8/0").notes)


def test_names_and_codes_go_on_after_the_old_ones():
    shelf = read([60, 41], former=(bead("A1", 80, name="Grey 1"),), names=[["-"], ["rush"]])
    assert [(entry.code, entry.name) for entry in shelf.entries] == [("B1", "grey 2"), ("B2", "rush")]


def test_one_heap_is_told_and_two_are_not():
    assert any(note == "Only one heap was found." for note in read([60]).notes)
    assert not any("Only one heap" in note for note in read([60, 40]).notes)


def test_specks_and_what_is_cut_are_told():
    photograph = tray([[60, 40, 50]], level=0.8)
    put_disc(photograph.light, 70, 60, 4, 0.1)
    put_disc(photograph.light, 2, 35, 12, 0.1)
    notes = read_shelf(photograph, ShelfOptions()).notes
    assert "1 far smaller than a heap, such as beads that rolled away, left out." in notes
    assert "1 reaching over the edge of the paper or of the photograph left out." in notes
    assert len(notes) == BY_PAPER + 2 + LIMITS


def test_a_grid_is_held():
    assert read([60, 40], [50, 70], grid=(2, 2)).rows == (2, 2)
    with pytest.raises(PictureError, match="tray: found 4 heaps, not 2x3 = 6"):
        read([60, 40], [50, 70], grid=(2, 3))


@pytest.mark.parametrize("light", ["auto", "paper"])
def test_without_a_card_white_is_that_of_paper(light):
    shelf = read_shelf(tray([[60, 40]]), ShelfOptions(light=light))
    assert shelf.correction.basis == "paper"
    assert len(shelf.notes) == BY_PAPER + LIMITS


def test_the_grey_card_is_no_heap():
    photograph = tray([[60, 40, 50], [70, 30]])
    photograph.light[85:125, 155:195] = 0.2 * 0.8
    shelf = read_shelf(photograph, ShelfOptions(light="grey"))
    assert shelf.rows == (3, 2)
    assert "Colours by the grey card, taken to reflect 18%." in shelf.notes
    # Paper that gives five times the light of the card reflects 0.9.
    assert shelf.light[5, 5] == pytest.approx(0.9, rel=0.01)
