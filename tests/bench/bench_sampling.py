"""Time the exact means over cells beside the simplest library way, a label raster and ndimage.mean.

Run by hand, on Linux: ``python tests/bench/bench_sampling.py [megapixels ...]``. The label raster is drawn
with Pillow's polygons and counts whole pixels; ours weighs parts of pixels. Memory is the peak of resident
memory over what was held before, each way in a process of its own.
"""

import multiprocessing
import re
import sys
import time
from pathlib import Path

import numpy as np
import scipy.ndimage
from PIL import Image, ImageDraw

from convert.colour.srgb import decode, encode
from convert.picture.model import Picture
from convert.picture.sampling import polygon_means


def smooth_picture(megapixels):
    """Waves with grain, so that neighbours differ as in a photograph."""
    height = round((megapixels * 1e6 / 1.5) ** 0.5)
    width = round(height * 1.5)
    draw = np.random.default_rng(3)
    x, y = np.arange(width) / width, np.arange(height)[:, None] / height
    pixels = np.empty((height, width, 3), np.uint8)
    for channel, turns in enumerate((5, 9, 14)):
        wave = 127 + 100 * np.sin(turns * (x + y) + channel).astype(np.float32)
        pixels[..., channel] = wave + draw.integers(-20, 21, wave.shape, dtype=np.int8)
    return Picture("waves", pixels)


def rhombi(picture, count):
    """About `count` rhombi, twice as high as wide, that tile the inside of a picture row by row."""
    height, width = picture.pixels.shape[:2]
    columns = round((count * width / height) ** 0.5)
    rows = round(count / columns)
    step_x, step_y = width / (columns + 0.5), height / (rows + 1)
    column, row = np.meshgrid(np.arange(columns), np.arange(rows))
    centres = np.stack([(column + 0.5 + row % 2 / 2) * step_x, (row + 1) * step_y], axis=-1)
    half = np.array([[step_x / 2, 0], [0, step_y], [-step_x / 2, 0], [0, -step_y]])
    return centres.reshape(-1, 1, 2) + half


def ours(picture, cells):
    return polygon_means(picture, cells)[0]


def labels_and_means(picture, cells):
    height, width = picture.pixels.shape[:2]
    raster = Image.new("I", (width, height), 0)
    draw = ImageDraw.Draw(raster)
    for label, corners in enumerate(cells.reshape(len(cells), -1).tolist(), 1):
        draw.polygon(corners, fill=label)
    labels = np.asarray(raster)
    linear = decode(picture.pixels).astype(np.float32)
    index = np.arange(1, len(cells) + 1)
    return np.stack([scipy.ndimage.mean(linear[..., c], labels, index) for c in range(3)], axis=1)


def resident_mb(field):
    return int(re.search(rf"{field}:\s+(\d+) kB", Path("/proc/self/status").read_text())[1]) / 1024


def measure(way, megapixels, count, rounds, answer):
    picture = smooth_picture(megapixels)
    cells = rhombi(picture, count)
    Path("/proc/self/clear_refs").write_text("5")  # forget the peak so far: proc(5)
    before, best = resident_mb("VmRSS"), np.inf
    for _ in range(rounds):
        start = time.perf_counter()
        means = way(picture, cells)
        best = min(best, time.perf_counter() - start)
    answer.send((best, resident_mb("VmHWM") - before, means))


def in_own_process(*task):
    spawn = multiprocessing.get_context("spawn")
    receive, send = spawn.Pipe(duplex=False)
    process = spawn.Process(target=measure, args=(*task, send))
    process.start()
    result = receive.recv()
    process.join()
    return result


def main():
    print("                    |   ours        |  labels + mean | ratio of        | difference, of 255")
    print("    MP      cells   |    s      MB  |     s       MB |  time   memory  |   mean     most")
    for megapixels in [float(word) for word in sys.argv[1:]] or [4, 24]:
        for count in (10_000, 100_000):
            seconds, memory, means = in_own_process(ours, megapixels, count, 3)
            their_seconds, their_memory, their_means = in_own_process(labels_and_means, megapixels, count, 1)
            apart = np.abs(encode(means) - encode(their_means)) * 255
            print(
                f"{megapixels:6g} {count:10} | {seconds:6.3f} {memory:7.0f} | {their_seconds:6.2f}"
                f" {their_memory:8.0f} | {their_seconds / seconds:6.1f} {their_memory / memory:7.1f} |"
                f" {np.nanmean(apart):8.3f} {np.nanmax(apart):8.2f}",
                flush=True,
            )


if __name__ == "__main__":
    main()
