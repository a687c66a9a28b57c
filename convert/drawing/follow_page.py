"""The page to follow while weaving: one file that works from the file system and loads nothing."""

import hashlib
import json
from html import escape
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from convert.colour.srgb import to_hex
from convert.drawing import style
from convert.drawing.labels import plain
from convert.drawing.piece import Piece, draw_piece
from convert.drawing.told import PROGRAM
from convert.instructions.order import OrderOfWork
from convert.piece.materials import finished_size
from convert.thread.steps import TAIL_MM
from convert.weave.tips import tips_of

# Positions are whole hundredths of a millimetre: finer than a pixel at any zoom, and short to write.
_UNITS_IN_MM = 100


def follow_html(order: OrderOfWork) -> str:
    """Return the page as HTML.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    """
    data = _data(order, draw_piece(order.pattern))
    content = json.dumps(data, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
    # The place in the work is kept under this key, so that another pattern starts at its own beginning.
    key = hashlib.sha256(content.encode()).hexdigest()[:16]
    parts = {
        "STYLE": _part("page.css"),
        "SCRIPT": _part("page.js"),
        "KEY": key,
        "AUTHOR": escape(plain(order.pattern.imprint.maker or PROGRAM)),
        "RIGHTS": escape(plain(order.pattern.imprint.rights)),
        # Inside a script element only "<" could end the element or open a comment.
        "DATA": content.replace("<", "\\u003c"),
    }
    page = _part("page.html")
    before, *pieces = page.split("{{")
    out = [before]
    for piece in pieces:
        name, _, after = piece.partition("}}")
        out += [parts[name], after]
    return "".join(out)


def _part(name: str) -> str:
    return (files("convert.drawing") / name).read_text(encoding="utf-8")


def _units(values: NDArray[np.float64]) -> list[Any]:
    whole: list[Any] = np.rint(values * _UNITS_IN_MM).astype(np.int64).tolist()
    return whole


def _data(order: OrderOfWork, piece: Piece) -> dict[str, Any]:
    pattern, told, names = order.pattern, order.told, order.names
    weave = pattern.weave
    begins = told.step_start[:-1]
    left_mm = order.thread_left_mm[begins] + order.pass_mm[begins]
    return {
        "title": pattern.title,
        "imprint": pattern.imprint.line,
        "size": str(finished_size(pattern)),
        "copies": pattern.copies,
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
        "outlines": [_units(outline.polygon()) for outline in piece.outlines],
        "narrow": _units(np.array(piece.narrowest_mm)),
        "extent": _units(np.array(piece.extent_mm)),
        "x": _units(piece.bead_xy[:, 0]),
        "y": _units(piece.bead_xy[:, 1]),
        "outline": piece.bead_outline.tolist(),
        "colour": piece.bead_colour.tolist(),
        "sizes": [size.name for size in weave.sizes],
        "size_of": "".join(map(str, pattern.bead_size.tolist())),
        "loops": names.loops,
        "tips": [names.place(bead) for bead in tips_of(weave).numbers if pattern.edge == "points"],
        "loop_x": _units(weave.loop_xy[:, 0]),
        "loop_y": _units(weave.loop_xy[:, 1]),
        "rows": weave.loop_row.tolist(),
        "junction_x": _units(weave.junction_xy[:, 0]),
        "junction_y": _units(weave.junction_xy[:, 1]),
        "passes": pattern.thread.passes.tolist(),
        "leaves": told.leaves_at.tolist(),
        "round": told.loop.tolist(),
        "closes": told.closes.tolist(),
        "travels": "".join("1" if on else "0" for on in order.travels.tolist()),
        "steps": told.step_start.tolist(),
        "stitches": [group.first_step for group in order.groups],
        "threads": pattern.thread.new_threads.tolist(),
        "tail": TAIL_MM,
        # Of the working thread, in cm, as each step begins.
        "left": np.rint(left_mm / 10).astype(np.int64).tolist(),
    }
