"""Outlines from SVG files, against a renderer of its own, and files that mean harm."""

import io

import numpy as np
import pytest
import resvg_py
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from convert.errors import ShapeError
from convert.outline.svg_file import MOST_BYTES, read_outline

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="200" height="200" viewBox="0 0 200 200">'
SHAPES = {
    "curves": '<path d="M 100 20 C 160 20 180 100 100 180 S 30 90 100 20 z"/>',
    "short hand": '<path d="m40,60q30-50 60,0t60,0v60h-120z"/>',
    "arcs": '<path d="M 40 100 a 60 40 20 1 1 90 30 a 50 50 0 0 1 -90 -30 Z"/>',
    "circle": '<circle cx="90" cy="80" r="55"/>',
    "ellipse": '<ellipse cx="100" cy="90" rx="70" ry="30"/>',
    "rectangle": '<rect x="20" y="40" width="130" height="70"/>',
    "polygon": '<polygon points="100,20 170,90 130,170 60,150 30,70"/>',
    "moved": '<g transform="translate(30,20)"><g transform="rotate(25 60 60) scale(1.2 .7)">'
    '<path transform="skewX(10)" d="M 10 10 H 100 L 80 100 L 20 90 Z"/></g></g>',
    "matrix": '<g transform="matrix(0.9 0.2 -0.3 1.1 40 10)"><circle cx="70" cy="70" r="40"/></g>',
    "skewed": '<path transform="skewY(-15),translate(0 60)" d="M 30 30 h 90 v 60 h -60 z"/>',
}


def outline(tmp_path, inside, head=HEAD):
    path = tmp_path / "reed.svg"
    path.write_text(head + inside + "</svg>", encoding="utf-8")
    return read_outline(str(path))


@pytest.mark.parametrize("kind", SHAPES)
def test_shapes_lie_where_a_renderer_paints_them(tmp_path, kind):
    polygon = shapely.Polygon(outline(tmp_path, SHAPES[kind]))
    painted = Image.open(io.BytesIO(bytes(resvg_py.svg_to_bytes(svg_string=HEAD + SHAPES[kind] + "</svg>"))))
    alpha = np.asarray(painted.convert("RGBA"))[..., 3] / 255
    assert alpha.shape == (200, 200)
    assert polygon.area == pytest.approx(alpha.sum(), rel=0.005)
    y, x = (np.indices(alpha.shape) + 0.5).reshape(2, -1) * alpha.ravel() / alpha.sum()
    assert (polygon.centroid.x, polygon.centroid.y) == pytest.approx((x.sum(), y.sum()), abs=0.2)


@pytest.mark.parametrize(
    "inside",
    [
        # The first closed path in the order of the file, whatever else there is.
        '<title>heron</title><path d="M 1 1 L 5 5"/>{}<path d="M 0 0 H 9 V 9 Z"/>',
        '<defs><path d="M 0 0 H 9 V 9 Z"/></defs><clipPath id="c"><circle r="3"/></clipPath><g><g>{}</g></g>',
        "<script>alert(1)</script><text>swan</text><!-- a reed -->{}",
        '<image href="http://example.invalid/swan.png" width="9" height="9"/><use href="file:///etc/passwd"/>{}',
        '<path d=""/><circle r="0"/><rect width="5"/><polygon points="1,2 3,4"/>{}',
    ],
)
def test_the_first_closed_path_counts(tmp_path, inside):
    found = outline(tmp_path, inside.format('<rect x="10" y="20" width="30" height="40"/>'))
    assert found.min(axis=0).tolist() == [10, 20]
    assert found.max(axis=0).tolist() == [40, 60]


def test_a_document_type_without_entities_is_taken(tmp_path):
    head = (
        '<?xml version="1.0"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN"'
        ' "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
    )
    assert len(outline(tmp_path, '<rect width="5" height="5"/>', head + HEAD)) == 4


LAUGHS = "".join(
    f'<!ENTITY l{n} "{"&l" + str(n - 1) + ";" if n else "ha"}{"&l" + str(n - 1) + ";" if n else ""}">'
    for n in range(30)
)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (f"<!DOCTYPE svg [{LAUGHS}]>{HEAD}&l29;</svg>", "declares entities"),
        (f'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>{HEAD}&x;</svg>', "declares entities"),
        (HEAD + "&reed;</svg>", "is not an SVG file"),
        (HEAD + "<g>" * 300 + "</g>" * 300 + "</svg>", "nested too deeply"),
        (HEAD + "<text>swan</text></svg>", "has no path"),
        (HEAD + '<path d="M 0 0 L 3 4 5 9"/></svg>', "no line of the path is closed"),
        (HEAD + '<path d="M 0 0 L 3"/></svg>', "the path cannot be read"),
        (HEAD + '<g transform="turn(3)"><circle r="4"/></g></svg>', "a transform cannot be read"),
        (HEAD + '<g transform="scale(1 2 3)"><circle r="4"/></g></svg>', "a transform cannot be read"),
        ("<html><body/></html>", "is not an SVG file"),
        ("swans and reeds", "is not an SVG file"),
        ("", "is not an SVG file"),
        ("<svg", "is not an SVG file"),
    ],
)
def test_other_files_are_refused_in_one_line(tmp_path, text, message):
    path = tmp_path / "odd.svg"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ShapeError, match=message) as refused:
        read_outline(str(path))
    assert "odd.svg" in str(refused.value)
    assert "\n" not in str(refused.value)
    assert refused.value.hint


def test_files_that_are_too_large_or_none(tmp_path):
    (tmp_path / "large.svg").write_bytes(b" " * (MOST_BYTES + 1))
    with pytest.raises(ShapeError, match="larger than 10 MB"):
        read_outline(str(tmp_path / "large.svg"))
    with pytest.raises(ShapeError, match="is a folder"):
        read_outline(str(tmp_path))
    (tmp_path / "noise.svg").write_bytes(bytes(range(256)) * 9)
    with pytest.raises(ShapeError, match="is not an SVG file"):
        read_outline(str(tmp_path / "noise.svg"))


@settings(max_examples=150, deadline=None, derandomize=True)
@given(
    st.lists(
        st.sampled_from([*"MLHVCSQTAZmlhvcsqtaz", " ", ",", "-", "1", "2.5", "1e3", "0", "9e99"]), max_size=25
    ),
    st.sampled_from(["", "scale(0)", "rotate(45)", "scale(1e300)", "matrix(1 2 3)", "translate(1e999)"]),
)
def test_any_path_is_an_outline_or_a_refusal(tmp_path_factory, parts, transform):
    path = tmp_path_factory.mktemp("svg") / "any.svg"
    path.write_text(f'{HEAD}<path transform="{transform}" d="{" ".join(parts)}"/></svg>', encoding="utf-8")
    try:
        found = read_outline(str(path))
    except ShapeError:
        return
    assert found.ndim == 2
    assert np.isfinite(found).all()
