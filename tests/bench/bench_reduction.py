"""Measure the best few colours beside k-means in Lab snapped to the palette, in one run.

Run by hand: ``python tests/bench/bench_reduction.py [BEADS]``. The sum of CIEDE2000 over all beads is given
relative to two forms of k-means on all beads. In the plain one each centre is snapped to its nearest colour,
so that two centres may share one; mean of 3 starts. In the careful one each centre takes the nearest colour
that is still free; best of the 3. "gap" is how far from the best possible our choice can be at most: where it
is small, no method could make the ratios much smaller.
"""

import sys
import time

import numpy as np
from scipy.cluster.vq import kmeans2
from skimage import data
from skimage.transform import resize

from convert.choice.reduction import Demand, reduce_colours
from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import srgb_to_lab
from convert.colour.matching import nearest
from convert.palette.palette_file import read_palette
from convert.palette.resources import palette_path


def photo_beads(photo, count):
    rows = round((count * photo.shape[0] / photo.shape[1]) ** 0.5)
    small = resize(photo, (rows, round(count / rows)), anti_aliasing=True)
    return np.rint(small.reshape(-1, 3) * 255).astype(np.uint8)


def snapped_k_means(lab, palette, count):
    plain, careful = [], []
    for seed in range(3):
        centres, _ = kmeans2(lab, count, seed=seed, minit="++")
        chosen = []
        for row in ciede2000(centres[:, None], palette[None]):
            free = np.setdiff1d(np.argsort(row, kind="stable"), chosen, assume_unique=True)
            chosen.append(free[0])
        careful.append(nearest(lab, palette[chosen])[1].sum())
        snapped = np.unique(nearest(centres, palette)[0])
        plain.append(nearest(lab, palette[snapped])[1].sum())
    return np.mean(plain), min(careful)


def measure(name, lab, palette, count):
    start = time.perf_counter()
    nearest(lab, palette)
    plain = time.perf_counter() - start
    start = time.perf_counter()
    columns = np.arange(len(palette))
    found = reduce_colours(
        [Demand.of_beads(lab, columns, palette)], len(palette), count, np.empty(0, np.int64)
    )
    seconds = time.perf_counter() - start
    plain_k_means, careful_k_means = snapped_k_means(lab, palette, count)
    print(
        f"{name:24} {len(lab):7} {len(palette):6} {count:4} | {found.total / len(lab):6.3f}"
        f" {found.total / plain_k_means:6.3f} {found.total / careful_k_means:7.3f} | {found.gap:7.3%}"
        f" | {plain:7.3f} {seconds:7.2f}",
        flush=True,
    )


def main():
    beads = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    lakeside, _ = read_palette(palette_path("lakeside-range"))
    ours = lakeside.labs()[lakeside.for_size("11/0")]
    print(
        "picture, palette           beads   of      N | mean dE plain careful |     gap | nearest, choice, s"
    )
    photos = {name: photo_beads(getattr(data, name)(), beads) for name in ("chelsea", "coffee", "astronaut")}
    photos["all three"] = np.concatenate(list(photos.values()))
    for photo, rgb in photos.items():
        lab = srgb_to_lab(rgb)
        draw = np.random.default_rng(4)
        for kind, palette in (
            ("lakeside", ours),
            ("random", srgb_to_lab(draw.integers(0, 256, (300, 3), dtype=np.uint8))),
            ("random", srgb_to_lab(draw.integers(0, 256, (1500, 3), dtype=np.uint8))),
        ):
            for count in (8, 24):
                measure(f"{photo}, {kind}", lab, palette, count)


if __name__ == "__main__":
    main()
