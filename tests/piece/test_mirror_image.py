"""Mirror images, compared with their originals by where beads lie and which way the thread turns."""

import json
from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial import cKDTree
from skimage.data import chelsea

from convert.errors import SizeError
from convert.front_door import (
    BookletSettings,
    MotifOptions,
    make_motif,
    read_palette,
    read_pattern,
    summary,
    write_outputs,
)
from convert.instructions.order import OrderOfWork
from convert.instructions.telling import stitch_text
from convert.making.shapes.flower import Flower
from convert.making.shapes.rectangle import Rectangle
from convert.making.shapes.strip import Strip
from convert.picture.model import Picture
from convert.piece.mirror_image import mirror_image
from convert.piece.pattern_file import parse_pattern, pattern_json
from convert.thread.planner import plan_thread
from convert.thread.stitches import stitches
from convert.thread.verifier import verify
from convert.weave.shapes import Sheet
from convert.writing.beads_csv import beads_csv

CAT = Picture("cat", np.ascontiguousarray(chelsea()[::3, ::3]))
RANGE, _ = read_palette()


def piece(shape, picture=CAT, **chosen):
    return make_motif(shape, RANGE, MotifOptions(**chosen), picture=picture).pattern


def reflected(xy, axis):
    return xy * (np.array([-1.0, 1.0]) if axis == 0 else np.array([1.0, -1.0]))


def assert_image(pattern, axis=0):
    """The image is what a looking glass shows: beads, colours, and the thread with its turns swapped."""
    image = mirror_image(pattern)
    weave = pattern.weave
    moved = reflected(weave.bead_xy, axis)
    if pattern.weave.seam is None:
        moved += image.weave.bead_xy.min(axis=0) - moved.min(axis=0)
        distance, at = cKDTree(image.weave.bead_xy).query(moved)
        assert distance.max() < 1e-6
    else:
        # Round the ring any shift will do: the one that the first bead of the thread takes.
        shift = image.weave.bead_xy[image.thread.passes[0]] - moved[pattern.thread.passes[0]]
        once = np.array(weave.seam.round_mm)
        copies = np.concatenate([image.weave.bead_xy + k * once for k in range(-3, 4)])
        distance, at = cKDTree(copies).query(moved + shift)
        assert distance.max() < 1e-6
        at %= weave.beads
    assert sorted(at.tolist()) == list(range(weave.beads))
    assert (image.weave.bead_size[at] == weave.bead_size).all()
    assert (image.bead_colour[at] == pattern.bead_colour[: weave.beads]).all()
    woven = pattern.thread.passes < weave.beads
    assert (image.thread.passes[woven] == at[pattern.thread.passes[woven]]).all()
    assert ((image.thread.passes >= weave.beads) == ~woven).all()
    report = verify(image.weave, image.thread, image.supplies)
    assert report.passes == len(pattern.thread.passes)
    turn, turned = stitches(weave, pattern.thread).turn, stitches(image.weave, image.thread).turn
    assert (turned == -turn).all()
    assert (image.counts == pattern.counts).all()
    if pattern.wanted is not None:
        assert (image.wanted[at] == pattern.wanted).all()
    assert parse_pattern(pattern_json(image), "image").title.endswith(", mirrored")
    return image


@pytest.mark.parametrize("connectors", [None, "15/0", "8/0"])
@pytest.mark.parametrize("edge", ["plain", "points"])
@pytest.mark.parametrize("rows", [4, 5])
def test_a_sheet(connectors, edge, rows):
    shape = Rectangle(width_mm=32, height_mm=rows * 3.4 + 1)
    image = assert_image(piece(shape, connectors=connectors, edge=edge))
    assert_image(image)


@pytest.mark.parametrize("centre", range(3, 9))
def test_a_flower(centre):
    assert_image(piece(Flower(rounds=2, centre=centre), connectors="15/0", edge="points"), centre % 2)


@pytest.mark.parametrize("connectors", [None, "15/0"])
def test_a_ring(connectors):
    shape = Strip(wrist_mm=90, height_mm=14, join="ends")
    image = assert_image(piece(shape, connectors=connectors))
    assert image.shape.joined
    assert image.repeats == piece(shape, connectors=connectors).repeats


@pytest.mark.parametrize("mirror", ["across", "both"])
def test_a_piece_that_is_its_own_image_stays_as_it_is(mirror):
    pattern = piece(Rectangle(width_mm=30, height_mm=20, mirror=mirror), connectors="15/0")
    image = assert_image(pattern)
    rows = [np.trim_zeros(row.tolist()) for row in pattern.shape.woven.astype(int)]
    assert [np.trim_zeros(row.tolist()) for row in image.shape.woven.astype(int)] == rows
    assert image.bead_colour.tolist() == pattern.bead_colour.tolist()


@pytest.mark.parametrize("rows", [4, 5])
def test_rows_that_run_down_change_places(rows):
    pattern = piece(Rectangle(width_mm=30, height_mm=rows * 3.4 + 1))
    woven = pattern.shape.woven
    upright = Sheet(woven, "along")
    weave = upright.build(pattern.weave.sizes, pattern.weave.spacing)
    # The same beads in the same order, laid the other way.
    assert (weave.side_bead.size, weave.beads) == (pattern.weave.side_bead.size, pattern.weave.beads)
    turned = replace(pattern, shape=upright, weave=weave, thread=plan_thread(weave))
    assert_image(turned)


def test_pairs_have_a_folder_for_the_image_and_one_list(tmp_path):
    made = make_motif(Flower(rounds=2), RANGE, MotifOptions(copies=2, mirror_pair=True), picture=CAT)
    write_outputs(made, tmp_path / "pair", BookletSettings())
    names = {path.name for path in (tmp_path / "pair").iterdir()}
    own = {path.name for path in (tmp_path / "pair" / "mirrored").iterdir()}
    assert names - {"mirrored"} == own | {"beads.csv"}
    assert (tmp_path / "pair" / "beads.csv").read_text(encoding="utf-8") == beads_csv(made.pattern)
    first, second = (read_pattern(tmp_path / "pair" / sub / "pattern.json") for sub in ("", "mirrored"))
    assert (first.pattern.copies, second.pattern.copies) == (2, 1)
    assert first.pattern.mirror_pair
    assert not second.pattern.mirror_pair
    assert second.pattern.bead_colour.tolist() != first.pattern.bead_colour.tolist()
    # When it is read its figures are told anew.
    again = json.loads(pattern_json(second.pattern))
    assert again.pop("figures")["chosen"]["lone_beads"] == first.pattern.figures.chosen.lone_beads
    assert json.loads(pattern_json(mirror_image(first.pattern))) == again
    assert any("in the folder mirrored" in note for note in made.notes)
    assert summary(made)["mirror_pair"]
    # What is written of it again has the image beside it again.
    write_outputs(first, tmp_path / "again", BookletSettings())
    assert (tmp_path / "again" / "mirrored" / "chart.svg").read_bytes() == (
        tmp_path / "pair" / "mirrored" / "chart.svg"
    ).read_bytes()


def test_words_of_a_pair():
    made = make_motif(Flower(rounds=1), RANGE, MotifOptions(copies=4, mirror_pair=True), picture=CAT)
    text = " ".join(stitch_text(OrderOfWork(made.pattern), made.thread).split())
    assert "For all 4 pieces, of which every other is the mirror image" in text
    image = mirror_image(made.pattern)
    assert image.copies == 2
    told = stitch_text(OrderOfWork(image), verify(image.weave, image.thread, image.supplies))
    assert "mirror image" not in told
    assert told.startswith("cat, flower, mirrored: stitch order")


@pytest.mark.parametrize("copies", [1, 3])
def test_a_pair_is_two(copies):
    with pytest.raises(SizeError, match=f"an even number of copies, not {copies}"):
        MotifOptions(copies=copies, mirror_pair=True)
    text = pattern_json(piece(Flower(rounds=1)))
    changed = text.replace('"copies": 1,', f'"copies": {copies}, "mirror_pair": true,')
    with pytest.raises(Exception, match="an even number of copies"):
        parse_pattern(changed, "changed")
