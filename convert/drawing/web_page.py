"""Pages for a browser: one file that works from the file system, loads nothing and runs nothing foreign."""

import base64
import hashlib
import json
import re
from collections.abc import Sequence
from html import escape
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from convert.drawing.labels import plain
from convert.drawing.told import PROGRAM
from convert.piece.about import Imprint

# Positions are whole hundredths of a millimetre: finer than a pixel at any zoom, and short to write.
UNITS_IN_MM = 100
_RING = re.compile(r"^/\*ring:\n(.*?)^:ring\*/\n", re.DOTALL | re.MULTILINE)


def web_page(
    body: str,
    styles: Sequence[str],
    scripts: Sequence[str],
    data: dict[str, Any],
    imprint: Imprint,
    *,
    ring: bool = False,
) -> str:
    """Return a page as HTML.

    Parameters
    ----------
    body : str
        File of this package with the page's elements; all pages have ``shell.html`` about them.
    styles, scripts : sequence of str
        Files of this package, put in one after the other.
    data : dict
        What the page is about.
    imprint : Imprint
        Whose pattern it is.
    ring : bool
        Whether the piece is closed to a ring: what only that needs stands in comments of the scripts, between
        ``/*ring:`` and ``:ring*/`` on lines of their own, and is left out of other pages.
    """
    content = json.dumps(
        {**data, "imprint": imprint.line}, ensure_ascii=False, separators=(",", ":"), sort_keys=True
    )
    style = "\n".join(map(_file, styles))
    # One function about all: nothing of the page can be reached, or overwritten, by an element's name.
    written = _RING.sub(r"\1" if ring else "", "\n".join(map(_file, scripts)))
    script = f'"use strict";\n(() => {{\n{written}}})();\n'
    parts = {
        # The browser runs this script and takes this style, and no other.
        "POLICY": f"default-src 'none'; script-src '{_hash(script)}'; style-src '{_hash(style)}';"
        " base-uri 'none'; form-action 'none'",
        "STYLE": style,
        "BODY": _file(body),
        "AUTHOR": escape(plain(imprint.maker or PROGRAM)),
        "RIGHTS": escape(plain(imprint.rights)),
        "SCRIPT": script,
        # What the browser keeps lies under this key, so that another pattern starts afresh.
        "KEY": hashlib.sha256(content.encode()).hexdigest()[:16],
        # Inside a script element only "<" could end the element or open a comment.
        "DATA": content.replace("<", "\\u003c"),
    }
    before, *pieces = _file("shell.html").split("{{")
    out = [before]
    for piece in pieces:
        name, _, after = piece.partition("}}")
        out += [parts[name], after]
    return "".join(out)


def units(values: NDArray[np.float64]) -> list[Any]:
    """Return lengths in mm as whole `UNITS_IN_MM`."""
    whole: list[Any] = np.rint(values * UNITS_IN_MM).astype(np.int64).tolist()
    return whole


def _file(name: str) -> str:
    return files("convert.drawing").joinpath(*name.split("/")).read_text(encoding="utf-8")


def _hash(content: str) -> str:
    """Return what a content security policy calls an inline script or style by (W3C, CSP level 3)."""
    return "sha256-" + base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()
