"""The page to paint on, in a real browser: by keyboard, and in words."""

import itertools
from dataclasses import replace

import networkx
import numpy as np
import pytest

from convert.palette.model import BeadColour
from convert.weave.shapes import Flower, Sheet
from convert.weave.tips import tips_of
from tests.drawing.edit_desk import make_pattern

KEYS = (
    "ArrowRight",
    "ArrowLeft",
    "ArrowUp",
    "ArrowDown",
    "Shift+ArrowRight",
    "Shift+ArrowLeft",
    "Shift+ArrowUp",
    "Shift+ArrowDown",
)


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("beads", [("11/0", "11/0"), ("15/0", "8/0")])
def test_arrow_keys_walk_in_the_three_directions_of_the_honeycomb(desk_of, direction, beads):
    pattern = make_pattern(5, 5, beads=beads, shape=Sheet(np.ones((5, 5), bool), direction))
    desk = desk_of(pattern)
    weave = pattern.weave
    place_of = {desk.names.place(bead): bead for bead in range(weave.beads)}
    ways = (
        {"ArrowRight": 0, "ArrowUp": -60, "Shift+ArrowUp": -120}
        if direction == "across"
        else {"ArrowDown": 90, "ArrowRight": -30, "Shift+ArrowRight": 30}
    )
    back = {"ArrowRight": "ArrowLeft", "ArrowUp": "ArrowDown", "ArrowDown": "ArrowUp"}
    start = int(np.hypot(*(weave.bead_xy - weave.loop_xy[12]).T).argmin())
    desk.tool("move")
    desk.tool("paint")
    desk.tab.fill("#goal", desk.names.place(start))
    desk.tab.press("#goal", "Enter")
    for key, degrees in ways.items():
        at = [start]
        for _ in range(2):
            desk.tab.keyboard.press(key)
            at.append(place_of[desk.spot().split(" · ")[0]])
            dx, dy = weave.bead_xy[at[-1]] - weave.bead_xy[at[-2]]
            off = (np.degrees(np.arctan2(dy, dx)) - degrees + 180) % 360 - 180
            assert abs(off) < 20
            assert np.hypot(dx, dy) < 1.3 * weave.spacing.pitch_mm
            heard = desk.tab.inner_text("#heard").replace("\u00a0", "")
            assert heard.startswith(desk.names.place(at[-1]) + ", C")
        modifier, _, arrow = key.rpartition("+")
        for bead in reversed(at[:-1]):
            desk.tab.keyboard.press(f"{modifier}+{back[arrow]}" if modifier else back[arrow])
            assert place_of[desk.spot().split(" · ")[0]] == bead


@pytest.mark.parametrize(
    "shape", [Sheet(np.ones((2, 3), bool)), Sheet(np.ones((2, 2), bool), "along"), Flower(1, 5)]
)
def test_every_bead_can_be_reached_by_the_keyboard(desk_of, shape):
    """From bead to bead over whatever the keys reach, which needs no map of the piece."""
    count = len(make_pattern(shape=shape, edge="points", beads=("11/0", "8/0")).bead_colour)
    entries = tuple(BeadColour(f"B{bead}", "", None, "#808080", (50.0, 0.0, 0.0)) for bead in range(count))
    pattern = make_pattern(shape=shape, edge="points", beads=("11/0", "8/0"), entries=entries)
    # Each bead has a colour of its own, by which it is known.
    desk = desk_of(replace(pattern, bead_colour=np.arange(count, dtype=np.int32)))
    keyboard = desk.tab.keyboard
    desk.tab.focus("#piece")
    known, tried, at = networkx.DiGraph(), set(), 0
    while True:
        known.add_node(at)
        new = [(bead, key) for bead in known for key in KEYS if (bead, key) not in tried]
        if not new:
            break
        lengths = networkx.single_source_shortest_path(known, at)
        bead, key = min((each for each in new if each[0] in lengths), key=lambda each: len(lengths[each[0]]))
        for one, other in itertools.pairwise(lengths[bead]):
            keyboard.press(known.edges[one, other]["key"])
        keyboard.press(key)
        tried.add((bead, key))
        at = int(desk.spot().split(" · ")[1][1:])
        if at == bead:
            assert desk.tab.inner_text("#heard").strip() == "Edge of the piece."
        else:
            known.add_edge(bead, at, key=key)
    assert set(known) == set(range(count))


def test_keys_for_tools_and_zoom(desk_of):
    desk = desk_of(make_pattern())
    desk.tab.focus("#piece")
    assert desk.tab.inner_text("#heard").startswith(desk.names.place(0))
    desk.tab.keyboard.press("ArrowRight")
    desk.tab.keyboard.press("c")
    assert "Chosen" in desk.told()
    before = desk.pixel(*desk.bead_at(0))
    for _ in range(4):
        desk.tab.keyboard.press("+")
    desk.tab.wait_for_timeout(300)
    assert desk.pixel(*desk.bead_at(0)) != before
    desk.tab.keyboard.press("0")
    desk.tab.wait_for_timeout(300)
    assert desk.pixel(*desk.bead_at(0)) == before
    desk.choose("C3")
    desk.tab.focus("#piece")
    desk.tab.keyboard.press("Enter")
    with desk.tab.expect_download():
        desk.tab.keyboard.press("Control+s")
    assert desk.state() == "1 bead changed, saved"


def test_loops_are_walked_over_by_the_keyboard(desk_of):
    desk = desk_of(make_pattern(3, 4))
    desk.tool("loops")
    desk.tab.focus("#piece")
    heard = [desk.tab.inner_text("#heard")]
    for key in ("ArrowRight", "ArrowDown", "Shift+ArrowDown", "ArrowLeft", "Enter"):
        desk.tab.keyboard.press(key)
        heard.append(desk.tab.inner_text("#heard").strip())
    assert heard == ["Loop 1.1", "Loop 1.2", "Loop 2.1", "Loop 3.2", "Loop 3.1", "Loop 3.1"]
    assert desk.told() == "Loop 3.1 is to be dropped."
    desk.tab.fill("#goal", "2.3")
    desk.tab.press("#goal", "Enter")
    assert desk.spot() == "Loop 2.3"
    desk.tab.fill("#goal", "3.1")
    desk.tab.press("#goal", "Enter")
    assert desk.spot() == "Loop 3.1, to be dropped"
    desk.tab.keyboard.press("ArrowLeft")
    assert desk.spot() == "Place 3.0, no loop"
    desk.tab.keyboard.press("ArrowLeft")
    assert desk.spot() == "Place 3.0, no loop"


@pytest.mark.parametrize(("shape", "edge"), [(None, "plain"), (None, "points"), (Flower(2, 5), "points")])
def test_the_row_in_words_has_every_bead_where_the_stitch_order_puts_it(desk_of, shape, edge):
    pattern = make_pattern(shape=shape, edge=edge, beads=("11/0", "8/0"))
    desk = desk_of(pattern)
    desk.tab.locator("details:has(#row) summary").click()
    rows, tips = pattern.weave.bead_row, list(tips_of(pattern.weave).numbers)
    firsts = [int(np.flatnonzero(rows == row)[0]) for row in range(0, int(rows.max()) + 1, 2)]
    for first in [*firsts, *(tips[:1] if edge == "points" else [])]:
        desk.click(first)
        desk.settled()
        beads = tips if first in tips else np.flatnonzero(rows == rows[first]).tolist()
        told = desk.table("row")
        assert [place for place, _, _ in told] == [desk.names.place(bead) for bead in beads]
        assert [size for _, _, size in told] == [
            pattern.weave.sizes[pattern.bead_size[bead]].name for bead in beads
        ]
        assert told[0][1].startswith("C0")


def test_a_bead_is_found_by_its_name(desk_of):
    desk = desk_of(make_pattern(edge="points"))
    for name, place in (
        ("1.1/2.1", "1.1/2.1"),
        ("2.1 / 1.1", "1.1/2.1"),
        ("3.1/left", "edge of 3.1, left"),
        ("edge of 1.2, top right", "edge of 1.2, top right"),
        ("1.4/Tip", "tip of 1.4"),
        ("2.5", "1.5/2.5"),
    ):
        desk.tab.fill("#goal", name)
        desk.tab.press("#goal", "Enter")
        assert desk.tab.evaluate("document.activeElement.id") == "piece"
        assert desk.spot().startswith(f"{place} · ")
    for wrong in ("9.9", "1.1/4.4", "", "1.1/1.1", "heron", "2.3/left", "2.3/tip", "left", "1.1/2.1/2.2"):
        desk.tab.fill("#goal", wrong)
        desk.tab.press("#goal", "Enter")
        assert desk.tab.inner_text("#missed") == "There is no such loop or bead."
