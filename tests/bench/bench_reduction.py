"""Measure the best few colours of the shipped palettes, how far from the best they can be, and the time.

Run by hand: ``python tests/bench/bench_reduction.py [BEADS]``. "total" is the sum of CIEDE2000 over all
beads, "bound" what no choice of as many colours comes below, "gap" the share between them, which is the
most that any other method could win; "seconds" are those of the processor, on all cores together, so that
what else runs does not count. The last columns are for comparison, in the same run: the total as a share of
that of k-means in Lab on all beads, of which each centre takes the nearest colour that is still free, best
of 3 starts; and the time as a multiple of the exact nearest match of all beads.
"""

import io
import sys
import time
from pathlib import Path

import numpy as np
from PIL import Image
from scipy.cluster.vq import kmeans2
from skimage import data

from convert.choice.reduction import Demand, reduce_colours
from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import linear_to_lab
from convert.colour.matching import nearest
from convert.making.over_picture import bead_means
from convert.palette.palette_file import read_palette
from convert.palette.resources import palette_path
from convert.picture.reading import read_picture
from convert.weave.beads import bead_size
from tests.panels import laid_out

SAMPLES = Path(__file__).parents[2] / "sample_images"
PICTURES = ("heron.png", "grebe-dusk.jpg", "astronaut", "coffee", "chelsea")
PALETTES = ("lakeside-range", "workshop-shelf")
COUNTS = (4, 8, 12, 16, 24, 32)
SIZE = bead_size("11/0")


def picture_named(name):
    if "." in name:
        return read_picture(SAMPLES / name)
    file = io.BytesIO()
    Image.fromarray(getattr(data, name)()).save(file, "PNG")
    return read_picture(file.getvalue())


def bead_labs(name, beads):
    """Return CIELAB of about so many beads of a panel, made a little larger until it has them."""
    picture, across = picture_named(name), 10
    while True:
        layout = laid_out(picture, SIZE, SIZE, across=across)
        if layout.weave.beads >= beads:
            return linear_to_lab(bead_means(picture, [(layout.weave, layout.full)])[0])
        across += 1


def k_means_total(lab, palette, count):
    totals = []
    for start in range(3):
        centres, _ = kmeans2(lab, count, seed=start, minit="++")
        chosen = []
        for row in ciede2000(centres[:, None], palette[None]):
            free = np.setdiff1d(np.argsort(row, kind="stable"), chosen, assume_unique=True)
            chosen.append(free[0])
        totals.append(nearest(lab, palette[chosen])[1].sum())
    return min(totals)


def main():
    beads = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    print("picture           beads  palette          N |    total    bound     gap seconds | k-means nearest")
    worst_gap = longest = 0.0
    for name in PICTURES:
        lab = bead_labs(name, beads)
        for palette_name in PALETTES:
            whole, _ = read_palette(palette_path(palette_name))
            palette = whole.labs()[whole.for_size(SIZE.name)]
            every = np.arange(len(palette))
            start = time.process_time()
            nearest(lab, palette)
            plain = time.process_time() - start
            for count in COUNTS:
                start = time.process_time()
                demand = Demand.of_beads(lab, every, palette)
                found = reduce_colours([demand], len(palette), count, np.empty(0, np.int64))
                seconds = time.process_time() - start
                worst_gap, longest = max(worst_gap, found.gap), max(longest, seconds)
                print(
                    f"{name:15} {len(lab):7}  {palette_name:14} {count:3} |"
                    f" {found.total:8.0f} {found.bound:8.0f} {found.gap:7.3%} {seconds:7.2f} |"
                    f" {found.total / k_means_total(lab, palette, count):7.3f} {seconds / plain:7.1f}",
                    flush=True,
                )
    print(f"largest gap {worst_gap:.3%}, longest {longest:.2f} s")


if __name__ == "__main__":
    main()
