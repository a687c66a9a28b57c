"""What the page to paint on costs for 100,000 beads: to write, to open, to paint and to zoom in Chromium.

Seconds of writing are those of the processor, beside the pattern file and the page to follow. In the browser
each figure is the slowest frame of its kind, in milliseconds of the machine as it is; the last column is that
by the slowest frame of zooming the page to follow in the same run.

Run by hand: ``python tests/bench/bench_edit_page.py [BEADS]``.
"""

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from playwright.sync_api import Page, sync_playwright

from convert import read_palette
from convert.drawing.edit_page import edit_html
from convert.drawing.follow_page import follow_html
from convert.drawing.piece import draw_piece
from convert.instructions.order import OrderOfWork
from convert.piece.pattern import Pattern
from convert.piece.pattern_file import pattern_json
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.weave.beads import bead_size
from convert.weave.shapes import Sheet
from convert.weave.spacing import model_spacing

FRAMES = """() => {
  const ask = window.requestAnimationFrame.bind(window);
  window.slowest = 0;
  window.requestAnimationFrame = (call) => ask((at) => {
    const began = performance.now();
    call(at);
    window.slowest = Math.max(window.slowest, performance.now() - began);
  });
}"""


def large(beads: int) -> Pattern:
    side = round((beads / 3) ** 0.5)
    pair = bead_size("11/0"), bead_size("11/0")
    shape = Sheet(np.ones((side, side), bool))
    weave = shape.build(pair, model_spacing(*pair))
    palette, _ = read_palette()
    usable = palette.for_size("11/0")
    x, y = ((weave.bead_xy - weave.bead_xy.min(axis=0)) / np.ptp(weave.bead_xy, axis=0)).T
    wave = (np.sin(9 * x + 3 * y * y) + np.cos(12 * y + 4 * x)) / 4 + 0.5
    colour = usable[np.clip(wave * len(usable), 0, len(usable) - 1).astype(int)].astype(np.int32)
    wanted = np.rint(palette.rgb()[colour] * 257.0).astype(np.uint16)
    plan = plan_thread(weave, supplies=Supplies())
    return Pattern("large", shape, weave, palette, colour, plan, Supplies(), wanted=wanted)


def spent(work: Callable[[], str]) -> tuple[float, str]:
    start = time.process_time()
    made = work()
    return time.process_time() - start, made


def opened(tab: Page, path: Path) -> float:
    start = time.perf_counter()
    tab.goto(path.as_uri())
    tab.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    seconds = time.perf_counter() - start
    tab.wait_for_timeout(800)
    tab.evaluate(FRAMES)
    return seconds


def slowest(tab: Page) -> float:
    tab.wait_for_timeout(500)
    milliseconds = float(tab.evaluate("() => window.slowest"))
    tab.evaluate("() => { window.slowest = 0; }")
    return milliseconds


def zoomed(tab: Page) -> float:
    for turn in (-120, 120):
        for _ in range(14):
            tab.mouse.wheel(0, turn)
            tab.wait_for_timeout(30)
    return slowest(tab)


def main() -> None:
    pattern = large(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
    order, piece = OrderOfWork(pattern), draw_piece(pattern)
    text_s, text = spent(lambda: pattern_json(pattern))
    follow_s, follow = spent(lambda: follow_html(order))
    edit_s, edit = spent(lambda: edit_html(pattern, order.names, piece, text))
    print(f"{pattern.weave.beads:,} beads")
    for name, seconds, content in (
        ("pattern.json", text_s, text),
        ("follow.html", follow_s, follow),
        ("edit.html", edit_s, edit),
    ):
        print(f"  {name:13} written in {seconds:.2f} s, {len(content.encode()) / 1e6:.1f} MB")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        flags = ["--disable-gpu", "--no-sandbox"]
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=flags)
        tab = browser.new_page(viewport={"width": 1280, "height": 800})
        pages = {name: Path(folder) / name for name in ("follow.html", "edit.html")}
        pages["follow.html"].write_text(follow, encoding="utf-8")
        pages["edit.html"].write_text(edit, encoding="utf-8")
        found = {"open follow.html": 1000 * opened(tab, pages["follow.html"])}
        tab.click("#fit")
        tab.mouse.move(420, 420)
        tab.wait_for_timeout(500)
        found["zoom follow.html"] = zoomed(tab)
        found["open edit.html"] = 1000 * opened(tab, pages["edit.html"])
        tab.mouse.move(300, 300)
        tab.mouse.down()
        tab.mouse.move(600, 420, steps=30)
        tab.mouse.up()
        found["paint"] = slowest(tab)
        tab.check("#tool-swap", force=True)
        tab.mouse.click(420, 420)
        found["swap a colour"] = slowest(tab)
        tab.check("#tool-fill", force=True)
        tab.mouse.click(500, 300)
        found["fill"] = slowest(tab)
        found["zoom"] = zoomed(tab)
        browser.close()
    for name, milliseconds in found.items():
        print(f"  {name:17} {milliseconds:6.0f} ms, {milliseconds / found['zoom follow.html']:5.2f} x")


if __name__ == "__main__":
    main()
