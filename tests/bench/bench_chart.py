"""Time the chart's writers beside the simplest ways to draw the same beads, in one run.

Run by hand: ``python tests/bench/bench_chart.py``, and with ``100k`` for the memory alone. The simplest ways
are Pillow polygons on a page four times as large that is then shrunk and saved by Pillow, and an ElementTree
with a polygon a bead. They draw the beads' shapes and colours only; the chart also draws symbols, thread,
numbers and key.
"""

import io
import resource
import sys
import time
import xml.etree.ElementTree as ET

import numpy as np
from PIL import Image, ImageDraw

from convert.drawing.piece import draw_piece
from convert.drawing.png import write_png
from convert.drawing.preview import write_preview
from convert.drawing.scene import chart_scene
from convert.drawing.style import DOTS_PER_INCH, RIM_SHARE, rim_colour
from convert.drawing.svg import write_svg
from tests.drawing.patterns import pattern

Image.MAX_IMAGE_PIXELS = None
SIZES = {"10k": (58, 56), "100k": (184, 180)}
FACTOR = 4


def best(work, repeats=3):
    spent = []
    for _ in range(repeats):
        start = time.perf_counter()
        made = work()
        spent.append(time.perf_counter() - start)
    return min(spent), len(made)


def outlines(scene, inset_share=0.0):
    return [
        outline.polygon(inset_share * outline.size.length_mm) * scene.scale
        for outline in scene.piece.outlines
    ]


def simplest_png(scene):
    dots = DOTS_PER_INCH / 25.4 * FACTOR
    page = Image.new("RGB", (round(scene.width_mm * dots), round(scene.height_mm * dots)), "white")
    draw = ImageDraw.Draw(page)
    piece, outer, inner = scene.piece, outlines(scene), outlines(scene, RIM_SHARE)
    for xy, outline, colour in zip(piece.bead_xy, piece.bead_outline, piece.bead_colour, strict=True):
        rgb, place = piece.colours[colour].rgb, xy * scene.scale + scene.offset_mm
        draw.polygon(((outer[outline] + place) * dots).ravel().tolist(), fill=rim_colour(rgb))
        draw.polygon(((inner[outline] + place) * dots).ravel().tolist(), fill=rgb)
    page = page.reduce(FACTOR)
    made = io.BytesIO()
    page.save(made, "PNG")
    return made.getvalue()


def simplest_svg(scene):
    root = ET.Element("svg", xmlns="http://www.w3.org/2000/svg", width=f"{scene.width_mm}mm")
    piece, shapes = scene.piece, outlines(scene)
    for xy, outline, colour in zip(piece.bead_xy, piece.bead_outline, piece.bead_colour, strict=True):
        corners = shapes[outline] + xy * scene.scale + scene.offset_mm
        rgb = piece.colours[colour].rgb
        ET.SubElement(
            root,
            "polygon",
            points=" ".join(f"{x:.2f},{y:.2f}" for x, y in corners),
            fill="#{:02x}{:02x}{:02x}".format(*rgb),
            stroke="#{:02x}{:02x}{:02x}".format(*rim_colour(rgb)),
        )
    return ET.tostring(root)


def memory_mb(work):
    """Return how much the peak of memory grows; only the first use in a process tells the truth."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    work()
    return (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024


def main():
    made = {name: pattern(np.ones(size), colours=40) for name, size in SIZES.items()}
    for one in made.values():
        one.weave.bead_xy, one.counts, one.used  # noqa: B018  computed once, kept by the pattern
    if sys.argv[1:]:
        piece = made[sys.argv[1]]
        write_png(chart_scene(pattern(np.ones((3, 3)))))
        extra = memory_mb(lambda: write_png(chart_scene(piece)))
        print(f"chart.png of {sys.argv[1]} beads: {extra:.0f} MB extra")
        return
    print("beads    what       |      s |     MB | simplest s |     MB | times as fast")
    spent = {}
    for name, one in made.items():
        scene = chart_scene(one)
        vector = chart_scene(one, most_pixels=None)
        lines = {
            "scene": (lambda one=one: chart_scene(one).labels, None),
            "chart.png": (lambda scene=scene: write_png(scene), lambda scene=scene: simplest_png(scene)),
            "chart.svg": (lambda scene=vector: write_svg(scene), lambda scene=vector: simplest_svg(scene)),
            "preview.png": (lambda one=one: write_preview(draw_piece(one)), None),
        }
        for what, (own, simplest) in lines.items():
            seconds, size = best(own)
            spent[what, name] = seconds
            line = f"{len(scene.piece.bead_xy):7} {what:11} | {seconds:6.3f} | {size / 1e6:6.2f} |"
            if simplest:
                theirs, their_size = best(simplest, 1)
                line += f" {theirs:10.3f} | {their_size / 1e6:6.2f} | {theirs / seconds:6.1f}"
            print(line)
    for what in ("scene", "chart.png", "chart.svg", "preview.png"):
        print(f"{what}: 100k takes {spent[what, '100k'] / spent[what, '10k']:.1f} times as long as 10k")


if __name__ == "__main__":
    main()
