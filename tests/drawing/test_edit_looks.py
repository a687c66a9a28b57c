"""The page to paint on, in a real browser: how it looks."""

from dataclasses import replace

import numpy as np
import pytest

from convert.colour.srgb import parse_hex
from convert.palette.model import BeadColour
from convert.weave.shapes import Flower
from tests.drawing.edit_desk import COLOURS, HOSTILE, make_pattern, stocked_pattern


@pytest.mark.parametrize("ratio", [1, 2])
def test_beads_are_drawn_where_they_lie_in_their_colours(desk_of, chromium, ratio):
    context = chromium.new_context(
        viewport={"width": 900, "height": 700}, device_scale_factor=ratio, has_touch=True
    )
    desk = desk_of(make_pattern(shape=Flower(2), beads=("11/0", "8/0"), edge="points"), context=context)
    desk.colours_only()
    desk.tab.wait_for_timeout(300)
    for bead in range(0, len(desk.pattern.bead_colour), 3):
        colour = parse_hex(COLOURS[desk.pattern.bead_colour[bead]])
        assert desk.pixel(*desk.bead_at(bead)) == colour
        # Just inside its ends along the hole, and across: colour; beyond: something else.
        outline = desk.piece.outlines[desk.piece.bead_outline[bead]]
        x, y = outline.along
        x_mm, y_mm = desk.piece.bead_xy[bead].tolist()
        for ux, uy, half in ((x, y, outline.size.length_mm / 2), (-y, x, outline.size.diameter_mm / 2)):
            assert desk.pixel(*desk.at(x_mm + ux * half * 0.65, y_mm + uy * half * 0.65)) == colour
            assert desk.pixel(*desk.at(x_mm + ux * half * 0.98, y_mm + uy * half * 0.98)) != colour
    context.close()


@pytest.mark.parametrize(("scheme", "ground"), [("light", "#E4E6E4"), ("dark", "#2C3133")])
def test_every_bead_stands_out_from_the_ground(desk_of, scheme, ground):
    """Its fill or its line has the contrast of 3 : 1 that WCAG 2.1, 1.4.11 asks of what must be seen."""
    from convert.drawing.contrast import contrast_ratio

    hexes = (
        "#000000",
        "#202428",
        "#404040",
        "#808080",
        "#B0B0B0",
        "#F0F0F0",
        "#FFFFFF",
        "#8A1C1C",
        "#FFE680",
    )
    entries = tuple(BeadColour(f"C{i}", "", None, colour, (50.0, 0.0, 0.0)) for i, colour in enumerate(hexes))
    pattern = make_pattern(entries=entries)
    pattern = replace(pattern, bead_colour=(np.arange(pattern.weave.beads) % len(hexes)).astype(np.int32))
    desk = desk_of(pattern, scheme=scheme)
    for bead in range(9):
        x, y = desk.bead_at(bead)
        x_mm, y_mm = desk.piece.bead_xy[bead].tolist()
        outline = desk.piece.outlines[desk.piece.bead_outline[bead]]
        end_x, end_y = desk.at(
            x_mm + outline.along[0] * outline.size.length_mm / 2,
            y_mm + outline.along[1] * outline.size.length_mm / 2,
        )
        way = np.linspace(0.5, 1, 60)
        seen = {desk.pixel(x + (end_x - x) * share, y + (end_y - y) * share) for share in way.tolist()}
        assert max(contrast_ratio(colour, parse_hex(ground)) for colour in seen) >= 3, hexes[bead]


def test_the_picture_lies_underneath_at_the_strength_that_is_chosen(desk_of):
    pattern = make_pattern()
    wanted = np.full((pattern.weave.beads, 3), 65535, np.uint16) * np.array([0, 1, 0], np.uint16)
    desk = desk_of(replace(pattern, wanted=wanted, unshown=(3,)))
    desk.colours_only()
    desk.tab.evaluate("document.getElementById('strength').focus()")
    desk.tab.keyboard.press("End")
    desk.tab.wait_for_timeout(300)
    assert desk.pixel(*desk.bead_at(0)) == (0, 255, 0)
    assert desk.pixel(*desk.bead_at(3)) == parse_hex(COLOURS[1])
    for _ in range(10):
        desk.tab.keyboard.press("ArrowLeft")
    desk.tab.wait_for_timeout(300)
    assert np.abs(np.array(desk.pixel(*desk.bead_at(0))) - [8, 143, 24]).max() <= 1
    desk = desk_of(pattern)
    desk.tab.click("details.settings summary")
    assert desk.tab.is_hidden("#strength")


def test_symbols_show_when_beads_are_large_enough(desk_of):
    desk = desk_of(make_pattern())
    desk.tab.click("details.settings summary")
    middle = {}
    for mode in ("both", "colours", "symbols"):
        desk.tab.select_option("#mode", mode)
        desk.tab.wait_for_timeout(300)
        x, y = desk.bead_at(20)
        middle[mode] = {desk.pixel(x + dx, y + dy) for dx in range(-6, 7, 2) for dy in range(-6, 7, 2)}
    fill = parse_hex(COLOURS[desk.pattern.bead_colour[20]])
    assert middle["colours"] == {fill}
    assert fill in middle["both"]
    assert len(middle["both"]) > 1
    assert fill not in middle["symbols"]
    assert (255, 255, 255) in middle["symbols"]


def test_hostile_names_are_text(desk_of):
    desk = desk_of(make_pattern(name=HOSTILE))
    assert HOSTILE in desk.tab.inner_text("#title")
    for summary in desk.tab.locator("summary").all():
        summary.click()
    desk.settled()
    assert HOSTILE in desk.tab.inner_text("#takes")
    assert HOSTILE in desk.tab.inner_text("#beads")
    assert desk.tab.locator("img").count() == 0
    desk.choose("C3")
    desk.click(0)
    saved = desk.read()
    assert saved.title == desk.pattern.title
    assert saved.palette == desk.pattern.palette


def test_a_long_palette_is_found_by_words(desk_of):
    entries = tuple(
        BeadColour(f"L{number}", f"reed {number}", None, f"#{number * 7919 % 0xFFFFFF:06X}", (50.0, 0.0, 0.0))
        for number in range(700)
    )
    desk = desk_of(make_pattern(entries=entries))
    assert desk.tab.locator("#beads label").count() == 300
    assert desk.tab.inner_text("#more").startswith("and 400 more")
    desk.tab.fill("#find", "REED 69")
    assert desk.tab.locator("#beads label").count() == 11
    desk.choose("L699")
    desk.click(0)
    assert desk.codes()[0] == "L699"
    desk.tab.fill("#find", "grebe")
    assert desk.tab.inner_text("#more") == "No colour is called so."


@pytest.mark.parametrize(("width", "height"), [(360, 740), (768, 1024), (1280, 800)])
def test_fits_the_screen(desk_of, width, height):
    desk = desk_of(make_pattern(beads=("11/0", "8/0")), width=width, height=height)
    tab = desk.tab
    for summary in tab.locator("summary").all():
        summary.click()
    assert tab.evaluate("document.documentElement.scrollWidth") <= width
    assert tab.evaluate("document.documentElement.scrollHeight") <= height
    assert tab.locator("#piece").bounding_box()["height"] > 200
    controls = (
        "button, label:has(input[type=radio]), select, input:not([type=radio]):not([type=range]), summary"
    )
    for control in tab.locator(controls).all():
        if control.is_visible():
            box = control.bounding_box()
            assert box["height"] >= 44, control.inner_text()
            assert box["width"] >= 44
            # The colours may be drawn along within their frame.
            within = control.evaluate("(control) => control.closest('#beads') !== null")
            assert within or box["x"] + box["width"] <= width
    for name in ("save", "undo", "redo", "closer"):
        box = tab.locator(f"#{name}").bounding_box()
        assert box["y"] + box["height"] <= height


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1280])
def test_axe_finds_no_violation(desk_of, scheme, width):
    from axe_playwright_python.sync_playwright import Axe

    desk = desk_of(stocked_pattern(), width=width, scheme=scheme)
    desk.choose("B")
    desk.click(1)
    for summary in desk.tab.locator("summary").all():
        summary.click()
    desk.settled()
    found = Axe().run(desk.tab)
    assert found.violations_count == 0, found.generate_report()
