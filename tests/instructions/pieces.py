"""Pieces for the tests of the instructions: sheets and silhouettes in the colours of a lake."""

import numpy as np

from convert.instructions.order import OrderOfWork
from convert.instructions.telling import stitch_text
from convert.palette.model import BeadColour, Palette
from convert.piece.pattern import Pattern
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.shapes import Sheet
from convert.weave.spacing import model_spacing
from convert.weave.tips import tips_of

COLOURS = (("WH", "chalk white"), ("RG", "reed green"), ("LB", "lake blue"), ("BK", "beak"))
LAKE = Palette(
    "lake",
    tuple(
        BeadColour(code, name, None, "#808080", (20.0 * at, 0.0, 0.0))
        for at, (code, name) in enumerate(COLOURS)
    ),
)


def piece(woven, *, sizes=("11/0", "11/0"), colours=4, seed=0, supplies=None, direction="across", **choices):
    sizes = tuple(bead_size(size) for size in sizes)
    shape = Sheet(np.array(woven, bool), direction)
    weave = shape.build(sizes, model_spacing(*sizes))
    supplies = supplies or Supplies()
    plan = plan_thread(weave, supplies=supplies, **choices)
    beads = weave.beads + (len(tips_of(weave)) if choices.get("edge") == "points" else 0)
    bead_colour = np.random.default_rng(seed).integers(0, colours, beads).astype(np.int32)
    return Pattern("Grebe on the lake", shape, weave, LAKE, bead_colour, plan, supplies)


def told(pattern):
    """The stitch order as text."""
    return stitch_text(OrderOfWork(pattern), verify(pattern.weave, pattern.thread, pattern.supplies))
