"""A swatch for the gauge: which loops to weave, and from where to where to measure."""

import numpy as np

from convert.drawing import style
from convert.drawing.labels import label, line_mm
from convert.drawing.marks import line
from convert.drawing.piece import draw_piece
from convert.drawing.scene import Scene
from convert.palette.model import BeadColour, Palette
from convert.piece.pattern import Pattern
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.weave.beads import BeadSize
from convert.weave.shapes import Sheet
from convert.weave.spacing import GAUGE_LOOPS, Spacing

ROWS = 4
# In two sizes three loops are a repeat, and only whole repeats are of one length wherever they begin.
_LOOPS_TWO_SIZES = 12
# The middle rows are measured: the edges of a small piece spread.
_ROW = 1
_SCALE = 3.0
_PLAIN = Palette(
    "swatch",
    (
        BeadColour("core", "", None, "#D9D6CC", (85.4, -0.6, 5.1)),
        BeadColour("measured", "", None, "#E0A458", (71.9, 14.4, 47.6)),
    ),
)


def swatch_scene(sizes: tuple[BeadSize, BeadSize], spacing: Spacing) -> Scene:
    """Return the drawing of a swatch, with the loops to measure marked, and the line to measure along.

    In one size that is ten loops, in two sizes twelve.

    Parameters
    ----------
    sizes : tuple of BeadSize
        Core and connector.
    spacing : Spacing
        Sides of the loops, from the model or from a gauge.
    """
    loops, told = (GAUGE_LOOPS, "ten") if sizes[0] == sizes[1] else (_LOOPS_TWO_SIZES, "twelve")
    shape = Sheet(np.ones((ROWS, loops + 2), bool))
    weave = shape.build(sizes, spacing)
    measured = (weave.loop_row == _ROW) & (weave.loop_column >= 1) & (weave.loop_column <= loops)
    colour = np.zeros(weave.beads, np.int32)
    colour[weave.side_bead[measured[weave.side_loop]]] = 1
    pattern = Pattern("Swatch", shape, weave, _PLAIN, colour, plan_thread(weave), Supplies())
    piece = draw_piece(pattern)

    left, top, right, bottom = piece.extent_mm
    offset = style.MARGIN_MM - _SCALE * left, style.MARGIN_MM + 3 * line_mm(style.TITLE) - _SCALE * top
    # From the left side of the first marked loop to the same side of the loop after the last.
    first = int(np.flatnonzero(measured)[0])
    of_first = weave.side_bead[weave.loop_start[first] : weave.loop_start[first + 1]]
    edge = weave.bead_xy[of_first, 0].min()
    x0, x1 = (float(_SCALE * x + offset[0]) for x in (edge, edge + loops * spacing.pitch_mm))
    below = float(_SCALE * bottom + offset[1])
    y = below + style.BLOCK_MM
    row_y = float(_SCALE * weave.loop_xy[first, 1] + offset[1])
    strokes = [
        line((x0, y), (x1, y), style.STRONG_MM, style.ACCENT, "thread"),
        *(line((x, row_y), (x, y + 2.0), style.STRONG_MM, style.ACCENT, "thread") for x in (x0, x1)),
    ]
    words = f"measure here: {told} loops, {loops * spacing.pitch_mm:.1f} mm expected"
    title_y = style.MARGIN_MM + line_mm(style.TITLE) / 2
    labels = (
        label("Swatch", style.MARGIN_MM, title_y, style.TITLE),
        label(
            " and ".join(dict.fromkeys(size.name for size in sizes)),
            style.MARGIN_MM,
            title_y + line_mm(style.FACTS) * 1.4,
            style.FACTS,
        ),
        label(words, (x0 + x1) / 2, y + 1.3 * line_mm(style.BODY), style.BODY, anchor="middle"),
    )
    return Scene(
        title="Swatch",
        facts=words,
        width_mm=_SCALE * (right - left) + 2 * style.MARGIN_MM,
        height_mm=y + 2 * line_mm(style.BODY) + style.MARGIN_MM,
        piece=piece,
        scale=_SCALE,
        offset_mm=offset,
        symbols=False,
        key_beads=(),
        strokes=tuple(strokes),
        labels=labels,
    )
