"""The main job against simple ways with the same libraries, side by side in one run.

1. A 4-megapixel photograph to 10,000 beads with chart and lists, and with every output (booklet, preview,
   pages), against opening that photograph, a Pillow LANCZOS resize to 2,000 px and saving the resize as PNG.
   Goal for the first: at most 3 times.
2. 10,000 beads to 100,000: growth no worse than linear.
3. A 24-megapixel JPEG to 100,000 beads, 300 colours and chart pixels (and a proven thread path besides),
   against the simplest library route: label raster and ndimage.mean, all-pairs deltaE_ciede2000, Pillow
   polygons supersampled 4 times to a chart of fewer pixels. Goal: 8 times faster. The all-pairs distances are
   timed on a part and scaled, and the print says so.
4. Peak memory of the program for case 3 with every output. Goal: at most 300 MB over the decoded picture.

Run by hand: ``python tests/bench/bench_panel.py``.
"""

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import scipy.ndimage
from PIL import Image, ImageDraw
from skimage import color, data

from convert.colour.lab import lab_to_linear
from convert.colour.srgb import encode_to_bytes, to_hex
from convert.drawing.png import draw_pixels, write_png
from convert.drawing.scene import chart_scene
from convert.instructions.order import OrderOfWork
from convert.instructions.telling import stitch_text
from convert.palette.model import BeadColour, Palette
from convert.picture.reading import read_picture
from convert.piece.pattern_file import pattern_json
from convert.weave.beads import bead_size
from convert.writing.beads_csv import beads_csv
from convert.writing.outputs import Job, write_all
from convert.writing.stitch_csv import stitch_csv
from tests.panels import panel as woven_panel
from tests.panels import panel_options

SIZE = bead_size("11/0")


def photograph(width: int, height: int) -> Image.Image:
    """Enlarge a photograph and give it grain, so that it is as hard to pack as a real one of that size."""
    image = Image.fromarray(data.astronaut()).resize((width, height), Image.Resampling.BICUBIC)
    grain = np.random.default_rng(1).normal(0, 4, (height, width, 1))
    return Image.fromarray(np.clip(np.asarray(image) + grain, 0, 255).astype(np.uint8))


def palette(colours: int) -> Palette:
    labs = np.random.default_rng(2).uniform((10, -50, -50), (98, 60, 70), (colours, 3))
    entries = []
    for number, lab in enumerate(labs.tolist()):
        hex_code = to_hex(encode_to_bytes(lab_to_linear(np.array(lab))))
        entries.append(BeadColour(f"C{number}", "", None, hex_code, (lab[0], lab[1], lab[2])))
    return Palette("bench", tuple(entries))


def timed(work: Callable[[], object], rounds: int = 3) -> float:
    best = float("inf")
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def chart_and_lists(path: Path, colours: Palette, across: int) -> None:
    """Make what is needed to weave: chart, bead list, stitch order, pattern file."""
    result = woven_panel(read_picture(path), colours, panel_options(SIZE, SIZE, across=across))
    pattern, report = result.pattern, result.thread
    order = OrderOfWork(pattern)
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "chart.png").write_bytes(write_png(chart_scene(pattern)))
        texts = (
            beads_csv(pattern),
            stitch_text(order, report),
            stitch_csv(order),
            pattern_json(pattern),
        )
        for number, text in enumerate(texts):
            (Path(folder) / f"{number}.txt").write_text(text, encoding="utf-8")


def panel(path: Path, colours: Palette, across: int) -> int:
    result = woven_panel(read_picture(path), colours, panel_options(SIZE, SIZE, across=across))
    with tempfile.TemporaryDirectory() as folder:
        write_all(Job(result.pattern, result.thread), Path(folder))
    return result.pattern.weave.beads


def open_resize_save(path: Path) -> None:
    with Image.open(path) as image:
        small = image.convert("RGB").resize(
            (2000, 2000 * image.height // image.width), Image.Resampling.LANCZOS
        )
    with tempfile.TemporaryDirectory() as folder:
        small.save(Path(folder) / "resized.png")


def chart_route(path: Path, colours: Palette, across: int) -> None:
    result = woven_panel(read_picture(path), colours, panel_options(SIZE, SIZE, across=across))
    draw_pixels(chart_scene(result.pattern))


def simplest_route(path: Path, colours: Palette, cells: np.ndarray, share: float) -> float:
    """Run the simplest route; the matching only on a share of the beads. Return its seconds, scaled."""
    start = time.perf_counter()
    with Image.open(path) as image:
        pixels = np.asarray(image.convert("RGB"))
    height, width = pixels.shape[:2]
    labels = Image.new("I", (width, height), 0)
    draw = ImageDraw.Draw(labels)
    for number, cell in enumerate(cells.tolist(), 1):
        draw.polygon([tuple(corner) for corner in cell], fill=number)
    linear = np.where(pixels <= 10, pixels / 255 / 12.92, ((pixels / 255 + 0.055) / 1.055) ** 2.4).astype(
        np.float32
    )
    index = np.arange(1, len(cells) + 1)
    means = np.stack(
        [scipy.ndimage.mean(linear[..., c], np.asarray(labels), index) for c in range(3)], axis=1
    )
    encoded = np.clip(np.where(means <= 0.0031308, means * 12.92, 1.055 * means ** (1 / 2.4) - 0.055), 0, 1)
    lab = color.rgb2lab(np.nan_to_num(encoded)[None])[0]
    sampled = time.perf_counter() - start
    some = lab[: int(len(lab) * share)]
    start = time.perf_counter()
    chosen = np.concatenate(
        [
            color.deltaE_ciede2000(part[:, None], colours.labs()[None]).argmin(axis=1)
            for part in np.array_split(some, max(1, len(some) // 128))
        ]
    )
    matched = (time.perf_counter() - start) / share
    chosen = np.resize(chosen, len(cells))
    start = time.perf_counter()
    scale = 4 * 4200 / width
    big = Image.new("RGB", (4 * 4200, int(height * scale)), "white")
    draw = ImageDraw.Draw(big)
    hexes = [entry.hex for entry in colours.entries]
    for cell, entry in zip((cells * scale).tolist(), chosen.tolist(), strict=True):
        draw.polygon([tuple(corner) for corner in cell], fill=hexes[entry], outline="black")
    big.resize((big.width // 4, big.height // 4), Image.Resampling.BOX)
    drawn = time.perf_counter() - start
    print(f"  simplest: sample {sampled:.2f} s, match {matched:.2f} s (from {share:.0%}), draw {drawn:.2f} s")
    return sampled + matched + drawn


# A process inherits the peak of whoever started it, so that this bench must not start the program itself.
_LAUNCH = """
import resource, subprocess, sys
subprocess.run(sys.argv[1:], check=True)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""


def peak_memory_mb(path: Path, colours: Palette, across: int) -> float:
    """Return the peak memory of the program, run as a user runs it."""
    listed = path.with_suffix(".csv")
    listed.write_text("code,name,hex\n" + "".join(f"{one.code},,{one.hex}\n" for one in colours.entries))
    with tempfile.TemporaryDirectory() as folder:
        command = ["panel", path, "--palette", listed, "--across", across, "--out", Path(folder) / "out"]
        words = [
            sys.executable,
            "-c",
            _LAUNCH,
            sys.executable,
            "-m",
            "convert",
            *map(str, command),
            "--quiet",
        ]
        return int(subprocess.run(words, check=True, stdout=subprocess.PIPE).stdout) / 1024


def main() -> None:
    colours = palette(300)
    with tempfile.TemporaryDirectory() as folder:
        four = Path(folder) / "four.jpg"
        photograph(2309, 1732).save(four, quality=92)
        simple = timed(lambda: open_resize_save(four))
        lists = timed(lambda: chart_and_lists(four, colours, 66))
        ours = timed(lambda: panel(four, colours, 66))
        beads = woven_panel(four, colours, 66)
        print(f"4 MP to {beads:,} beads, chart and lists: {lists:.2f} s; open, resize, save {simple:.2f} s;")
        print(f"  {lists / simple:.2f} x; with every output {ours:.2f} s, {ours / simple:.2f} x")
        large = timed(lambda: panel(four, colours, 209), 2)
        many = woven_panel(four, colours, 209)
        print(
            f"growth: {many:,} beads {large:.2f} s; time x {large / ours:.1f} for beads x {many / beads:.1f}"
        )
        big = Path(folder) / "big.jpg"
        photograph(6000, 4000).save(big, quality=92)
        route = timed(lambda: chart_route(big, colours, 200), 2)
        result = woven_panel(read_picture(big), colours, panel_options(SIZE, SIZE, across=200))
        cells = result.pattern.weave.cells
        cells = (cells - cells.min(axis=(0, 1))) * (6000 / np.ptp(cells[..., 0]))
        simplest = simplest_route(big, colours, cells, 0.02)
        print(f"24 MP to {len(cells):,} beads: {route:.2f} s; simplest {simplest:.2f} s")
        print(f"  {simplest / route:.1f} x faster")
        peak, small = peak_memory_mb(big, colours, 200), peak_memory_mb(four, colours, 6)
        print(
            f"memory: peak {peak:.0f} MB; with 6 loops across {small:.0f} MB; picture {72e6 / 2**20:.0f} MB"
        )


if __name__ == "__main__":
    main()
