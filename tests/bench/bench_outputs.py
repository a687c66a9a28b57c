"""What each output of a panel of some 11,500 beads costs, against opening, resizing and saving a photograph.

Seconds are those of the processor, of all threads together, so that other work on the machine disturbs
little; ratios compare within one run. The first time includes what is imported and what is kept for later
(type, symbols); the outputs of one run of the program are all first times.

Run by hand: ``python tests/bench/bench_outputs.py``.
"""

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from bench_panel import SIZE, open_resize_save, palette, photograph
from skimage import data

from convert.drawing.edit_page import edit_html
from convert.drawing.follow_page import follow_html
from convert.drawing.pdf import write_pdf
from convert.drawing.piece import draw_piece
from convert.drawing.png import write_png
from convert.drawing.preview import write_preview
from convert.drawing.scene import chart_scene
from convert.drawing.step_pictures import step_sheet, write_steps_png
from convert.drawing.svg import write_svg
from convert.instructions.order import OrderOfWork
from convert.instructions.telling import stitch_text
from convert.picture.model import Picture
from convert.piece.pattern_file import pattern_json
from convert.writing.beads_csv import beads_csv
from convert.writing.outputs import Job, write_all
from convert.writing.stitch_csv import stitch_csv
from tests.panels import panel, panel_options


def spent(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def main() -> None:
    options = panel_options(SIZE, SIZE, across=57)
    result = panel(Picture("photograph", data.astronaut()), palette(300), options)
    pattern, report = result.pattern, result.thread
    order, piece, text = OrderOfWork(pattern), draw_piece(pattern), pattern_json(pattern)
    outputs: dict[str, Callable[[], object]] = {
        "chart.png": lambda: write_png(chart_scene(pattern)),
        "preview.png": lambda: write_preview(chart_scene(pattern).piece),
        "the order": lambda: OrderOfWork(pattern),
        "steps.png": lambda: write_steps_png(step_sheet(order)),
        "chart.svg": lambda: write_svg(chart_scene(pattern)),
        "chart.pdf": lambda: write_pdf(order, report),
        "follow.html": lambda: follow_html(order),
        "edit.html": lambda: edit_html(pattern, order.names, piece, text),
        "beads.csv": lambda: beads_csv(pattern),
        "stitches.txt": lambda: stitch_text(order, report),
        "stitches.csv": lambda: stitch_csv(order),
        "pattern.json": lambda: pattern_json(pattern),
    }
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "four.jpg"
        photograph(2309, 1732).save(path, quality=92)
        simple = min(spent(lambda: open_resize_save(path)) for _ in range(3))
        first = {name: spent(work) for name, work in outputs.items()}
        later = {name: min(spent(work) for _ in range(3)) for name, work in outputs.items()}
        start = time.perf_counter()
        write_all(Job(pattern, report), Path(folder))
        wall = time.perf_counter() - start
    print(
        f"{pattern.weave.beads:,} beads, {len(pattern.used)} colours; open, resize, save 4 MP: {simple:.2f} s"
    )
    for name in outputs:
        print(f"  {name:13} first {first[name] / simple:5.2f} x, later {later[name] / simple:5.2f} x")
    all_first, all_later = sum(first.values()) / simple, sum(later.values()) / simple
    print(f"  all           first {all_first:5.2f} x, later {all_later:5.2f} x; {wall:.2f} s on the clock")


if __name__ == "__main__":
    main()
