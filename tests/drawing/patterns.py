"""Patterns for the chart's tests: any sheet, in colours that run over it, woven row by row in turns."""

import colorsys

import numpy as np

from convert.colour.srgb import to_hex
from convert.palette.model import BeadColour, Palette
from convert.piece.pattern import Pattern
from convert.thread.steps import Supplies, ThreadPlan
from convert.weave.beads import bead_size
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import gauge_spacing, model_spacing
from convert.weave.tips import tips_of

NAMES = ("Reed", "Mallard", "Heron", "Dusk", "Foam", "Teal", "Grebe", "Clay", "Moss", "Coot", "Sedge")


def palette(colours, finish=""):
    """White, black, and colours spread round the circle of hues."""
    rgb = [(1.0, 1.0, 1.0), (0.02, 0.02, 0.02)]
    rgb += [
        colorsys.hls_to_rgb(i * 0.382 % 1, 0.08 + 0.88 * (i * 0.618 % 1), 0.25 + 0.6 * (i * 0.27 % 1))
        for i in range(2, colours)
    ]
    entries = (
        BeadColour(
            f"L{i + 1:03}",
            f"{NAMES[i % 11]} {NAMES[i * 5 % 11].lower()}" + " with a rather long trade name" * (i == 4),
            None,
            to_hex(np.rint(np.array(colour) * 255)),
            (0.0, 0.0, 0.0),
            finish,
        )
        for i, colour in enumerate(rgb[:colours])
    )
    return Palette("lakeside", tuple(entries))


def turns(weave):
    """Row by row, every other row backwards; good enough to draw, not to weave."""
    along = np.where(weave.loop_row % 2 == 0, weave.loop_column, -weave.loop_column)
    order = np.lexsort((along, weave.loop_row)).tolist()
    sides = np.concatenate([np.arange(weave.loop_start[i], weave.loop_start[i + 1]) for i in order])
    return ThreadPlan(weave.side_bead[sides].copy(), np.zeros(1, np.int32))


def pattern(
    woven,
    sizes=("11/0", "11/0"),
    direction="across",
    colours=12,
    points=False,
    title="Grebe at dusk",
    gauge_mm=None,
    entries=None,
):
    pair = bead_size(sizes[0]), bead_size(sizes[1])
    spacing = model_spacing(*pair) if gauge_mm is None else gauge_spacing(*pair, gauge_mm)
    shape = woven if isinstance(woven, Flower) else Sheet(np.asarray(woven, bool), direction)
    weave = shape.build(pair, spacing)
    place = (weave.bead_xy - weave.bead_xy.min(axis=0)) / np.ptp(weave.bead_xy, axis=0)
    wave = (
        np.sin(place[:, 0] * 5 + 3 * place[:, 1] ** 2) + np.cos(place[:, 1] * 7 + place[:, 0] * 2)
    ) / 4 + 0.5
    noise = np.random.default_rng(1).normal(0, 0.05, weave.beads)
    bead_colour = np.clip((wave + noise) * colours, 0, colours - 1).astype(np.int32)
    if points:
        bead_colour = np.append(bead_colour, np.zeros(len(tips_of(weave)), np.int32))
    chosen = entries or palette(colours)
    return Pattern(title, shape, weave, chosen, bead_colour, turns(weave), Supplies())


def bird(rows, places):
    """The silhouette of a swimming bird."""
    y, x = np.mgrid[0:rows, 0:places] / [[[rows]], [[places]]]
    body = ((x - 0.45) / 0.42) ** 2 + ((y - 0.68) / 0.27) ** 2 < 1
    head = ((x - 0.74) / 0.16) ** 2 + ((y - 0.26) / 0.2) ** 2 < 1
    neck = (x > 0.64) & (x < 0.84) & (y > 0.3) & (y < 0.7)
    bill = (x > 0.85) & (x < 0.99) & (np.abs(y - 0.28) < 0.06)
    return body | head | neck | bill


FLOWER = np.array([[0, 1, 1], [1, 1, 1], [0, 1, 1]], bool)

PIECES = {
    "one size": lambda: pattern(np.ones((12, 17))),
    "11/0 with 8/0": lambda: pattern(np.ones((12, 17)), ("11/0", "8/0")),
    "8/0 with 11/0, along": lambda: pattern(np.ones((12, 17)), ("8/0", "11/0"), "along"),
    "15/0 with 11/0, points": lambda: pattern(np.ones((9, 14)), ("15/0", "11/0"), points=True),
    "cylinder": lambda: pattern(np.ones((9, 14)), ("11/0-cylinder", "11/0-cylinder")),
    "bird": lambda: pattern(bird(30, 27), points=True),
    "bird, along": lambda: pattern(bird(30, 30).T, direction="along"),
    "flower": lambda: pattern(FLOWER, colours=3),
    "round flower": lambda: pattern(Flower(3), ("11/0", "8/0"), points=True, title="Water lily"),
    "flower about five": lambda: pattern(Flower(4, 5), title="Water lily"),
    "one loop": lambda: pattern(np.ones((1, 1)), colours=1),
    "bracelet": lambda: pattern(np.ones((5, 70)), direction="along", gauge_mm=38.0),
    "many colours": lambda: pattern(np.ones((40, 30)), colours=60),
}
