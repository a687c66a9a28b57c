"""The page to paint on, in a real browser: what each tool does, by touch and by mouse."""

import json
from dataclasses import replace

import jsonschema
import networkx
import numpy as np
import pytest

from convert.palette.model import BeadColour
from convert.piece.pattern import Wishes
from convert.piece.pattern_file import parse_pattern, pattern_json
from convert.piece.pattern_schema import pattern_schema
from convert.thread.verifier import verify
from convert.weave.shapes import Flower, Sheet
from convert.weave.tips import tips_of
from tests.drawing.edit_desk import make_pattern


def test_a_tap_of_the_finger_paints_one_bead_and_nothing_else_changes(desk_of):
    pattern = make_pattern(wanted=None)
    desk = desk_of(pattern)
    desk.choose("C3")
    desk.tab.touchscreen.tap(*desk.bead_at(20))
    assert desk.told() == "1 bead now C3 colour 3."
    assert desk.spot() == f"{desk.names.place(20)} · C3 colour 3"
    before, after = pattern_json(pattern).split("\n"), desk.saved().split("\n")
    assert len(before) == len(after)
    other = [number for number, pair in enumerate(zip(before, after, strict=True)) if pair[0] != pair[1]]
    assert len(other) == 1
    codes, painted = json.loads(before[other[0]].rstrip(",")), json.loads(after[other[0]].rstrip(","))
    place = 20 - int(np.flatnonzero(pattern.weave.bead_row == pattern.weave.bead_row[20])[0])
    codes[place] = "C3"
    assert painted == codes


def test_a_finger_paints_all_it_is_drawn_over_in_one_step(desk_of):
    desk = desk_of(make_pattern())
    desk.choose("C3")
    row = np.flatnonzero(desk.pattern.weave.bead_row == 2).tolist()
    desk.fingers([desk.bead_at(row[0]), desk.bead_at(row[len(row) // 2]), desk.bead_at(row[-1])])
    codes = desk.codes()
    assert [codes[bead] for bead in row] == ["C3"] * len(row)
    desk.tab.click("#undo")
    assert desk.saved() == pattern_json(desk.pattern)


@pytest.mark.parametrize("beads", [("11/0", "8/0"), ("11/0-cylinder", "15/0")])
@pytest.mark.parametrize(
    "shape", [Sheet(np.ones((4, 6), bool)), Sheet(np.ones((4, 6), bool), "along"), Flower(2), Flower(2, 5)]
)
def test_every_bead_can_be_met_by_the_mouse(desk_of, beads, shape):
    pattern = make_pattern(shape=shape, beads=beads, edge="points")
    desk = desk_of(pattern)
    desk.choose("C3")
    some = [*range(0, len(pattern.bead_colour), 5), *tips_of(pattern.weave).numbers]
    for bead in some:
        desk.click(bead)
        assert desk.spot().startswith(f"{desk.names.place(bead)} · C3"), bead
    saved = desk.read()
    assert np.flatnonzero(saved.bead_colour != pattern.bead_colour).tolist() == sorted(set(some))
    assert verify(saved.weave, saved.thread, saved.supplies).corners == saved.weave.corners


def test_what_is_saved_passes_the_schema(desk_of):
    desk = desk_of(make_pattern(edge="points", beads=("11/0", "8/0")))
    desk.choose("C3")
    desk.drag([0, 5, 20])
    desk.click(len(desk.pattern.bead_colour) - 1)
    desk.tool("loops")
    desk.tab.mouse.click(*desk.loop_at(0))
    text = desk.saved()
    jsonschema.Draft202012Validator(pattern_schema()).validate(json.loads(text))
    # Read and written again it stays the same to the letter, so nothing in it is out of place.
    assert pattern_json(parse_pattern(text, "saved")) == text


def test_where_there_is_no_bead_nothing_is_painted(desk_of):
    desk = desk_of(make_pattern())
    desk.choose("C3")
    left, top, _, _ = desk.piece.extent_mm
    for tool in ("paint", "fill", "swap", "pick"):
        desk.tool(tool)
        desk.tab.mouse.click(*desk.loop_at(8))
        desk.tab.mouse.click(*desk.at(left - 0.8, top - 0.8))
    desk.settled()
    assert desk.state() == "Nothing changed"
    assert "C3" in desk.tab.text_content("#chosen")


def test_fill_takes_what_hangs_together(desk_of):
    pattern = make_pattern(6, 8, beads=("11/0", "8/0"))
    desk = desk_of(pattern)
    weave = pattern.weave
    touching = networkx.Graph()
    touching.add_nodes_from(range(weave.beads))
    for junction in range(weave.junctions):
        there = np.flatnonzero((weave.bead_junctions == junction).any(axis=1)).tolist()
        same = [(a, b) for a in there for b in there if pattern.bead_colour[a] == pattern.bead_colour[b]]
        touching.add_edges_from(same)
    area = max(networkx.connected_components(touching), key=len)
    assert 3 < len(area) < weave.beads
    desk.choose("C3")
    desk.tool("fill")
    desk.click(min(area))
    assert desk.told() == f"{len(area)} beads now C3 colour 3."
    assert set(np.flatnonzero(desk.read().bead_colour == 3).tolist()) == area


def test_swap_takes_a_colour_everywhere_and_only_that(desk_of):
    desk = desk_of(make_pattern())
    desk.choose("C3")
    desk.tool("swap")
    bead = int(np.flatnonzero(desk.pattern.bead_colour == 1)[0])
    desk.click(bead)
    expected = np.where(desk.pattern.bead_colour == 1, 3, desk.pattern.bead_colour)
    assert desk.read().bead_colour.tolist() == expected.tolist()
    desk.click(bead)
    assert "already" in desk.told()


def test_the_colour_of_a_bead_can_be_picked_up(desk_of):
    desk = desk_of(make_pattern())
    desk.tool("pick")
    bead = int(np.flatnonzero(desk.pattern.bead_colour == 2)[0])
    desk.click(bead)
    assert desk.tab.text_content("#chosen") == "Chosen: C2 colour 2"
    assert desk.tab.is_checked("#tool-paint")
    desk.click(0)
    assert desk.codes()[0] == "C2"


def test_a_colour_that_does_not_come_in_the_size_of_a_bead_is_refused_in_words(desk_of):
    entries = tuple(
        BeadColour(code, "", size, colour, (50.0, 0.0, 0.0))
        for code, size, colour in (
            ("A", "11/0", "#102030"),
            ("A", "8/0", "#102030"),
            ("B", "11/0", "#C0A040"),
            ("D", "6/0", "#C0A040"),
        )
    )
    pattern = make_pattern(beads=("11/0", "8/0"), entries=entries)
    pattern = replace(pattern, bead_colour=np.where(pattern.bead_size == 1, 1, 0).astype(np.int32))
    desk = desk_of(pattern)
    large = int(np.flatnonzero(pattern.bead_size == 1)[0])
    desk.choose("B")
    desk.click(large)
    assert desk.told() == "B comes in 11/0 only: 1 bead of 8/0 stays as it is."
    assert desk.state() == "Nothing changed"
    desk.tool("swap")
    desk.click(large)
    small, others = (pattern.bead_size == 0).sum(), (pattern.bead_size == 1).sum()
    assert (
        desk.told() == f"{small} beads now B. B comes in 11/0 only: {others} beads of 8/0 stay as they are."
    )
    assert desk.codes() == ["B" if size == 0 else "A" for size in pattern.bead_size.tolist()]
    # A colour that fits no bead of the piece is not offered.
    assert [code.strip() for code in desk.tab.locator("#beads b").all_inner_texts()] == ["A", "B"]


SYMMETRIC = Sheet(np.array([[0, 1, 1, 0], [1, 1, 1, 0], [1, 1, 1, 1], [1, 1, 1, 0], [0, 1, 1, 0]], bool))


@pytest.mark.parametrize(
    ("name", "flips"),
    [
        ("left and right", [(-1, 1)]),
        ("top and bottom", [(1, -1)]),
        ("all four quarters", [(-1, 1), (1, -1), (-1, -1)]),
        ("turned by half a turn", [(-1, -1)]),
    ],
)
def test_a_mirror_paints_the_partners_too(desk_of, name, flips):
    pattern = make_pattern(shape=SYMMETRIC, edge="points")
    desk = desk_of(pattern)
    desk.tab.click("details.settings summary")
    desk.tab.select_option("#mirror", label=name)
    desk.choose("C3")
    xy = desk.piece.bead_xy
    middle = (xy.min(axis=0) + xy.max(axis=0)) / 2
    for bead in (0, 6, len(xy) - 1):
        partners = {bead}
        for flip in flips:
            far = np.hypot(*(middle + (xy[bead] - middle) * flip - xy).T)
            assert far.min() < 1e-9
            partners.add(int(far.argmin()))
        desk.click(bead)
        assert set(np.flatnonzero(desk.read().bead_colour == 3).tolist()) == partners
        desk.tab.click("#undo")


def test_only_exact_mirrors_are_offered(desk_of):
    assert desk_of(make_pattern(shape=SYMMETRIC)).tab.locator("#mirror option").count() == 5
    lopsided = np.ones((4, 6), bool)
    lopsided[0, 0] = False
    desk = desk_of(make_pattern(shape=Sheet(lopsided)))
    desk.tab.click("details.settings summary")
    assert desk.tab.is_hidden("#mirror")
    # Rows are shifted in turns, so a sheet of an even number of them can only be turned.
    desk = desk_of(make_pattern(4, 6))
    assert desk.tab.locator("#mirror option").all_text_contents() == [
        "one side only",
        "turned by half a turn",
    ]


@pytest.mark.parametrize("direction", ["across", "along"])
def test_loops_to_drop_and_to_add_are_saved_as_wishes(desk_of, direction):
    woven = np.zeros((5, 6), bool)
    woven[1:4, 1:5] = True
    pattern = make_pattern(shape=Sheet(woven, direction))
    desk = desk_of(pattern)
    weave = pattern.weave
    # The same sheet with all loops there says where the bare places lie.
    full = Sheet(np.ones((5, 6), bool), direction).build(weave.sizes, weave.spacing)
    places = {
        (row, column): xy
        for row, column, xy in zip(full.loop_row, full.loop_column, full.loop_xy.tolist(), strict=True)
    }
    desk.tool("loops")
    desk.tab.mouse.click(*desk.loop_at(weave.loops - 1))
    assert desk.told() == f"Loop {desk.names.loops[-1]} is to be dropped."
    desk.tab.mouse.click(*desk.at(*places[2, 5]))
    assert desk.told() == "Loop 2.5 is to be added."
    desk.tab.touchscreen.tap(*desk.at(*places[2, 0]))
    assert desk.told() == "Loop 2.0 is to be added."
    desk.tab.mouse.click(*desk.at(*places[0, 2]))
    assert desk.told() == "Loop 0.2 is to be added."
    saved = desk.read()
    assert saved.wishes == Wishes(drop=(desk.names.loops[-1],), add=("0.2", "2.0", "2.5"))
    assert saved.bead_colour.tolist() == pattern.bead_colour.tolist()
    desk.tab.click("#undo")
    desk.tab.mouse.click(*desk.loop_at(weave.loops - 1))
    assert desk.told() == f"Loop {desk.names.loops[-1]} stays."
    assert desk.read().wishes == Wishes(add=("2.0", "2.5"))


def test_wishes_of_the_file_are_shown_and_can_be_withdrawn(desk_of):
    pattern = replace(make_pattern(), wishes=Wishes(("2.2",), ("1.7",)))
    desk = desk_of(pattern)
    assert desk.tab.inner_text("#wishes") == "To drop: 2.2. To add: 1.7."
    assert desk.saved() == pattern_json(pattern)
    desk.tool("loops")
    desk.tab.mouse.click(*desk.loop_at(desk.names.loops.index("2.2")))
    assert desk.read().wishes == Wishes((), ("1.7",))


def test_a_loop_that_hangs_by_nothing_cannot_be_added(desk_of):
    desk = desk_of(make_pattern(4, 1))
    desk.tool("loops")
    desk.tab.mouse.click(*desk.at(desk.piece.extent_mm[2] + 6, desk.piece.extent_mm[1] + 2))
    assert desk.told() == "A loop can only be added beside another."
    assert desk.tab.is_disabled("#undo")


def test_loops_of_a_flower_cannot_be_changed(desk_of):
    assert desk_of(make_pattern(shape=Flower(2))).tab.is_hidden("#tool-loops")
