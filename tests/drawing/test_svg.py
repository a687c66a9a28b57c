import io
import re
import xml.etree.ElementTree as ET
from importlib.resources import as_file, files

import numpy as np
import pytest
import resvg_py
from PIL import Image

from convert.drawing.png import draw_pixels
from convert.drawing.scene import LAYERS, chart_scene
from convert.drawing.svg import write_svg
from convert.palette.model import BeadColour, Palette
from tests.drawing.patterns import PIECES, pattern

SVG = "{http://www.w3.org/2000/svg}"
XLINK = "{http://www.w3.org/1999/xlink}"
DOTS = 240
RENDERED = ["one size", "15/0 with 11/0, points", "cylinder", "flower about five"]
# Layers other than the beads, hidden where only their colours are looked at.
ONLY_BEADS = (
    f"<style>{','.join('#' + name for name in LAYERS if name != 'beads')}{{display:none}}</style></svg>"
)


def size_px(scene):
    return round(scene.width_mm / 25.4 * DOTS), round(scene.height_mm / 25.4 * DOTS)


def by_resvg(svg, scene):
    """Render with resvg, a renderer written in Rust that shares no code with Chromium."""
    width, height = size_px(scene)
    with as_file(files("convert.drawing") / "fonts" / "DejaVuSans.ttf") as face:
        png = resvg_py.svg_to_bytes(
            svg_string=svg, width=width, height=height, dpi=96, skip_system_fonts=True, font_files=[str(face)]
        )
    return np.asarray(Image.open(io.BytesIO(bytes(png))).convert("RGB")).astype(float)


def by_chromium(chromium, svg, scene):
    width, height = size_px(scene)
    page = chromium.new_page(viewport={"width": width, "height": height})
    body = svg[svg.index("<svg") :]
    page.set_content(
        f"<style>body{{margin:0}}svg{{display:block;width:{width}px;height:{height}px}}</style>{body}"
    )
    png = page.screenshot()
    page.close()
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(float)


def soft(pixels, block=12):
    """Average over blocks, so that only what is drawn counts and not how edges are smoothed."""
    rows, columns = (length // block * block for length in pixels.shape[:2])
    blocks = pixels[:rows, :columns].reshape(rows // block, block, columns // block, block, 3)
    return blocks.mean(axis=(1, 3))


def assert_same_picture(one, other):
    rows, columns = np.minimum(one.shape[:2], other.shape[:2])
    assert np.abs(np.array(one.shape) - other.shape).max() <= 3
    difference = np.abs(soft(one[:rows, :columns]) - soft(other[:rows, :columns]))
    assert difference.mean() < 1.7
    assert np.quantile(difference, 0.999) < 45


@pytest.mark.parametrize("name", RENDERED)
def test_two_renderers_and_the_png_agree(chromium, name):
    scene = chart_scene(PIECES[name]())
    svg = write_svg(scene).decode()
    png = draw_pixels(scene, DOTS)[..., :3].astype(float)
    independent = by_resvg(svg, scene)
    assert_same_picture(independent, png)
    assert_same_picture(by_chromium(chromium, svg, scene), independent)


@pytest.mark.parametrize("name", RENDERED)
def test_each_bead_has_its_colour_at_its_centre(name):
    scene = chart_scene(PIECES[name]())
    pixels = by_resvg(write_svg(scene).decode().replace("</svg>", ONLY_BEADS), scene)
    x, y = np.floor((scene.piece.bead_xy * scene.scale + scene.offset_mm) * DOTS / 25.4).astype(int).T
    wanted = np.array([colour.rgb for colour in scene.piece.colours])[scene.piece.bead_colour]
    np.testing.assert_array_equal(pixels[y, x], wanted)


@pytest.mark.parametrize("name", PIECES)
def test_is_xml_with_named_layers_and_no_loose_ends(name):
    scene = chart_scene(PIECES[name]())
    root = ET.fromstring(write_svg(scene))
    assert root.find(f"{SVG}title").text == scene.title
    assert root.find(f"{SVG}desc").text == scene.facts
    layers = {child.get("id"): child.find(f"{SVG}title").text for child in root.findall(f"{SVG}g")}
    assert layers == LAYERS
    names = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(names) == len(set(names))
    used = {element.get(f"{XLINK}href")[1:] for element in root.iter(f"{SVG}use")}
    assert used <= set(names)
    uses = list(root.find(f"{SVG}g[@id='symbols']").iter(f"{SVG}use"))
    assert len(uses) == len(scene.piece.bead_xy)


@pytest.mark.parametrize("name", ["one size", "11/0 with 8/0", "cylinder", "many colours"])
def test_a_bead_takes_at_most_60_bytes(name):
    scene = chart_scene(PIECES[name]())
    svg = write_svg(scene)
    layer = svg[svg.index(b'<g id="beads"') : svg.index(b'<g id="symbols"')]
    assert len(layer) <= 60 * len(scene.piece.bead_xy)


def test_text_of_users_is_escaped_and_kept_out_of_the_markup():
    evil = "<script>alert('1')</script> & \"heron\" ]]> &#0; \ufffe\u0007"
    entry = BeadColour("<b>&amp;", "]]><script>", None, "#336699", (0.0, 0.0, 0.0))
    made = pattern(np.ones((3, 4)), title=evil, colours=1, entries=Palette("p", (entry,)))
    svg = write_svg(chart_scene(made))
    root = ET.fromstring(svg)
    assert root.find(f"{SVG}title").text == "<script>alert('1')</script> & \"heron\" ]]> &#0;"
    assert not list(root.iter(f"{SVG}script"))
    assert "<b>&amp;" in {element.text for element in root.iter(f"{SVG}text")}
    assert not re.search(rb"href=\"(?!#)", svg)


def test_same_scene_same_bytes_and_the_page_is_in_mm():
    scene = chart_scene(PIECES["bird"]())
    svg = write_svg(scene)
    assert write_svg(chart_scene(PIECES["bird"]())) == svg
    root = ET.fromstring(svg)
    assert root.get("width") == f"{scene.width_mm:.2f}mm"
    assert root.get("viewBox") == f"0 0 {scene.width_mm:.2f} {scene.height_mm:.2f}"
