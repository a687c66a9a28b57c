"""The page to paint on as a hand finds it: pieces, where beads are on the screen, and fingers on them."""

import json
from dataclasses import replace

import numpy as np

from convert.drawing.edit_page import edit_html
from convert.drawing.piece import draw_piece
from convert.instructions.names import StitchNames
from convert.palette.model import BeadColour, Palette
from convert.piece.pattern import Pattern
from convert.piece.pattern_file import parse_pattern, pattern_json
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.weave.beads import bead_size
from convert.weave.shapes import Sheet
from convert.weave.spacing import model_spacing
from convert.weave.tips import tips_of

HOSTILE = "<img src=x onerror=alert(1)></script><!-- & \"' \\u003c"
COLOURS = ("#102030", "#C0A040", "#F0F0F0", "#B03030")


def make_pattern(
    rows=4, places=6, name="teal", beads=("11/0", "11/0"), shape=None, edge="plain", entries=None, **more
):
    sizes = bead_size(beads[0]), bead_size(beads[1])
    shape = shape or Sheet(np.ones((rows, places), bool))
    weave = shape.build(sizes, model_spacing(*sizes))
    entries = entries or tuple(
        BeadColour(f"C{number}", name if number == 1 else f"colour {number}", None, colour, (50.0, 0.0, 0.0))
        for number, colour in enumerate(COLOURS)
    )
    plan = plan_thread(weave, supplies=Supplies(), edge=edge)
    count = weave.beads + len(tips_of(weave)) * (edge == "points")
    colour = (np.arange(count) // 3 % 3).astype(np.int32)
    return Pattern(f"heron {name}", shape, weave, Palette("p", entries), colour, plan, Supplies(), **more)


def stocked_pattern():
    entries = (
        BeadColour("A", "", None, "#102030", (50.0, 0.0, 0.0), on_hand_g=0.5, pack_g=10.0, price=3.2),
        BeadColour("B", "", "11/0", "#C0A040", (50.0, 0.0, 0.0), on_hand=40, pack_g=5.0, price=2.5),
        BeadColour("B", "", "8/0", "#C0A040", (50.0, 0.0, 0.0), on_hand=900, per_gram=38.0),
        BeadColour("E", "", None, "#F0F0F0", (50.0, 0.0, 0.0)),
        BeadColour("Z", "", "11/0", "#00F0F0", (50.0, 0.0, 0.0), on_hand=0),
    )
    pattern = make_pattern(5, 6, beads=("11/0", "8/0"), entries=entries, copies=2, spare=0.2, currency="kr.")
    colour = np.where(pattern.bead_size == 1, 2, 1)
    colour[::2] = 0
    return replace(pattern, bead_colour=colour.astype(np.int32))


def edit_page(pattern):
    return edit_html(pattern, StitchNames(pattern), draw_piece(pattern), pattern_json(pattern))


class Desk:
    """A page that is open, and the piece on it."""

    def __init__(self, tab, pattern):
        self.tab, self.pattern = tab, pattern
        self.piece = draw_piece(pattern)
        self.names = StitchNames(pattern)

    def at(self, x_mm, y_mm):
        """Return where a place of the piece is on the screen, as long as the whole piece is in sight."""
        box = self.tab.locator("#piece").bounding_box()
        left, top, right, bottom = self.piece.extent_mm
        pitch = self.pattern.weave.spacing.pitch_mm
        scale = min(box["width"] / (right - left + pitch), box["height"] / (bottom - top + pitch))
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        return x + (x_mm - (left + right) / 2) * scale, y + (y_mm - (top + bottom) / 2) * scale

    def bead_at(self, bead):
        return self.at(*self.piece.bead_xy[bead].tolist())

    def loop_at(self, loop):
        return self.at(*self.pattern.weave.loop_xy[loop].tolist())

    def tool(self, name):
        self.tab.check(f"#tool-{name}", force=True)

    def choose(self, code):
        """Choose a colour by its code."""
        number = next(
            number
            for entry, number in zip(
                self.pattern.palette.entries, self.pattern.palette.colour_numbers().tolist(), strict=True
            )
            if entry.code == code
        )
        self.tab.check(f"#beads input[value='{number}']", force=True)

    def click(self, bead):
        self.tab.mouse.click(*self.bead_at(bead))

    def drag(self, beads):
        """Draw the mouse over beads without letting go."""
        self.tab.mouse.move(*self.bead_at(beads[0]))
        self.tab.mouse.down()
        for bead in beads[1:]:
            self.tab.mouse.move(*self.bead_at(bead))
        self.tab.mouse.up()

    def fingers(self, *paths):
        """Draw one finger or several over the screen, each along places of its own."""
        with_touch = self.tab.context.new_cdp_session(self.tab)

        def send(kind, places):
            points = [{"x": x, "y": y, "id": number} for number, (x, y) in places]
            with_touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

        # The second finger comes a moment after the first.
        for number in range(len(paths)):
            send("touchStart", [(each, paths[each][0]) for each in range(number + 1)])
        for step in range(1, max(map(len, paths))):
            send("touchMove", [(each, path[min(step, len(path) - 1)]) for each, path in enumerate(paths)])
        send("touchEnd", [])
        with_touch.detach()

    def colours_only(self):
        self.tab.click("details.settings summary")
        self.tab.select_option("#mode", "colours")
        self.tab.wait_for_timeout(300)

    def spot(self):
        return self.tab.inner_text("#spot")

    def spot_of(self, bead):
        """Return what is said of the bead below the mouse."""
        self.tab.mouse.move(*self.bead_at(bead))
        return self.spot()

    def told(self):
        return self.tab.inner_text("#told")

    def state(self):
        return self.tab.inner_text("#state")

    def table(self, name):
        """Return the words of a table, row by row."""
        return self.tab.evaluate(
            """(name) => [...document.querySelectorAll(`#${name} tr`)]
                 .map((row) => [...row.cells].map((cell) => cell.innerText))""",
            name,
        )

    def settled(self):
        """Wait for the next frame, in which figures and words follow."""
        self.tab.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")

    def saved(self):
        """Save, and return the text of the file."""
        with self.tab.expect_download() as coming:
            self.tab.click("#save")
        assert coming.value.suggested_filename == "pattern.json"
        return coming.value.path().read_text(encoding="utf-8")

    def codes(self):
        """Save, and return the code of each bead."""
        value = json.loads(self.saved())
        return [code for row in [*value["bead_rows"], value["tips"]] for code in row]

    def read(self):
        """Save, and return the pattern as the program reads it."""
        return parse_pattern(self.saved(), "saved")

    def pixel(self, x, y):
        """Return the colour of a point of the screen on the piece."""
        return tuple(
            self.tab.evaluate(
                """([x, y]) => {
                  const canvas = document.getElementById("piece"), box = canvas.getBoundingClientRect();
                  const ratio = canvas.width / box.width;
                  const dot = [(x - box.left) * ratio, (y - box.top) * ratio, 1, 1];
                  return [...canvas.getContext("2d").getImageData(...dot).data.slice(0, 3)];
                }""",
                [x, y],
            )
        )
