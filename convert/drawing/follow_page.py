"""The page to follow while weaving: one file that works from the file system and loads nothing."""

from typing import Any

import numpy as np

from convert.colour.srgb import to_hex
from convert.drawing import style
from convert.drawing.piece import Piece, draw_piece
from convert.drawing.web_page import units, web_page
from convert.instructions.order import OrderOfWork
from convert.instructions.wording import FullWords
from convert.piece.materials import finished_size
from convert.piece.pattern import Pattern
from convert.piece.repeats import seam_told
from convert.thread.closing import closing_loops
from convert.weave.tips import tips_of


def follow_html(order: OrderOfWork) -> str:
    """Return the page as HTML.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    """
    data = _data(order, draw_piece(order.pattern))
    ring = order.pattern.weave.seam is not None
    return web_page(
        "page.html", ["theme.css", "page.css"], ["page.js"], data, order.pattern.imprint, ring=ring
    )


def _data(order: OrderOfWork, piece: Piece) -> dict[str, Any]:
    pattern, told, names, words = order.pattern, order.told, order.names, FullWords(order.names)
    weave = pattern.weave
    begins = told.step_start[:-1]
    left_mm = order.thread_left_mm[begins] + order.pass_mm[begins]
    return {
        **_ring(pattern),
        "title": pattern.title,
        "size": str(finished_size(pattern)),
        "copies": pattern.made_alike,
        "line": names.line,
        # Rows count from 1, rounds from the centre.
        "first_line": 1 if names.line == "row" else 0,
        "colours": [
            {
                "code": colour.bead.code,
                "name": colour.bead.name,
                "called": names.codes[colour.bead.code],
                "fill": to_hex(colour.rgb),
                "ink": to_hex(colour.ink),
                "rim": to_hex(style.rim_colour(colour.rgb)),
                "symbol": [[list(point) for point in polygon] for polygon in colour.symbol],
            }
            for colour in piece.colours
        ],
        "outlines": [units(outline.polygon()) for outline in piece.outlines],
        "narrow": units(np.array(piece.narrowest_mm)),
        "extent": units(np.array(piece.extent_mm)),
        "x": units(piece.bead_xy[:, 0]),
        "y": units(piece.bead_xy[:, 1]),
        "outline": piece.bead_outline.tolist(),
        "colour": piece.bead_colour.tolist(),
        "sizes": [size.name for size in weave.sizes],
        "size_of": "".join(map(str, pattern.bead_size.tolist())),
        "loops": names.loops,
        "tips": [names.place(bead) for bead in tips_of(weave).numbers if pattern.edge == "points"],
        "loop_x": units(weave.loop_xy[:, 0]),
        "loop_y": units(weave.loop_xy[:, 1]),
        "rows": weave.loop_row.tolist(),
        "junction_x": units(weave.junction_xy[:, 0]),
        "junction_y": units(weave.junction_xy[:, 1]),
        "passes": pattern.thread.passes.tolist(),
        "leaves": told.leaves_at.tolist(),
        "round": told.loop.tolist(),
        "closes": told.closes.tolist(),
        "travels": "".join("1" if on else "0" for on in order.travels.tolist()),
        "steps": told.step_start.tolist(),
        "stitches": [group.first_step for group in order.groups],
        "threads": pattern.thread.new_threads.tolist(),
        "thread_words": [
            " ".join(words.new_thread(order.new_thread(number)))
            for number in range(1, len(pattern.thread.new_threads) + 1)
        ],
        "ending": words.ending(order.ending),
        # Of the working thread, in cm, as each step begins.
        "left": np.rint(left_mm / 10).astype(np.int64).tolist(),
    }


def _ring(pattern: Pattern) -> dict[str, Any]:
    """Return what the page of a ring needs besides: the way round, and which loops close it to what."""
    weave = pattern.weave
    if weave.seam is None:
        return {}
    return {
        "ring": units(np.array(weave.seam.round_mm)),
        "closing": closing_loops(weave).tolist(),
        "closed_to": seam_told(pattern),
    }
