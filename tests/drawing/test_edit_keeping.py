"""The page to paint on, in a real browser: steps, what is kept and saved, and the figures running along."""

from dataclasses import replace

import numpy as np
import pytest

from convert.colour.srgb import parse_hex
from convert.palette.model import BeadColour
from convert.piece.materials import materials, total_cost
from convert.piece.pattern_file import pattern_json
from tests.drawing.edit_desk import COLOURS, make_pattern, stocked_pattern


def test_steps_can_be_taken_back_and_done_again_without_end(desk_of):
    desk = desk_of(make_pattern())
    keys = np.random.default_rng(5).choice(["ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown"], 120)
    for at, key in enumerate(keys.tolist()):
        if at % 30 == 0:
            desk.choose(f"C{3 - at // 30}")
            desk.tab.focus("#piece")
        desk.tab.keyboard.press(key)
        desk.tab.keyboard.press("Enter")
    end = desk.saved()
    assert end != pattern_json(desk.pattern)
    for shortcut, button, text in (
        ("Control+z", "#undo", pattern_json(desk.pattern)),
        ("Control+Shift+z", "#redo", end),
    ):
        presses = 0
        while desk.tab.is_enabled(button):
            desk.tab.keyboard.press(shortcut)
            presses += 1
            if presses % 10 == 0:
                desk.settled()
        assert presses > 40
        assert desk.saved() == text


def test_a_second_finger_takes_back_what_the_first_has_begun(desk_of):
    desk = desk_of(make_pattern())
    desk.colours_only()
    desk.choose("C3")
    (x, y), before = desk.bead_at(20), desk.state()
    desk.fingers([(x, y), (x - 40, y), (x - 90, y)], [(x + 30, y), (x + 60, y), (x + 120, y)])
    desk.settled()
    assert desk.state() == before == "Nothing changed"
    # Two fingers have zoomed: a bead is no longer where it was.
    assert desk.pixel(*desk.bead_at(0)) != parse_hex(COLOURS[0])
    desk.tab.click("#fit")
    desk.tab.wait_for_timeout(300)
    assert desk.pixel(*desk.bead_at(0)) == parse_hex(COLOURS[0])


def test_work_is_kept_until_it_is_saved(desk_of):
    desk = desk_of(make_pattern())
    desk.choose("C3")
    desk.drag([0, 3])
    desk.settled()
    changed = desk.state()
    assert changed.endswith("changed, not saved")
    desk.tab.wait_for_function("() => Object.keys(localStorage).length > 0")
    again = desk_of(desk.pattern, context=desk.tab.context)
    assert again.state() == changed
    assert "last time" in again.told()
    text = again.saved()
    assert text == desk.saved() != pattern_json(desk.pattern)
    third = desk_of(desk.pattern, context=desk.tab.context)
    assert third.state() == changed.replace("not saved", "saved")
    # It is a step like any other.
    third.tab.click("#undo")
    third.settled()
    assert third.saved() == pattern_json(desk.pattern)
    # Another pattern begins afresh.
    other = desk_of(make_pattern(name="grebe"), context=desk.tab.context)
    assert other.state() == "Nothing changed"


def test_saved_is_told_of_what_the_file_holds(desk_of):
    desk = desk_of(make_pattern())
    desk.choose("C3")
    desk.click(0)
    desk.saved()
    desk.click(5)
    desk.settled()
    assert desk.state() == "2 beads changed, not saved"
    desk.tab.click("#undo")
    desk.settled()
    assert desk.state() == "1 bead changed, saved"
    # Back before it and on another way: what was saved cannot be come back to.
    desk.tab.click("#undo")
    desk.click(10)
    desk.settled()
    assert desk.state() == "1 bead changed, not saved"


def test_leaving_without_saving_is_asked_about(desk_of):
    desk = desk_of(make_pattern())
    asked = []

    def answer(dialog):
        asked.append(dialog.type)
        dialog.dismiss()

    desk.tab.on("dialog", answer)
    desk.choose("C3")
    desk.click(0)
    desk.tab.close(run_before_unload=True)
    desk.tab.wait_for_timeout(300)
    assert asked == ["beforeunload"]
    desk.saved()
    with desk.tab.expect_event("close"):
        desk.tab.close(run_before_unload=True)
    assert asked == ["beforeunload"]


def test_work_that_cannot_be_read_is_left_alone(desk_of):
    desk = desk_of(make_pattern())
    key = "combweave:edit:" + desk.tab.get_attribute("body", "data-key")
    for kept in (
        "{",
        "null",
        '{"beads": "x:y 99999:0 0:99 -1:2 1.5:1", "wishes": [["9.9"]]}',
        '{"beads": 7, "wishes": 3}',
    ):
        desk.tab.evaluate("([key, kept]) => localStorage.setItem(key, kept)", [key, kept])
        again = desk_of(desk.pattern, context=desk.tab.context)
        assert again.state() == "Nothing changed", kept
        assert again.saved() == pattern_json(desk.pattern)


@pytest.mark.parametrize("code", ["A", "B", "E", "Z"])
def test_figures_running_along_are_those_of_the_shopping_list(desk_of, code):
    desk = desk_of(stocked_pattern())
    desk.tab.locator("details:has(#takes) summary").click()
    desk.choose(code)
    desk.drag([0, 1, 2, 20, 40, 60])
    desk.settled()
    saved = desk.read()
    rows = materials(saved)
    found = {}
    for name, *figures in desk.table("takes"):
        found[name] = figures
    told = lambda number: "–" if number is None else f"{number:,}"  # noqa: E731
    assert len(found) == len(rows)
    for row in rows:
        beads, on_hand, left, to_buy, cost = found[f"{row.colour.code} {row.size.name}"]
        assert [beads, on_hand, to_buy] == [told(row.beads), told(row.on_hand), told(row.to_buy)]
        assert cost == ("–" if row.cost is None else f"{row.cost:,.2f} kr.")
        if row.on_hand is not None and row.colour.size is not None:
            missing = row.beads - row.on_hand
            assert left == (f"{missing} too many" if missing > 0 else told(row.left))
        else:  # both sizes draw on it, so what is too many of one is told of the other, too
            assert left == told(row.left) or (row.left == 0 and left.endswith("too many"))
    totals = desk.tab.inner_text("#totals")
    assert totals.startswith(f"{sum(row.beads for row in rows):,} beads in {saved.colours} colours")
    assert f"cost of beads {total_cost(row.cost_used for row in rows):,.2f} kr." in totals
    packs = total_cost(row.cost for row in rows if row.to_buy)
    assert totals.endswith(f"to buy {sum(row.to_buy for row in rows)} beads, packs {packs:,.2f} kr.")


def is_ringed(desk, bead):
    x, y = desk.bead_at(bead)
    return parse_hex("#B3261E") in {desk.pixel(x, y + dy) for dy in np.arange(-30, 0, 0.5)}


@pytest.mark.parametrize("copies", [1, 2])
def test_beads_beyond_the_stock_are_marked(desk_of, copies):
    entries = (
        BeadColour("A", "", None, "#102030", (50.0, 0.0, 0.0), on_hand=1000),
        BeadColour("B", "", None, "#F0F0F0", (50.0, 0.0, 0.0), on_hand=3 * copies),
    )
    pattern = replace(
        make_pattern(entries=entries, copies=copies),
        bead_colour=np.zeros(make_pattern().weave.beads, np.int32),
    )
    desk = desk_of(pattern)
    assert desk.tab.is_hidden("#over-stock")
    desk.choose("B")
    row = np.flatnonzero(pattern.weave.bead_row == 0).tolist()[:5]
    for bead in row:
        desk.click(bead)
    desk.settled()
    assert desk.tab.inner_text("#over-stock").startswith(f"{2 * copies} beads beyond the stock")
    assert f"{2 * copies} too many: {3 * copies} on hand" in desk.tab.inner_text("#beads")
    # The first three are covered, the others are not, and are ringed.
    assert [desk.spot_of(bead).endswith("beyond the stock") for bead in row] == [False] * 3 + [True] * 2
    assert is_ringed(desk, row[-1])
    # What lies later is covered where something earlier takes less, though nobody has touched it.
    desk.choose("A")
    for bead in (row[0], row[3]):
        desk.click(bead)
    desk.settled()
    assert not is_ringed(desk, row[4])
    desk.choose("B")
    desk.click(row[0])
    desk.settled()
    assert is_ringed(desk, row[4])
