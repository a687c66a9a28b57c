"""Repeats and mirror lines, held against beads moved about the plane by the test's own geometry."""

import numpy as np
import pytest
from scipy.spatial import cKDTree

from convert.errors import SizeError
from convert.making.design import Repeats, laid_out
from convert.making.frame import Frame
from convert.making.shapes.flower import Flower
from convert.settings.design import DesignSettings
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.shapes import Sheet
from convert.weave.symmetry import NO_BEAD, Symmetry, alike, mirror_partners
from convert.weave.tips import tips_of

ONE, TWO, LARGE = ("11/0", "11/0"), ("11/0", "15/0"), ("11/0", "8/0")
PAIRS = [ONE, TWO, LARGE]


def frame(pair):
    return Frame(tuple(map(bead_size, pair)))


def plain(pair, rows=14, places=18):
    made = frame(pair)
    return sheet(np.ones((rows, places), bool), made.sizes, made.spacing)


def images(weave, moved_xy):
    """The bead of the same size that lies where each bead is moved to, -1 for none, by nearest neighbours."""
    distance, found = cKDTree(weave.bead_xy).query(moved_xy)
    same = (distance < 1e-6) & (weave.bead_size[found] == weave.bead_size)
    return np.where(same, found, -1)


def inner(weave, margin_mm):
    """Which beads lie so far from the edge that a move by less stays within the sheet."""
    low, high = weave.bead_xy.min(axis=0) + margin_mm, weave.bead_xy.max(axis=0) - margin_mm
    return ((weave.bead_xy > low) & (weave.bead_xy < high)).all(axis=1)


@pytest.mark.parametrize("pair", PAIRS)
def test_which_translations_keep_the_weave(pair):
    # In two sizes those by (dq, dr) with dq - dr = 0 mod 3; in one size all.
    weave = plain(pair)
    pitch = weave.spacing.pitch_mm
    for dq in range(-3, 4):
        for dr in range(3):
            move = np.array([pitch * (dq + dr / 2), pitch * np.sqrt(3) / 2 * dr])
            kept = images(weave, weave.bead_xy + move)[inner(weave, 5 * pitch)]
            assert (kept >= 0).all() == (pair == ONE or (dq - dr) % 3 == 0)


@pytest.mark.parametrize("pair", PAIRS)
def test_which_lines_across_the_rows_are_mirror_lines(pair):
    # Any half loop in one size; in two only those through cores, one and a half loops apart.
    weave = plain(pair)
    half = weave.spacing.pitch_mm / 2
    for line in range(14, 21):
        moved = weave.bead_xy * (-1, 1) + (2 * line * half, 0)
        kept = images(weave, moved)[inner(weave, 4 * 2 * half)]
        assert (kept >= 0).all() == (pair == ONE or line % 3 == 0)


@pytest.mark.parametrize("pair", PAIRS)
def test_which_lines_along_the_rows_are_mirror_lines(pair):
    weave = plain(pair)
    row_mm = weave.spacing.pitch_mm * np.sqrt(3) / 2
    for line in (6, 6.5, 7, 7.5):
        moved = weave.bead_xy * (1, -1) + (0, 2 * line * row_mm)
        kept = images(weave, moved)[inner(weave, 3 * row_mm)]
        assert (kept >= 0).all() == (line % 1 == 0)


def designed(pair, rows, places, direction="across", times=(None, None), **chosen):
    """The weave of a design, and its symmetry."""
    made = frame(pair)
    woven, symmetry = laid_out(made, Repeats(rows, places, *times), DesignSettings(**chosen), direction)
    shape = Sheet(woven, direction, joined=chosen.get("join") == "ends")
    return shape.build(made.sizes, made.spacing), symmetry


def middle(weave):
    return (weave.bead_xy.min(axis=0) + weave.bead_xy.max(axis=0)) / 2


def fixed(moved):
    return int((moved == np.arange(len(moved))).sum())


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize(("rows", "places"), [(5, 4), (6, 7), (7, 8), (1, 5), (3, 9), (4, 6)])
def test_mirrored_sheets_are_their_own_images_and_have_as_many_orbits_as_burnside_counts(
    pair, rows, places, direction
):
    turns = {"across": [(-1, 1)], "down": [(1, -1)], "both": [(-1, 1), (1, -1), (-1, -1)]}
    for mirror, group in turns.items():
        weave, symmetry = designed(pair, rows, places, direction, mirror=mirror)
        moved = [images(weave, (weave.bead_xy - middle(weave)) * turn + middle(weave)) for turn in group]
        assert all((one >= 0).all() for one in moved), mirror
        first = alike(weave, symmetry)[: weave.beads]
        assert all((first[one] == first).all() for one in moved)
        # Burnside: as many orbits as beads that a move leaves where they are, on the average of all moves.
        orbits = (weave.beads + sum(map(fixed, moved))) / (len(group) + 1)
        assert len(np.unique(first)) == orbits
        assert symmetry.mirror_words == mirror
        partners = mirror_partners(weave, symmetry)
        for column, turn in enumerate(turns["both"]):
            expected = moved[group.index(turn)] if turn in group else NO_BEAD
            swapped = column if direction == "across" or column == 2 else 1 - column
            assert (partners[:, swapped] == expected).all()


@pytest.mark.parametrize("pair", PAIRS)
def test_rows_have_a_loop_less_by_turns_and_an_odd_number_where_needed(pair):
    weave, _ = designed(pair, 5, 8, mirror="across")
    assert np.bincount(weave.loop_row).tolist() == [8, 7, 8, 7, 8]
    weave, _ = designed(pair, 6, 8, mirror="down")
    assert np.bincount(weave.loop_row).tolist() == [8] * 7


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize(("pair", "loops"), [(ONE, 4), (TWO, 6), (LARGE, 3)])
@pytest.mark.parametrize("joined", [False, True])
@pytest.mark.parametrize("mirror", [None, "across", "down", "both"])
def test_repeats_are_translations_and_their_beads_are_alike(pair, loops, joined, mirror, direction):
    rows = 4
    weave, symmetry = designed(
        pair, 3 * rows, 3 * loops, direction, (3, 3), mirror=mirror, join="ends" if joined else None
    )
    first = alike(weave, symmetry)[: weave.beads]
    pitch = weave.spacing.pitch_mm
    moves = np.array([[loops * pitch, 0], [0, rows * pitch * np.sqrt(3) / 2]])
    for move in moves if direction == "across" else moves[:, ::-1]:
        moved = images(weave, weave.bead_xy + move)
        inside = moved >= 0
        assert inside.mean() > 0.5
        assert (first[moved[inside]] == first[inside]).all()
    # No two beads within a repeat of an unmirrored design are alike: as many kinds as a repeat has beads.
    if mirror is None:
        assert len(np.unique(first)) == 3 * loops * rows
    else:
        assert len(np.unique(first)) < 3 * loops * rows * 0.75
    assert (weave.bead_size[first] == weave.bead_size).all()


def test_tips_are_alike_where_their_places_are_images():
    weave, symmetry = designed(ONE, 5, 6, mirror="across")
    tips = tips_of(weave)
    xy = weave.junction_xy[tips.junctions]
    _, moved = cKDTree(xy).query((xy - middle(weave)) * (-1, 1) + middle(weave))
    expected = tips.first + np.minimum(moved, np.arange(len(tips)))
    assert alike(weave, symmetry)[weave.beads :].tolist() == expected.tolist()


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("centre", range(3, 9))
def test_a_flower_is_mirrored_about_its_centre_where_it_can_be(pair, centre):
    made = frame(pair)
    layout = Flower(rounds=2, centre=centre, mirror="down").lay_out(made, None)
    first = alike(layout.weave, layout.symmetry)[: layout.weave.beads]
    moved = images(layout.weave, layout.weave.bead_xy * (1, -1))
    assert (moved >= 0).all()
    assert (first[moved] == first).all()
    if centre % 2:
        with pytest.raises(SizeError, match="no mirror images"):
            Flower(rounds=2, centre=centre, mirror="both").lay_out(made, None)
    else:
        both = Flower(rounds=2, centre=centre, mirror="both").lay_out(made, None)
        assert both.symmetry.mirror_words == "both"


def test_what_is_no_repeat_is_refused():
    with pytest.raises(SizeError, match="one loop or more, not 0"):
        Symmetry(repeat_loops=0)
    for rows in (0, 3):
        with pytest.raises(SizeError, match=f"an even number of rows, not {rows}"):
            Symmetry(repeat_rows=rows)
