"""The page to follow, in a real browser: Debian's chromium, driven by playwright."""

import re

import numpy as np
import pytest

from convert.drawing.follow_page import follow_html
from convert.instructions.order import OrderOfWork
from convert.instructions.phrases import folded_names
from convert.instructions.telling import stitch_lines
from convert.palette.model import BeadColour, Palette
from convert.piece.pattern import Pattern
from convert.thread.planner import plan_thread
from convert.thread.steps import TAIL_MM, Supplies
from convert.weave.beads import bead_size
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import model_spacing
from convert.weave.tips import tips_of

HOSTILE = "<img src=x onerror=alert(1)></script><!-- & \"'"


def make_pattern(rows=3, places=4, name=HOSTILE, beads=("11/0", "8/0"), shape=None, edge="plain"):
    sizes = bead_size(beads[0]), bead_size(beads[1])
    shape = shape or Sheet(np.ones((rows, places), bool))
    weave = shape.build(sizes, model_spacing(*sizes))
    entries = tuple(
        BeadColour(f"C{number}", name if number == 1 else f"colour {number}", None, colour, (50.0, 0.0, 0.0))
        for number, colour in enumerate(("#102030", "#C0A040", "#F0F0F0", "#B03030"))
    )
    supplies = Supplies(needleful_mm=700.0)
    plan = plan_thread(weave, supplies=supplies, edge=edge)
    beads = weave.beads + len(tips_of(weave)) * (edge == "points")
    colour = (np.arange(beads) // 3 % 4).astype(np.int32)
    return Pattern(f"heron {name}", shape, weave, Palette("p", entries), colour, plan, supplies)


@pytest.fixture
def page(chromium, tmp_path):
    """Return a function that opens a page; complaints and requests are gathered and must stay none."""
    trouble, contexts = [], []

    def opened(pattern=None, link="", width=1280, height=800, scheme="light"):
        path = tmp_path / "follow.html"
        if pattern is not None or not path.exists():
            path.write_text(follow_html(OrderOfWork(pattern or make_pattern())), encoding="utf-8")
        context = chromium.new_context(
            viewport={"width": width, "height": height}, offline=True, color_scheme=scheme
        )
        contexts.append(context)
        tab = context.new_page()
        tab.on("console", lambda message: trouble.append(message.text))
        tab.on("pageerror", lambda error: trouble.append(str(error)))
        tab.on("request", lambda ask: trouble.append(ask.url) if not ask.url.startswith("file:") else None)
        tab.goto(path.as_uri() + link)
        return tab

    yield opened
    for context in contexts:
        context.close()
    assert trouble == []


def steps(tab):
    return int(re.search(r"of (\d+)", tab.inner_text("#where"))[1])


def test_whole_pattern_can_be_stepped_through(page):
    pattern = make_pattern()
    tab = page(pattern)
    picked = []
    for step in range(steps(tab)):
        assert tab.inner_text("#where").startswith(f"Step {step + 1} of")
        for item in tab.locator("#beads li span").all():
            count = re.match(r"(\d+) × ", item.inner_text())
            picked.append(int(count[1]) if count else 1)
        if step + 1 < steps(tab):
            tab.click("#next")
    assert sum(picked) == pattern.weave.beads
    assert tab.is_disabled("#next")
    tab.click("#back")
    assert tab.is_enabled("#next")


def test_new_threads_are_told(page):
    pattern = make_pattern(6, 6)
    tab = page(pattern)
    told = 0
    for _ in range(steps(tab)):
        told += tab.is_visible("#thread")
        tab.keyboard.press("PageDown")
    assert told == len(pattern.thread.new_threads) > 1


def test_stitches_have_the_numbers_of_the_stitch_order(page):
    pattern = make_pattern(6, 6)
    tab = page(pattern)
    named = []
    for _ in range(steps(tab)):
        named.append(re.search(r"stitch (\d+)([a-z]?)", tab.inner_text("#where")).groups())
        tab.keyboard.press("PageDown")
    numbers = [int(number) for number, _ in named]
    # Each number comes with the letters a, b, c ... or alone.
    assert sorted(set(numbers)) == list(range(1, max(numbers) + 1))
    for number in set(numbers):
        letters = [letter for own, letter in named if int(own) == number]
        assert letters == ([""] if len(letters) == 1 else list("abcdefghij"[: len(letters)]))
    told = [line for line in stitch_lines(OrderOfWork(pattern)) if re.match(r" *\d+\. ", line)]
    assert int(re.match(r" *(\d+)", told[-1])[1]) == max(numbers)


@pytest.mark.parametrize("edge", ["plain", "points"])
def test_thread_left_is_that_of_the_order(page, edge):
    pattern = make_pattern(edge=edge)
    order = OrderOfWork(pattern)
    tab = page(pattern)
    before = None
    for step in map(order.step, range(steps(tab))):
        shown = int(re.search(r"thread left: (\d+) cm", tab.inner_text("#percent"))[1])
        if step.new_thread:
            # All that the thread takes but the tail that is left already.
            own = order.thread_of == step.new_thread
            before = order.pass_mm[own].sum() + TAIL_MM
        assert shown == round(before / 10)
        before = step.thread_left_mm
        tab.keyboard.press("PageDown")
    assert before == pytest.approx(TAIL_MM)


def test_beads_are_called_as_in_the_stitch_order(page):
    pattern = make_pattern(name="teal")
    order = OrderOfWork(pattern)
    tab = page(pattern)
    both = 0
    for step in map(order.step, range(steps(tab))):
        words = tab.inner_text("#words").replace("\u00a0", " ").replace(" × ", " x ")
        codes = folded_names(order.names.beads[bead] for run in step.picked_up for bead in run.beads)
        if codes:
            assert ", ".join(codes) in words
        both += any(" 8/0" in code for code in codes)
        tab.keyboard.press("PageDown")
    assert both


def test_rounds_begin_at_the_centre_and_tips_are_named(page):
    tab = page(make_pattern(shape=Flower(2), edge="points"))
    assert tab.inner_text("#where").endswith("centre")
    assert tab.inner_text("#goal-label") == "Go to loop"
    rounds, headings = set(), set()
    for _ in range(steps(tab)):
        rounds.add(tab.inner_text("#where").split(" · ")[-1])
        headings.add(tab.inner_text("#heading"))
        tab.keyboard.press("PageDown")
    assert {"centre", "round 1", "round 2"} <= rounds
    assert "round 3" not in rounds
    assert any(heading.startswith("Tip of ") for heading in headings)
    assert "On the way" not in headings


def test_the_end_is_told_at_the_end(page):
    tab = page()
    assert not tab.is_visible("#end")
    tab.keyboard.press("End")
    assert "Finished" in tab.inner_text("#end")
    # A button that leads nowhere does not stand out; its colour fades.
    tab.wait_for_function(
        """() => {
          const ground = (id) => getComputedStyle(document.getElementById(id)).backgroundColor;
          return ground("next") === ground("back");
        }""",
        timeout=3000,
    )


def test_keyboard_alone(page):
    tab = page()
    for key in ("ArrowRight", "PageDown", "ArrowDown", " "):
        tab.keyboard.press(key)
    assert tab.inner_text("#where").startswith("Step 5 ")
    for key in ("ArrowLeft", "PageUp"):
        tab.keyboard.press(key)
    assert tab.inner_text("#where").startswith("Step 3 ")
    tab.keyboard.press("End")
    tab.keyboard.press("Home")
    tab.focus("#next")
    tab.keyboard.press("Enter")
    assert tab.inner_text("#where").startswith("Step 2 ")


def test_reload_keeps_the_place_and_the_link_carries_it(page):
    tab = page()
    for _ in range(4):
        tab.click("#next")
    assert tab.evaluate("Object.values(localStorage)") == ["4"]
    address = tab.url
    for again in range(10):
        # Without the fragment. A busy browser may hand what was stored to the new page a little later.
        tab.goto(f"{address.split('#')[0]}?again={again}")
        if tab.inner_text("#where").startswith("Step 5 "):
            break
        tab.wait_for_timeout(200)
    assert tab.inner_text("#where").startswith("Step 5 ")
    assert address.endswith("#s=5")
    assert page(link="#s=3").inner_text("#where").startswith("Step 3 ")
    assert page(link="#s=999999").inner_text("#where").startswith("Step ")


def test_jump_to_loop_and_row(page):
    tab = page()
    tab.fill("#goal", "3.2")
    tab.click("#jump button")
    assert "3.2" in tab.inner_text("#heading")
    tab.fill("#goal", "1")
    tab.click("#jump button")
    assert "row 1" in tab.inner_text("#where")
    tab.fill("#goal", "9.9")
    tab.click("#jump button")
    assert "no such" in tab.inner_text("#missed")


def test_beads_left_count_down_to_none(page):
    pattern = make_pattern()
    tab = page(pattern)
    tab.click("details:has(#left) summary")
    tab.wait_for_selector("#left tr")  # the list is filled after the click, by an event of its own
    rows = tab.locator("#left tr")
    assert sum(int(text) for text in rows.locator("td:last-child").all_inner_texts()) == pattern.weave.beads
    tab.keyboard.press("End")
    left = tab.locator("#left tr td:last-child").all_inner_texts()
    assert sum(map(int, left)) < 8


def test_hostile_names_are_text(page):
    tab = page()
    assert HOSTILE in tab.inner_text("#title")
    tab.click("details:has(#left) summary")
    tab.wait_for_selector("#left tr")  # the list is filled after the click, by an event of its own
    assert HOSTILE in tab.inner_text("#left")
    assert tab.locator("img").count() == 0


@pytest.mark.parametrize(("width", "height"), [(360, 740), (1280, 800), (800, 1100)])
def test_fits_the_screen(page, width, height):
    tab = page(make_pattern(name="teal"), width=width, height=height)
    assert tab.evaluate("document.documentElement.scrollWidth") <= width
    box = tab.locator("#next").bounding_box()
    assert box["height"] >= 44
    assert box["y"] + box["height"] <= height
    assert tab.locator("#piece").bounding_box()["height"] > 150
    # The buttons over the drawing stay clear of its edge, and nothing shows below those that lead on.
    tools = [button.bounding_box() for button in tab.locator(".tools button").all()]
    drawing = tab.locator(".map").bounding_box()
    assert max(tool["x"] + tool["width"] for tool in tools) <= drawing["x"] + drawing["width"] - 4
    if width < 760:
        turns = tab.locator(".turns").bounding_box()
        assert height - (turns["y"] + turns["height"]) <= 1


def test_the_piece_is_drawn_in_its_colours(page):
    tab = page(make_pattern(name="teal"))
    tab.keyboard.press("End")
    tab.click("#fit")
    tab.wait_for_timeout(100)
    colours = tab.evaluate(
        """() => {
          const canvas = document.getElementById("piece"), seen = new Set();
          const dots = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data;
          for (let i = 0; i < dots.length; i += 4) seen.add([dots[i], dots[i + 1], dots[i + 2]].join());
          return [...seen];
        }"""
    )
    for colour in ("16,32,48", "192,160,64", "240,240,240", "176,48,48"):
        assert colour in colours


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1280])
def test_axe_finds_no_violation(page, scheme, width):
    from axe_playwright_python.sync_playwright import Axe

    tab = page(make_pattern(name="teal"), width=width, scheme=scheme)
    for summary in tab.locator("summary").all():
        summary.click()
    found = Axe().run(tab)
    assert found.violations_count == 0, found.generate_report()
