"""The chart as an SVG (W3C, Scalable Vector Graphics 1.1), in layers that a drawing program can switch off.

A rounded bead is the hull of two circles, which is just what a short thick line with round ends is: one path
for each colour and size draws all its beads, first in the dark tone of the rim, then thinner in the colour.
Coordinates of the piece are whole hundredths of a millimetre at true size.
"""

import itertools
from collections.abc import Iterable, Iterator
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray

from convert.colour.srgb import to_hex
from convert.drawing import style
from convert.drawing.labels import FONT_NAME, Label, plain
from convert.drawing.marks import Stroke
from convert.drawing.piece import Outline, Piece
from convert.drawing.scene import LAYERS, Scene
from convert.drawing.style import RGB
from convert.units import MM_PER_POINT
from convert.weave.beads import BeadSize

_UNITS_PER_MM = 100
_FONTS = f"{FONT_NAME}, Verdana, sans-serif"


def write_svg(scene: Scene, description: str = "") -> bytes:
    """Return a scene as an SVG file in UTF-8.

    Parameters
    ----------
    scene : Scene
        The page. Symbols are drawn whatever their size, since an SVG can be enlarged.
    description : str
        What the file tells of itself, see `convert.drawing.told`.
    """
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" version="1.1"'
        f' width="{scene.width_mm:.2f}mm" height="{scene.height_mm:.2f}mm"'
        f' viewBox="0 0 {scene.width_mm:.2f} {scene.height_mm:.2f}"'
        ' role="img" aria-labelledby="title description" lang="en">',
        f'<title id="title">{escape(scene.title)}</title>',
        f'<desc id="description">{escape(scene.facts)}</desc>',
        *([f"<metadata>{description}</metadata>"] if description else []),
        "<defs>",
        *_symbol_shapes(scene.piece),
        "</defs>",
        '<rect width="100%" height="100%" fill="#FFFFFF"/>',
    ]
    content: dict[str, Iterable[str]] = {
        "thread": _in_piece(scene, _strands(scene.piece)),
        "beads": _in_piece(scene, _beads(scene.piece)),
        "symbols": _in_piece(scene, _symbols(scene.piece)),
        "legend": _key(scene),
    }
    for layer, title in LAYERS.items():
        lines.append(f'<g id="{layer}"><title>{escape(title)}</title>')
        lines.extend(content.get(layer, ()))
        lines.extend(_stroke(stroke) for stroke in scene.strokes if stroke.layer == layer)
        lines.extend(_texts([label for label in scene.labels if label.layer == layer]))
        lines.append("</g>")
    lines.append("</svg>\n")
    return "\n".join(lines).encode("utf-8")


def _number(value: float) -> str:
    """Return a number as short as two decimals allow."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if value else "0"


def _units(length_mm: float) -> int:
    return round(length_mm * _UNITS_PER_MM)


def _in_piece(scene: Scene, lines: Iterable[str]) -> Iterator[str]:
    """Wrap lines drawn in hundredths of a millimetre of the piece so that they lie on the page."""
    x, y = scene.offset_mm
    yield f'<g transform="translate({x:.4f} {y:.4f}) scale({scene.scale / _UNITS_PER_MM:.8f})">'
    yield from lines
    yield "</g>"


def _places(xy: NDArray[np.float64]) -> list[list[int]]:
    places: list[list[int]] = np.rint(xy * _UNITS_PER_MM).astype(np.int64).tolist()
    return places


def _segment(direction: tuple[float, float], half_mm: float) -> tuple[int, int]:
    """Return half a line in a direction, in units."""
    return _units(direction[0] * half_mm), _units(direction[1] * half_mm)


def _lines_through(xy: NDArray[np.float64], half: tuple[int, int]) -> str:
    """Return a path of straight lines, one centred on each place."""
    x, y = half
    if (x, y) == (0, 0):
        x = 1  # a line without length has round ends in some programs only
    step = f"l{2 * x} {2 * y}"
    return "".join([f"M{place[0] - x} {place[1] - y}{step}" for place in _places(xy)])


def _strands(piece: Piece) -> Iterator[str]:
    """Return the thread through all beads, one path for each shape."""
    yield f'<g fill="none" stroke="{to_hex(style.THREAD)}">'
    for index, outline in enumerate(piece.outlines):
        xy = piece.bead_xy[piece.bead_outline == index]
        path = _lines_through(xy, _segment(outline.along, outline.side_mm / 2))
        yield f'<path stroke-width="{_units(style.THREAD_SHARE * outline.size.shorter_mm)}" d="{path}"/>'
    yield "</g>"


def _sizes(piece: Piece) -> list[BeadSize]:
    return list(dict.fromkeys(outline.size for outline in piece.outlines))


def _of_size(piece: Piece, size: BeadSize) -> list[int]:
    """Return which outlines are of a size."""
    return [index for index, outline in enumerate(piece.outlines) if outline.size == size]


def _beads(piece: Piece) -> Iterator[str]:
    """Return all beads, grouped by colour and size."""
    bead_look = piece.bead_look
    for number, colour in enumerate(piece.looks):
        again = number >= len(piece.colours)
        of_colour = bead_look == number
        if again and not of_colour.any():
            continue
        name = plain(f"{colour.bead.code} {colour.bead.name}") + (", repeated" if again else "")
        yield f'<g id="colour-{number + 1}"><title>{escape(name)}</title>'
        for place, size in enumerate(_sizes(piece)):
            path = "".join(
                _bead_path(piece.outlines[index], piece.bead_xy[of_colour & (piece.bead_outline == index)])
                for index in _of_size(piece, size)
            )
            if path:
                yield _bead_shape(size, path, colour.rgb, f"beads-{number + 1}-{place + 1}")
        yield "</g>"


def _bead_path(outline: Outline, xy: NDArray[np.float64]) -> str:
    """Return what is drawn once for each bead of a shape: a line for a rounded bead, else a rectangle."""
    size = outline.size
    if size.rounded:
        across = -outline.along[1], outline.along[0]
        return _lines_through(xy, _segment(across, (size.diameter_mm - size.length_mm) / 2))
    corners = _places(outline.polygon(style.RIM_SHARE / 2 * size.shorter_mm))
    first_x, first_y = corners[0]
    steps = "".join(f"l{b[0] - a[0]} {b[1] - a[1]}" for a, b in itertools.pairwise(corners))
    return "".join([f"M{x + first_x} {y + first_y}{steps}z" for x, y in _places(xy)])


def _bead_shape(size: BeadSize, path: str, colour: RGB, name: str) -> str:
    """Return the elements that draw a path of `_bead_path` as beads, in units."""
    rim = style.RIM_SHARE * size.shorter_mm
    dark, light = to_hex(style.rim_colour(colour)), to_hex(colour)
    if not size.rounded:
        return f'<path fill="{light}" stroke="{dark}" stroke-width="{_units(rim)}" d="{path}"/>'
    wide, narrow = _units(size.length_mm), _units(size.length_mm - 2 * rim)
    # The path has no stroke of its own, so that each use of it may give it one.
    return (
        f'<g fill="none" stroke-linecap="round" stroke="{dark}" stroke-width="{wide}">'
        f'<path id="{name}" d="{path}"/>'
        f'<use xlink:href="#{name}" stroke="{light}" stroke-width="{narrow}"/></g>'
    )


def _symbol_name(colour: int, size: int) -> str:
    return f"s{colour + 1}" + "ab"[size]


def _symbol_shapes(piece: Piece) -> Iterator[str]:
    """Return the symbol of each colour at each size, in units about its middle."""
    for number, colour in enumerate(piece.colours):
        for place, size in enumerate(_sizes(piece)):
            side = style.SYMBOL_SHARE * size.shorter_mm
            path = "".join(_polygon_path(np.array(polygon) * side) for polygon in colour.symbol)
            yield f'<path id="{_symbol_name(number, place)}" fill-rule="evenodd" d="{path}"/>'


def _polygon_path(polygon_mm: NDArray[np.float64]) -> str:
    return "M" + "L".join(f"{x} {y}" for x, y in _places(polygon_mm)) + "Z"


def _symbols(piece: Piece) -> Iterator[str]:
    """Return the symbols on the beads, grouped by colour."""
    bead_look = piece.bead_look
    for number, colour in enumerate(piece.looks):
        yield f'<g fill="{to_hex(colour.ink)}">'
        for place, size in enumerate(_sizes(piece)):
            of_kind = (bead_look == number) & np.isin(piece.bead_outline, _of_size(piece, size))
            use = f'<use xlink:href="#{_symbol_name(number % len(piece.colours), place)}"'
            yield "".join([f'{use} x="{x}" y="{y}"/>' for x, y in _places(piece.bead_xy[of_kind])])
        yield "</g>"


def _key(scene: Scene) -> Iterator[str]:
    """Return the beads of the key, each with its symbol."""
    sizes = _sizes(scene.piece)
    for bead in scene.key_beads:
        colour, size = scene.piece.colours[bead.colour], bead.outline.size
        scale = bead.scale / _UNITS_PER_MM
        path = _bead_path(bead.outline, np.zeros((1, 2)))
        yield f'<g transform="translate({bead.x_mm:.3f} {bead.y_mm:.3f}) scale({scale:.8f})">'
        yield _bead_shape(size, path, colour.rgb, f"key-{bead.colour + 1}")
        symbol = _symbol_name(bead.colour, sizes.index(size))
        yield f'<use xlink:href="#{symbol}" fill="{to_hex(colour.ink)}"/></g>'


def _stroke(stroke: Stroke) -> str:
    points = "L".join(f"{_number(x)} {_number(y)}" for x, y in stroke.points)
    colour = to_hex(stroke.colour)
    if stroke.width_mm == 0:
        return f'<path fill="{colour}" d="M{points}Z"/>'
    end = "Z" if stroke.closed else ""
    return (
        f'<path fill="none" stroke="{colour}" stroke-width="{_number(stroke.width_mm)}" d="M{points}{end}"/>'
    )


def _texts(labels: Iterable[Label]) -> Iterator[str]:
    """Return labels, those of one kind of type in a group."""

    def kind(label: Label) -> tuple[float, RGB, str]:
        return label.size_pt, label.colour, label.anchor

    for (size_pt, colour, anchor), alike in itertools.groupby(labels, key=kind):
        yield (
            f'<g font-family="{_FONTS}" font-size="{size_pt * MM_PER_POINT:.4f}" fill="{to_hex(colour)}"'
            f' text-anchor="{anchor}">'
        )
        yield from (_text(label) for label in alike)
        yield "</g>"


def _text(label: Label) -> str:
    # Words keep their measure whichever typeface shows them; numbers may do without.
    words = not label.text.replace(",", "").isdigit()
    width = f' textLength="{label.width_mm:.2f}" lengthAdjust="spacingAndGlyphs"' * words
    return f'<text x="{_number(label.x_mm)}" y="{_number(label.y_mm)}"{width}>{escape(label.text)}</text>'
