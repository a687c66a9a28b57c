"""The first closed line of an SVG file.

A file from a stranger is data: it may have no document type and no entities, nothing it refers to is opened,
and of all it holds only shapes and how they are moved are looked at.
"""

import math
import re
from xml.etree import ElementTree
from xml.parsers import expat

import numpy as np
from numpy.typing import NDArray

from convert.bounded import UnboundedError, read_path
from convert.errors import ShapeError, printable
from convert.outline.drawn import MOST_UNITS, flattened

MOST_BYTES = 10_000_000
MOST_DEPTH = 200
_SPACE = "{http://www.w3.org/2000/svg}"
_UNSEEN = {"defs", "clipPath", "mask", "marker", "pattern", "symbol", "metadata", "title", "desc", "script"}
_MOVED = re.compile(r"\s*,?\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)")
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
Matrix = NDArray[np.float64]


def read_outline(file: str) -> NDArray[np.float64]:
    """Return the first closed line of a file, shape (N, 2), in its own units.

    Parameters
    ----------
    file : str
        Path of an SVG file of at most 10 MB.

    Raises
    ------
    ShapeError
        It cannot be read, is no such file, or has no closed line.
    """
    name = printable(file)
    try:
        data = read_path(file, MOST_BYTES)
    except UnboundedError as error:
        raise ShapeError(f"{name} {error}", "save the outline alone, without pictures") from error
    except OSError as error:
        raise ShapeError(f"cannot read {name}: {error.strerror}", "check the path of the outline") from error
    _check_harmless(data, name)
    try:
        root = ElementTree.fromstring(data)
    except (ElementTree.ParseError, ValueError) as error:
        raise ShapeError(f"{name} is not an SVG file: {error}", "save it as a plain SVG") from error
    return outline_in(root, name)


def _check_harmless(data: bytes, name: str) -> None:
    """Refuse what is no XML, or declares a document type, which is where entities come from."""
    depth = 0

    def begun(tag: str, attributes: dict[str, str]) -> None:
        nonlocal depth
        depth += 1
        if depth > MOST_DEPTH:
            raise ShapeError(f"{name} is nested too deeply", "save the outline alone as a plain SVG")

    def ended(tag: str) -> None:
        nonlocal depth
        depth -= 1

    def typed(*declared: object) -> None:
        # Old drawing programs name the public type of SVG; without entities of its own that says nothing.
        if declared[3]:
            raise ShapeError(f"{name} declares entities", "save it as a plain SVG")

    parser = expat.ParserCreate()
    parser.StartElementHandler, parser.EndElementHandler = begun, ended
    parser.StartDoctypeDeclHandler = typed
    try:
        parser.Parse(data, True)
    except (expat.ExpatError, ValueError) as error:
        raise ShapeError(f"{name} is not an SVG file: {error}", "save it from a drawing program") from error


def outline_in(root: ElementTree.Element, name: str) -> NDArray[np.float64]:
    """Return the first closed line below an element, moved as the elements around it say.

    Raises
    ------
    ShapeError
        There is none.
    """
    if _plain(root.tag) != "svg":
        raise ShapeError(f"{name} is not an SVG file", "save it from a drawing program as SVG")
    fault: ShapeError | None = None
    waiting = [(root, np.eye(3))]
    while waiting:
        element, matrix = waiting.pop()
        kind = _plain(element.tag)
        if kind in _UNSEEN:
            continue
        matrix = matrix @ _moved(element.get("transform", ""), name)
        path_data = _path_data(kind, element)
        if path_data:
            try:
                points = flattened(path_data, name)
            except ShapeError as error:
                fault = fault or error
            else:
                return _on_page(points @ matrix[:2, :2].T + matrix[:2, 2], name)
        waiting += [(child, matrix) for child in reversed(element)]
    raise fault or ShapeError(
        f"{name} has no path", "draw the outline as a closed path; text and pictures are none"
    )


def _on_page(points: Matrix, name: str) -> Matrix:
    if not (np.abs(points) < MOST_UNITS).all():
        raise ShapeError(f"{name}: the path leaves the page", "save it again from a drawing program")
    return points


def _plain(tag: object) -> str:
    """Return the name of an element of SVG; comments and the like have none."""
    return tag.removeprefix(_SPACE) if isinstance(tag, str) else ""


def _path_data(kind: str, element: ElementTree.Element) -> str:
    """Return a shape as path data, as SVG 2 (W3C, chapter 10) says each is equivalent to a path."""

    def given(attribute: str) -> float:
        found = _NUMBER.match(element.get(attribute, "").strip())
        return float(found[0]) if found else 0.0

    if kind == "path":
        return element.get("d", "")
    if kind in ("circle", "ellipse"):
        across, down = (given("r"),) * 2 if kind == "circle" else (given("rx"), given("ry"))
        x, y = given("cx"), given("cy")
        arc = f"A {across} {down} 0 0 1"
        return (
            f"M {x - across} {y} {arc} {x + across} {y} {arc} {x - across} {y} Z" if across and down else ""
        )
    if kind == "rect":
        x, y, width, height = (given(side) for side in ("x", "y", "width", "height"))
        return f"M {x} {y} H {x + width} V {y + height} H {x} Z" if width and height else ""
    if kind == "polygon":
        numbers = _NUMBER.findall(element.get("points", ""))
        return f"M {' '.join(numbers[: len(numbers) // 2 * 2])} Z" if len(numbers) >= 6 else ""
    return ""


def _moved(transform: str, name: str) -> Matrix:
    """Return the matrix of a list of transforms (CSS Transforms 1, chapter 8)."""
    matrix = np.eye(3)
    at = 0
    while transform[at:].strip():
        found = _MOVED.match(transform, at)
        if found is None:
            raise ShapeError(f"{name}: a transform cannot be read", "save it as a plain SVG")
        matrix = matrix @ _step(found[1], [float(number) for number in _NUMBER.findall(found[2])], name)
        at = found.end()
    return matrix


def _step(kind: str, values: list[float], name: str) -> Matrix:
    """Return the matrix of one transform."""
    if not all(abs(value) < MOST_UNITS for value in values):
        raise ShapeError(f"{name}: a transform leaves the page", "save it as a plain SVG")
    if kind == "matrix" and len(values) == 6:
        return np.array([values[0::2], values[1::2], [0, 0, 1]], float)
    if kind == "translate" and len(values) in (1, 2):
        return np.array([[1, 0, values[0]], [0, 1, values[1] if len(values) > 1 else 0], [0, 0, 1]], float)
    if kind == "scale" and len(values) in (1, 2):
        return np.diag([values[0], values[-1], 1.0])
    if kind == "rotate" and len(values) in (1, 3):
        cosine, sine = math.cos(math.radians(values[0])), math.sin(math.radians(values[0]))
        turn = np.array([[cosine, -sine, 0], [sine, cosine, 0], [0, 0, 1]])
        about = np.eye(3)
        about[:2, 2] = values[1:] or (0, 0)
        return np.asarray(about @ turn @ np.linalg.inv(about))
    if kind in ("skewX", "skewY") and len(values) == 1:
        matrix = np.eye(3)
        matrix[(0, 1) if kind == "skewX" else (1, 0)] = math.tan(math.radians(values[0]))
        return matrix
    raise ShapeError(f"{name}: a transform cannot be read", "save it as a plain SVG")
