"""Drawings of small pieces in figures, as somebody has looked at them and found them good.

Run ``python -m tests.drawing.approve FOLDER`` after a drawing was meant to change: it puts the drawings into
FOLDER to be looked at, and their figures into ``tests/drawing/approved``, where the difference can be read.
"""

import io
import sys
from collections.abc import Callable, Iterable
from ctypes import byref, c_float, c_uint
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
from PIL import Image

from convert.drawing.colour_card import write_card
from convert.drawing.colour_sheet import ColourCell, lay_out_colours
from convert.drawing.finishing_pictures import captioned_finish
from convert.drawing.labels import Label
from convert.drawing.marks import KeyBead, Stroke
from convert.drawing.pdf import write_pdf
from convert.drawing.piece import draw_piece
from convert.drawing.png import draw_pixels
from convert.drawing.preview import draw_preview
from convert.drawing.scene import Scene, chart_scene
from convert.drawing.sheet import Sheet as Printed
from convert.drawing.sheet import sheet_png
from convert.drawing.shelf_photograph import draw_shelf
from convert.drawing.shelf_sheet import draw_shelf_pdf, draw_shelf_png
from convert.drawing.size_sheet import SizeCell, lay_out_sizes
from convert.drawing.step_pictures import step_sheet, write_steps_png
from convert.drawing.swatch import swatch_scene
from convert.drawing.symbols import PLAIN, symbols
from convert.instructions.order import OrderOfWork
from convert.palette.model import BeadColour, Palette
from convert.piece.finishing import CLASP, FINISHES
from convert.piece.pattern import Pattern
from convert.settings.output import BookletSettings
from convert.shelf.light import by_paper
from convert.shelf.shelf import Shelf
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.verifier import verify
from convert.units import A4, PAPERS
from convert.weave.beads import BeadSize, bead_size
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import Spacing, model_spacing
from convert.weave.tips import tips_of

APPROVED = Path(__file__).parent / "approved"
ENTRIES = (
    BeadColour("R1", "reed", None, "#6B8E23", (55.0, -20.0, 50.0), "matte", on_hand=9, pack_g=1.0, price=2.5),
    BeadColour("D2", "dusk", None, "#20203A", (14.0, 8.0, -16.0), "galvanised"),
    BeadColour("F3", "foam", None, "#F4F1E6", (95.0, 0.0, 5.0), "transparent rainbow"),
    BeadColour("B4", "bill", None, "#D06020", (55.0, 42.0, 52.0), "silver-lined"),
    BeadColour("L5", "lake", None, "#2A6FB0", (45.0, -2.0, -41.0)),
)
PIECES: dict[str, tuple[Sheet | Flower, tuple[str, str], str]] = {
    "sheet": (Sheet(np.ones((2, 3), bool)), ("11/0", "8/0"), "points"),
    "strip down": (Sheet(np.ones((2, 6), bool), "along"), ("11/0-cylinder", "11/0-cylinder"), "plain"),
    "flower": (Flower(1, 5), ("8/0", "15/0"), "points"),
}
LARGE = {"large sheet": (Sheet(np.ones((34, 30), bool)), ("11/0", "11/0"), "plain")}


def piece(name: str) -> Pattern:
    shape, sizes, edge = (PIECES | LARGE)[name]
    pair = bead_size(sizes[0]), bead_size(sizes[1])
    weave = shape.build(pair, model_spacing(*pair))
    beads = weave.beads + len(tips_of(weave)) * (edge == "points")
    colour = (np.arange(beads) * 7 % 11 % 5).astype(np.int32)
    supplies = Supplies(needleful_mm=380.0) if name == "sheet" else Supplies()
    plan = plan_thread(weave, edge=edge, supplies=supplies)
    return Pattern(f"A {name}", shape, weave, Palette("lake", ENTRIES), colour, plan, supplies, 2)


def _figures(*numbers: float) -> str:
    return " ".join(f"{number:.2f}" for number in numbers)


def _shape(points: np.ndarray) -> tuple[float, ...]:
    """Bounds, first point and area of a polygon."""
    x, y = points.T
    area = (x * np.roll(y, -1) - y * np.roll(x, -1)).sum() / 2
    return (*points.min(axis=0), *points.max(axis=0), *points[0], area)


def _of_stroke(stroke: Stroke) -> str:
    closed = " closed" if stroke.closed else ""
    shape = _figures(stroke.width_mm, *_shape(np.array(stroke.points)))
    return f"stroke {stroke.layer} {stroke.colour}{closed} {shape}"


def _of_label(label: Label) -> str:
    place = _figures(label.x_mm, label.y_mm, label.size_pt)
    return f"label {label.layer} {label.colour} {label.anchor} {place} {label.text}"


def _of_key_bead(bead: KeyBead) -> str:
    size = bead.outline.size.name
    return f"key {bead.colour} {size} {_figures(bead.outline.degrees, bead.x_mm, bead.y_mm, bead.scale)}"


def marks(strokes: Iterable[Stroke], labels: Iterable[Label]) -> list[str]:
    return [*map(_of_stroke, strokes), *map(_of_label, labels)]


def chart(scene: Scene) -> list[str]:
    page = _figures(scene.width_mm, scene.height_mm, scene.scale, *scene.offset_mm)
    key = map(_of_key_bead, scene.key_beads)
    return [f"page {page} {scene.symbols}", *key, *marks(scene.strokes, scene.labels)]


def plain_symbols() -> list[str]:
    """The plain marks, and the first one with a bar on each side, in hundredths of their square."""
    chosen = [*symbols()[:PLAIN], *symbols()[PLAIN::PLAIN]]
    shapes = [[_shape(np.array(polygon) * 100) for polygon in symbol] for symbol in chosen]
    return [f"{number} {_figures(*np.sum(shape, axis=0))}" for number, shape in enumerate(shapes)]


def steps(name: str) -> list[str]:
    sheet = step_sheet(OrderOfWork(piece(name)))
    return [f"page {_figures(sheet.width_mm, sheet.height_mm)}", *marks(sheet.strokes, sheet.labels)]


def _sizes_sheet():
    cells = [
        SizeCell(size, piece(size), ("68 beads", "about an hour of work"), mark, close_up)
        for size, mark, close_up in (
            ("sheet", "the smallest that keeps it", (2.0, 1.0, 6.0, 7.0)),
            ("flower", "", None),
        )
    ]
    detail = np.full((30, 45, 3), 120, np.uint8)
    return lay_out_sizes("Which size", ("Choose by eye.", "Or by time."), [("Same width", cells)], detail)


def sizes() -> list[str]:
    sheet = _sizes_sheet()
    images = [f"image {_figures(x, y)} {pixels.shape}" for x, y, pixels in sheet.images]
    page = f"page {_figures(sheet.height_mm, sheet.scale)}"
    return [page, *images, *marks(sheet.strokes, sheet.labels)]


def _colour(of_object: pypdfium2.PdfObject, get: Callable[..., int]) -> tuple[int, ...]:
    parts = [c_uint() for _ in range(4)]
    get(of_object.raw, *map(byref, parts))
    return tuple(part.value for part in parts)


def _look(page_object: pypdfium2.PdfObject) -> tuple[str, float]:
    """What kind of object it is, of which colours, and how wide its lines are in points."""
    fill = _colour(page_object, pdfium.FPDFPageObj_GetFillColor)
    line = _colour(page_object, pdfium.FPDFPageObj_GetStrokeColor)
    width = c_float()
    pdfium.FPDFPageObj_GetStrokeWidth(page_object.raw, byref(width))
    return f"{page_object.type} {fill} {line}", round(width.value, 2)


def pages(file: bytes) -> list[str]:
    """The words of each page, and how many things of each look lie where."""
    found = []
    for number, page in enumerate(pypdfium2.PdfDocument(file), start=1):
        words = page.get_textpage().get_text_range().split("\r\n")
        if words[0].startswith("Stitch order"):
            break  # how stitches are told is not a matter of drawing
        found += [f"page {number} {_figures(*page.get_size())}"]
        found += [words_in_line for words_in_line in words if not words_in_line.replace(" ", "").isdigit()]
        alike: dict[tuple[str, float], list[tuple[float, ...]]] = {}
        for one in page.get_objects(max_depth=2):
            alike.setdefault(_look(one), []).append(one.get_bounds())
        for (look, width), bounds in alike.items():
            means, spreads = np.mean(bounds, axis=0), np.std(bounds, axis=0)
            found.append(f"{len(bounds)} objects {look} {_figures(width, *means, *spreads)}")
    return found


def _booklet_file(name: str, ink: str = "colour", finish: str = "none") -> bytes:
    pattern = replace(piece(name), finish=finish)
    report = verify(pattern.weave, pattern.thread, pattern.supplies)
    return write_pdf(OrderOfWork(pattern), report, BookletSettings(ink=ink))


def finishing(name: str) -> list[str]:
    """The pictures of each way to finish a piece."""
    found = []
    for kind in FINISHES[1:]:
        pattern = replace(piece(name), finish=kind)
        for step in captioned_finish(OrderOfWork(pattern), draw_piece(pattern), 58.0, 48.0):
            found += [f"{kind}: {step.title}", *marks(step.picture.strokes, step.picture.labels)]
    return found


def colours() -> list[str]:
    sheet = _colours_sheet()
    return [f"scale {sheet.scale:.3f}", *marks(sheet.strokes, sheet.labels)]


def _colours_sheet() -> Printed:
    """The same piece five times, as if in more and more colours."""
    figures = (3, 2.9), (6, 2.1), (8, 1.75), (24, 1.6), (123, 1.55)
    cells = [
        ColourCell(
            f"{count} colours",
            piece("sheet"),
            (f"look {look:.2f}", "no lone bead"),
            (count, look),
            count == 8,
        )
        for count, look in figures
    ]
    words = "Choose 8 colours: from afar they look as all.", "Look: 0 is as the picture. " * 12
    return lay_out_colours("heron: how many colours", words, cells, ("number of colours", "Look"), A4)


FIGURES: dict[str, Callable[[], list[str]]] = {
    **{f"chart of a {name}": lambda name=name: chart(chart_scene(piece(name))) for name in PIECES},
    "swatch": lambda: chart(swatch_scene(*_swatch())),
    "symbols": plain_symbols,
    "steps of a sheet": lambda: steps("sheet"),
    "steps of a flower": lambda: steps("flower"),
    "sizes": sizes,
    "colours": colours,
    "finishing of a sheet": lambda: finishing("sheet"),
    "finishing of a flower": lambda: finishing("flower"),
    "card": lambda: [line for paper in PAPERS.values() for line in pages(write_card(paper))],
    "shelf sheet for print": lambda: pages(draw_shelf_pdf(Palette("lake", ENTRIES), A4)),
    "booklet of a sheet": lambda: pages(_booklet_file("sheet")),
    "booklet of a strip with a clasp": lambda: pages(_booklet_file("strip down", finish=CLASP)),
    "booklet of a flower, spare ink": lambda: pages(_booklet_file("flower", "spare")),
    "booklet of a large sheet": lambda: pages(_booklet_file("large sheet")),
}
PICTURES: dict[str, Callable[[], np.ndarray]] = {
    **{f"preview of a {name}": lambda name=name: preview_pixels(name, 200) for name in PIECES},
    **{f"chart of a {name}": lambda name=name: chart_pixels(name, 50) for name in PIECES},
    "shelf sheet": lambda: shelf_sheet_pixels(),
    "shelf photograph": lambda: shelf_photograph_pixels(),
}


def _swatch() -> tuple[tuple[BeadSize, BeadSize], Spacing]:
    sizes = bead_size("11/0"), bead_size("8/0")
    return sizes, model_spacing(*sizes)


def shelf_sheet_pixels() -> np.ndarray:
    """The colours of a palette, a fourth as large as they are printed."""
    picture = Image.open(io.BytesIO(draw_shelf_png(Palette("lake", ENTRIES))))
    return np.asarray(picture.convert("RGB").reduce(4))


def _shelf_photograph() -> bytes:
    """Eleven heaps in two rows on a photograph, the first row longer than a line of the list."""
    light = np.linspace(0.5, 0.8, 400, dtype=np.float32)[None, :, None].repeat(240, axis=0).repeat(3, axis=2)
    angle = np.linspace(0, 2 * np.pi, 72, endpoint=False)
    rows = 9, 2
    places = [(40 * column + 30, 80 * row + 60, 10 + column) for row in (0, 1) for column in range(rows[row])]
    outlines = [np.stack([x + r * np.cos(angle), y + 1.5 * r * np.sin(angle)], axis=1) for x, y, r in places]
    entries = tuple(replace(ENTRIES[number % 5], code=f"A{number + 1}") for number in range(len(places)))
    spreads = tuple(0.7 * number for number in range(len(places)))
    notes = "One heap is cut.", "Colours by the white of the paper, taken as neutral. " * 4
    return draw_shelf(Shelf("tray", entries, spreads, rows, outlines, light, by_paper(), notes))


def shelf_photograph_pixels() -> np.ndarray:
    """A photograph of heaps with their swatches, a fourth as large as it is written."""
    return np.asarray(Image.open(io.BytesIO(_shelf_photograph())).convert("RGB").reduce(4))


def preview_pixels(name: str, dots_per_inch: float) -> np.ndarray:
    return draw_preview(draw_piece(piece(name)), dots_per_inch, (200, 190, 170))[..., :3]


def chart_pixels(name: str, dots_per_inch: float) -> np.ndarray:
    return draw_pixels(chart_scene(piece(name)), dots_per_inch)[..., :3]


def main() -> None:
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    for name, figures in FIGURES.items():
        (APPROVED / f"{name}.txt").write_text("\n".join(figures()) + "\n", encoding="utf-8")
    for name, picture in PICTURES.items():
        Image.fromarray(picture()).save(APPROVED / f"{name}.png", optimize=True)
    for name in PIECES:
        Image.fromarray(preview_pixels(name, 600)).save(folder / f"preview of a {name}.png")
        Image.fromarray(chart_pixels(name, 200)).save(folder / f"chart of a {name}.png")
        (folder / f"steps of a {name}.png").write_bytes(write_steps_png(step_sheet(OrderOfWork(piece(name)))))
    for name in ("sheet", "large sheet"):
        (folder / f"booklet of a {name}.pdf").write_bytes(_booklet_file(name))
    (folder / "booklet of a flower, spare ink.pdf").write_bytes(_booklet_file("flower", "spare"))
    (folder / "shelf sheet.png").write_bytes(draw_shelf_png(Palette("lake", ENTRIES)))
    (folder / "sizes.png").write_bytes(sheet_png(_sizes_sheet()))
    (folder / "colours.png").write_bytes(sheet_png(_colours_sheet()))
    (folder / "shelf photograph.png").write_bytes(_shelf_photograph())
    (folder / "booklet of a strip with a clasp.pdf").write_bytes(_booklet_file("strip down", finish=CLASP))
    for name, paper in PAPERS.items():
        (folder / f"card {name}.pdf").write_bytes(write_card(paper))


if __name__ == "__main__":
    main()
