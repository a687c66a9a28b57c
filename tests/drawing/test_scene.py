import dataclasses
from collections import Counter
from functools import cache

import numpy as np
import pytest
import shapely

from convert.drawing import style
from convert.drawing.marks import stroke_polygons
from convert.drawing.piece import draw_piece
from convert.drawing.scene import LAYERS, chart_scene
from convert.palette.model import BeadColour, Palette
from convert.piece.pattern import Pattern
from convert.thread.steps import ThreadPlan
from convert.weave.shapes import Flower
from tests.drawing.patterns import PIECES, pattern

SLACK_MM = 0.2  # half a line


@cache
def scene_of(name):
    return chart_scene(PIECES[name]())


def bead_shapes(piece):
    """Outlines of all beads as shapely polygons, at true size."""
    shapes = np.empty(len(piece.bead_xy), object)
    for index, outline in enumerate(piece.outlines):
        beads = piece.bead_outline == index
        shapes[beads] = shapely.polygons(outline.polygon() + piece.bead_xy[beads, None])
    return shapes


def on_page(scene):
    matrix = np.array(scene.offset_mm)
    return shapely.transform(bead_shapes(scene.piece), lambda xy: xy * scene.scale + matrix)


@pytest.mark.parametrize("name", PIECES)
def test_everything_lies_inside_the_margins(name):
    scene = scene_of(name)
    least = style.MARGIN_MM - SLACK_MM
    boxes = np.array([label.box for label in scene.labels])
    marks = [polygon for stroke in scene.strokes for polygon in stroke_polygons(stroke)]
    corners = np.concatenate([boxes[:, :2], boxes[:, 2:], *marks, shapely.get_coordinates(on_page(scene))])
    assert corners.min() >= least
    assert (corners.max(axis=0) <= np.array([scene.width_mm, scene.height_mm]) - least).all()


@pytest.mark.parametrize("name", PIECES)
def test_no_label_lies_on_another_nor_on_a_bead_nor_on_an_arrow(name):
    scene = scene_of(name)
    boxes = shapely.box(*np.array([label.box for label in scene.labels]).T)
    one, other = shapely.STRtree(boxes).query(boxes, predicate="intersects")
    assert [
        (scene.labels[i].text, scene.labels[j].text) for i, j in zip(one, other, strict=True) if i < j
    ] == []
    # Numbers stand in the loops without touching a bead; digits have no descender.
    digits = [(*label.box[:3], label.y_mm) for label in scene.labels if label.layer in {"numbers", "rim"}]
    beads = shapely.STRtree(on_page(scene))
    assert beads.query(shapely.box(*np.array(digits).reshape(-1, 4).T), predicate="intersects").size == 0
    arrows = shapely.GeometryCollection(
        [
            shapely.Polygon(polygon)
            for stroke in scene.strokes
            if stroke.layer == "rim" and not stroke.closed
            for polygon in stroke_polygons(stroke)
        ]
    )
    assert not shapely.intersects(boxes, arrows).any()
    assert beads.query(arrows, predicate="intersects").size == 0


@pytest.mark.parametrize("name", PIECES)
def test_key_counts_every_bead_once(name):
    scene = scene_of(name)
    piece = scene.piece
    assert sum(sum(colour.counts) for colour in piece.colours) == len(piece.bead_xy)
    assert sorted(bead.colour for bead in scene.key_beads) == list(range(len(piece.colours)))
    texts = [label.text for label in scene.labels]
    for colour in piece.colours:
        assert texts.count(colour.bead.code) == 1
        assert f"{max(colour.counts):,}" in texts


def test_entries_that_differ_in_size_only_are_one_line_of_the_key():
    core, connector = "11/0", "8/0"
    entries = [
        BeadColour(code, "", size, colour, (0.0, 0.0, 0.0))
        for size in (core, connector)
        for code, colour in (("A", "#336699"), ("B", "#993366" if size == core else "#993367"))
    ]
    made = pattern(np.ones((4, 5)), (core, connector), colours=2, entries=Palette("shelf", tuple(entries)))
    weave = made.weave
    bead_colour = (made.bead_colour + 2 * weave.bead_size).astype(np.int32)
    piece = draw_piece(dataclasses.replace(made, bead_colour=bead_colour))
    # B is not the same colour in both sizes.
    assert sorted(colour.bead.code for colour in piece.colours) == ["A", "B", "B"]
    assert piece.colour_of_entry[0] == piece.colour_of_entry[2]
    one = piece.colours[piece.colour_of_entry[0]]
    assert one.counts == tuple(np.bincount(weave.bead_size[bead_colour % 2 == 0], minlength=2).tolist())


def test_layers_are_those_that_are_named():
    for name in PIECES:
        scene = scene_of(name)
        assert {mark.layer for mark in (*scene.labels, *scene.strokes)} <= set(LAYERS)


def test_says_the_size_with_its_range_or_its_gauge():
    assert "from the bead shapes" in scene_of("one size").facts
    assert "gauge" in scene_of("bracelet").facts
    assert scene_of("bracelet").facts in [label.text for label in scene_of("bracelet").labels]


def test_scale_bar_measures_what_it_says():
    scene = scene_of("one size")
    words = next(label for label in scene.labels if label.text.endswith("mm of the finished piece"))
    bar = next(s for s in scene.strokes if s.layer == "legend" and s.colour == style.INK)
    (left, _), (right, _) = bar.points
    assert (right - left) / scene.scale == pytest.approx(float(words.text.split()[0]))


def rows_of(made: Pattern):
    rows = draw_piece(made).rows
    assert rows is not None
    return rows


@pytest.mark.parametrize("direction", ["across", "along"])
def test_rows_go_as_the_thread_goes(direction):
    made = pattern(np.ones((6, 5)), direction=direction)
    assert rows_of(made).forward.tolist() == [True, False] * 3
    assert rows_of(made).begun_first == 0
    back = ThreadPlan(made.thread.passes[::-1].copy(), np.zeros(1, np.int32))
    turned = rows_of(dataclasses.replace(made, thread=back))
    assert turned.forward.tolist() == [False, True] * 3
    assert turned.begun_first == 5


def test_arrows_stand_where_rows_begin():
    scene = chart_scene(pattern(np.ones((4, 5))))
    middle = float(scene.piece.loop_xy[:, 0].mean() * scene.scale + scene.offset_mm[0])
    heads = [s.points for s in scene.strokes if s.layer == "rim" and s.width_mm == 0]
    tips = [points[0][0] - np.mean([x for x, _ in points[1:]]) for points in heads]
    assert [tip > 0 for tip in tips] == [True, False, True, False]
    assert [points[0][0] < middle for points in heads] == [True, False, True, False]


def test_start_ring_surrounds_the_first_bead():
    scene = scene_of("one size")
    ring = next(s for s in scene.strokes if s.closed and s.colour == style.ACCENT)
    first = on_page(scene)[scene.piece.start]
    assert shapely.Polygon(ring.points).contains(first)


def test_tips_touch_the_rim_and_overlap_nothing():
    for sizes in (("11/0", "11/0"), ("15/0", "11/0"), ("11/0", "8/0"), ("11/0-cylinder", "11/0-cylinder")):
        made = pattern(np.ones((4, 5)), sizes, points=True)
        shapes = bead_shapes(draw_piece(made))
        rim, tips = shapes[: made.weave.beads], shapes[made.weave.beads :]
        near = shapely.STRtree(rim)
        i, j = near.query(tips, predicate="intersects")
        assert shapely.area(shapely.intersection(tips[i], rim[j])).max(initial=0) < 1e-3
        _, gap = near.query_nearest(tips, return_distance=True, all_matches=False)
        assert gap.max() < 0.02


def test_twenty_thousand_beads_keep_their_symbols_within_36_megapixels():
    scene = chart_scene(pattern(np.ones((88, 74)), colours=60))
    assert len(scene.piece.bead_xy) > 19_800
    assert scene.symbols
    assert scene.width_mm * scene.height_mm * (300 / 25.4) ** 2 <= 36e6


def test_larger_pieces_shrink_and_say_so_unless_the_page_may_grow():
    made = pattern(np.ones((150, 130)), colours=20)
    scene, large = chart_scene(made), chart_scene(made, most_pixels=None)
    assert not scene.symbols
    assert any("too small for symbols" in label.text for label in scene.labels)
    assert scene.width_mm * scene.height_mm * (300 / 25.4) ** 2 <= 36e6
    assert large.symbols
    assert not any("too small for symbols" in label.text for label in large.labels)


def test_symbols_have_at_least_5_points():
    for name in PIECES:
        scene = scene_of(name)
        side_mm = style.SYMBOL_SHARE * scene.piece.narrowest_mm * scene.scale
        assert side_mm / style.SYMBOL_EM / 25.4 * 72 >= 4.99


def test_numbers_are_places_in_the_row():
    made = pattern(np.ones((5, 6)))
    scene = chart_scene(made)
    for loop in range(made.weave.loops):
        x, y = made.weave.loop_xy[loop] * scene.scale + scene.offset_mm
        texts = [
            label.text
            for label in scene.labels
            if label.layer == "numbers"
            and label.box[0] < x < label.box[2]
            and label.box[1] < y < label.box[3]
        ]
        assert texts == [str(made.weave.loop_column[loop] + 1)]


def numbered(made):
    scene = chart_scene(made, None)
    return Counter(label.text for label in scene.labels if label.layer == "numbers")


def test_in_a_large_piece_the_ends_of_rows_and_every_fifth_loop_are_numbered():
    woven = np.ones((14, 23), bool)
    woven[3, :2] = woven[5, 20:] = False
    found = numbered(pattern(woven))
    # Rows begin with 1 but one with 3, and end with 23 but one with 20, which is a fifth one, too.
    assert found == Counter({"1": 13, "3": 1, "23": 13} | {f"{place}": 14 for place in (5, 10, 15, 20)})


def test_every_loop_of_a_flower_is_numbered():
    made = pattern(Flower(8), sizes=("11/0", "15/0"))
    assert numbered(made) == Counter(str(number + 1) for number in range(made.weave.loops))


def test_a_gauge_so_tight_that_beads_fill_the_loops_leaves_out_the_numbers():
    # Two thirds of the model's measure: beads overlap in the drawing.
    scene = chart_scene(pattern(np.ones((3, 4)), ("15/0", "11/0"), gauge_mm=20.0))
    assert scene.piece.loop_walls[:, 2].min() == 0
    assert not [label for label in scene.labels if label.layer == "numbers"]


def test_names_that_no_device_should_obey_are_made_plain():
    title = "Grebe\n\x00\x1b[31m\u202e " + "very long " * 60
    scene = chart_scene(pattern(np.ones((3, 4)), title=title))
    assert all(label.text.isprintable() for label in scene.labels)
    assert scene.labels[0].text.startswith("Grebe [31m very long")
    assert scene.labels[0].text.endswith("…")
