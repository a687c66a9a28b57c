"""Rings and repeats from end to end: what is drawn, said and written of them."""

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from skimage.data import chelsea

from convert.drawing.follow_page import follow_html
from convert.drawing.piece import draw_piece
from convert.drawing.scene import chart_scene
from convert.drawing.step_drawing import StepArtist
from convert.drawing.svg import write_svg
from convert.front_door import (
    MotifOptions,
    make_motif,
    read_palette,
    read_pattern,
    summary,
    write_outputs,
)
from convert.instructions.order import OrderOfWork
from convert.instructions.telling import stitch_text
from convert.making.shapes.rectangle import Rectangle
from convert.making.shapes.strip import Strip
from convert.picture.model import Picture
from convert.piece.materials import finished_size
from convert.piece.repeats import repeat_told, repeated_beads, times_repeated

CAT = Picture("cat", np.ascontiguousarray(chelsea()[::3, ::3]))
RANGE, _ = read_palette()
BAND = Strip(wrist_mm=130, height_mm=15, join="ends", repeat=3)


def made(shape=BAND, **chosen):
    return make_motif(shape, RANGE, MotifOptions(colours=6, **chosen), picture=CAT)


@pytest.fixture(scope="module")
def band():
    return made()


def test_the_size_tells_the_way_round(band):
    pattern = band.pattern
    size = finished_size(pattern)
    pitch = pattern.weave.spacing.pitch_mm
    loops = pattern.shape.woven.shape[1]
    assert size.width_mm == pytest.approx(loops * pitch)
    # All of it stretches with the spacing: there is no end at which a bead sticks out.
    assert size.width_range_mm[1] == pytest.approx(loops * pitch * pattern.weave.spacing.high)
    assert str(size).startswith(f"{loops * pitch:.0f} mm round x ")
    assert summary(band)["closed"] == "across"
    assert "closed" not in summary(made(Strip(wrist_mm=130)))
    assert band.pattern.finish == "none"


def test_what_is_told_of_a_strip_without_a_clasp(band):
    told = " ".join(band.notes)
    assert "wrist 130 mm + ease 20 + 6.6 for the thickness" in told
    assert "mm inside, and must pass over the hand" in told
    assert "clasp 13" not in told


def test_no_bead_is_drawn_or_counted_twice(band):
    pattern = band.pattern
    piece = draw_piece(pattern)
    assert len(piece.bead_xy) == pattern.weave.beads == pattern.counts.sum()
    loops, rows = pattern.shape.woven.shape[::-1]
    assert pattern.weave.beads == 3 * loops * rows + 2 * loops
    svg = ET.fromstring(write_svg(chart_scene(pattern)))
    beads = next(group for group in svg.iter() if group.get("id") == "beads")
    drawn = sum(path.get("d").count("M") for path in beads.iter() if path.tag.endswith("path"))
    assert drawn == pattern.weave.beads
    symbols = next(group for group in svg.iter() if group.get("id") == "symbols")
    assert sum(use.tag.endswith("use") for use in symbols.iter()) == pattern.weave.beads


def test_the_seam_outlines_each_bead_of_column_1_where_the_last_loops_have_it(band):
    pattern = band.pattern
    scene = chart_scene(pattern)
    piece, weave = scene.piece, pattern.weave
    rows = pattern.shape.woven.shape[0]
    assert len(piece.seam_xy) == 2 * rows - 1 + (rows % 2 == 0)
    once = np.array(weave.seam.round_mm)
    back = piece.seam_xy - once
    found = np.linalg.norm(weave.bead_xy[:, None] - back, axis=2).min(axis=0)
    assert found.max() < 1e-9
    outlines = [
        stroke
        for stroke in scene.strokes
        if stroke.closed and len(stroke.points) > 40 and stroke.layer == "rim"
    ]
    middles = [np.mean(stroke.points, axis=0) for stroke in outlines]
    for place in piece.seam_xy * scene.scale + scene.offset_mm:
        assert min(np.linalg.norm(middles - place, axis=1)) < 0.05
    words = [label.text for label in scene.labels]
    assert "bead of column 1: the ring closes here" in words
    assert any("columns 1 to" in word and "pale: the same again" in word for word in words)
    # All of it stands on the page.
    points = np.array([point for stroke in scene.strokes for point in stroke.points])
    assert (points > 0).all()
    assert (points < (scene.width_mm, scene.height_mm)).all()


def test_the_first_repeat_is_in_full_colour_and_the_others_are_pale(band):
    pattern = band.pattern
    pale = repeated_beads(pattern)
    loops = pattern.symmetry.repeat_loops
    width = loops * pattern.weave.spacing.pitch_mm
    x = pattern.weave.bead_xy[:, 0]
    # By geometry: a bead of the first repeat has a middle before its last loop's right side.
    pitch = pattern.weave.spacing.pitch_mm
    # A bead of the last loop alone, which lies at the left, belongs to the last repeat.
    assert pale[x < width - pitch].sum() <= 1
    assert pale[x > width + pitch / 2 + 0.1].all()
    piece = draw_piece(pattern)
    assert len(piece.looks) == 2 * len(piece.colours)
    full, faded = piece.looks[0].rgb, piece.looks[len(piece.colours)].rgb
    assert sum(faded) > sum(full)
    assert (piece.bead_look[pale] == piece.bead_colour[pale] + len(piece.colours)).all()
    plain = draw_piece(made(Strip(wrist_mm=130)).pattern)
    assert plain.looks is plain.colours
    assert not plain.pale.any()


@pytest.mark.parametrize(
    ("shape", "told", "times"),
    [
        (BAND, "columns 1 to 14, three times", (3, 1)),
        (Rectangle(width_mm=40, height_mm=46, repeat_down=2), "rows 1 to 6, twice", (1, 2)),
        (
            Rectangle(width_mm=60, height_mm=60, repeat=7, repeat_down=2),
            "columns 1 to 2, 7 times and rows 1 to 8, twice",
            (7, 2),
        ),
        (Rectangle(width_mm=40, height_mm=40, repeat=1), "", (1, 1)),
        (Rectangle(width_mm=40, height_mm=40), "", (1, 1)),
    ],
    ids=str,
)
def test_repeats_are_said_once(shape, told, times):
    one = made(shape)
    assert repeat_told(one.pattern) == told
    assert times_repeated(one.pattern) == times
    text = " ".join(stitch_text(OrderOfWork(one.pattern), one.thread).split())
    assert text.count("Repeat: ") == bool(told)
    if told:
        assert f"Repeat: {told}. The chart shows the first in full colour" in text


def test_the_order_says_where_the_ring_closes(band):
    loops = band.pattern.shape.woven.shape[1]
    text = stitch_text(OrderOfWork(band.pattern), band.thread)
    assert f"\n[ ] Close to column 1: loop {loops} of each row\n---" in text
    after = text[text.index("Close to column 1") :]
    begun = re.findall(r"^ *\d+\. Loop (\d+)\.(\d+)", after, re.MULTILINE)
    assert sorted(begun) == [(str(row + 1), str(loops)) for row in range(band.pattern.shape.woven.shape[0])]
    flat = " ".join(text.split())
    assert f"until loop {loops} of each row meets loop 1 of the same row" in flat
    thrifty = made(path="thrifty")
    assert "Close to column 1:" not in stitch_text(OrderOfWork(thrifty.pattern), thrifty.thread)


def test_steps_are_drawn_where_the_thread_is_and_do_not_jump(band):
    pattern = band.pattern
    order = OrderOfWork(pattern)
    artist = StepArtist(pattern, draw_piece(pattern), order.told, order.names.loops)
    longest = 2.2 * pattern.weave.spacing.side_mm
    for step in range(order.told.steps):
        curve = np.concatenate(artist.thread(step))
        assert np.linalg.norm(np.diff(curve, axis=0), axis=1).max() < longest
    last = order.told.steps - 1
    picture = artist.draw(last, 60.0, 50.0)
    # About the loop that closes last there are woven beads on all sides.
    places = np.array(
        [np.mean(stroke.points, axis=0) for stroke in picture.strokes if len(stroke.points) > 30]
    )
    assert [label.text for label in picture.labels if "." in label.text] == [
        order.names.loops[order.told.loop[-1]]
    ]
    assert places[:, 0].min() < 20
    assert places[:, 0].max() > 40


def test_the_page_to_follow_turns_the_ring(chromium, tmp_path, band):
    order = OrderOfWork(band.pattern)
    path = tmp_path / "follow.html"
    path.write_text(follow_html(order), encoding="utf-8")
    trouble = []
    tab = chromium.new_page()
    tab.on("pageerror", lambda error: trouble.append(str(error)))
    tab.goto(f"{path.as_uri()}#s={order.told.steps}")
    tab.wait_for_timeout(300)
    assert "close to column 1" in tab.text_content("#heading")
    # Woven beads fill the picture to the left and to the right of the last loop.
    shares = tab.evaluate(
        """() => {
          const canvas = document.getElementById("piece"), pen = canvas.getContext("2d");
          const wide = canvas.width / 3, count = (x) => {
            const pixels = pen.getImageData(x, 0, wide, canvas.height).data;
            let seen = 0;
            for (let i = 3; i < pixels.length; i += 4) seen += pixels[i] > 200;
            return seen / (wide * canvas.height);
          };
          return [count(0), count(2 * wide)];
        }"""
    )
    assert min(shares) > 0.15
    tab.goto(f"{path.as_uri()}#s=1")
    tab.wait_for_timeout(200)
    assert "close to" not in tab.text_content("#heading")
    assert not trouble
    tab.close()


def test_only_the_page_of_a_ring_has_what_turns_it(band):
    ring = follow_html(OrderOfWork(band.pattern))
    plain = follow_html(OrderOfWork(made(Strip(wrist_mm=130)).pattern))
    assert "turnTo" in ring
    assert "turnTo" not in plain
    assert "data.ring" not in plain
    for page in (ring, plain):
        assert "ring:" not in page.replace('"ring":', "")


def test_a_ring_is_written_read_and_written_again_alike(tmp_path, band):
    write_outputs(band, tmp_path / "one")
    again = read_pattern(tmp_path / "one" / "pattern.json")
    write_outputs(again, tmp_path / "two")
    for path in (tmp_path / "one").iterdir():
        if path.suffix != ".pdf":
            assert path.read_bytes() == (tmp_path / "two" / path.name).read_bytes(), path.name
    assert again.pattern.repeats == band.pattern.repeats


@pytest.mark.parametrize("edge", ["plain", "points"])
@pytest.mark.parametrize("connectors", [None, "15/0"])
@pytest.mark.parametrize("finish", ["usual", "hook", "cloth"])
def test_rings_of_all_kinds_are_woven(edge, connectors, finish):
    one = made(
        Rectangle(width_mm=45, height_mm=20, join="ends", mirror="both"),
        edge=edge,
        connectors=connectors,
        finish=finish,
    )
    assert one.thread.loops == one.pattern.weave.loops
    assert chart_scene(one.pattern).piece.flat


@pytest.mark.parametrize("finish", ["clasp", "sewn", "button"])
def test_a_ring_has_no_ends_for_a_clasp(finish):
    with pytest.raises(Exception, match=f"has none for --finish {finish}"):
        made(finish=finish)
