"""Compare the ways of dithering on pictures: seen from a metre, lone beads and time, in one run.

Run by hand: ``python tests/bench/bench_dither.py [BEADS]``, 10,000 beads without. Pictures are photographs
that come with scikit-image and the samples; beads are 11/0 of the range that ships, in all of its colours and
in the best 24, as `--colours` would have it: a search picks the 24 that mix best, and is shown in the 24 of
the others, too ("same 24"). Both views are S-CIELAB by CIEDE2000: beads that fill their cells, and with white
paper in the gaps; below each picture the ways are ranked by both. Times are seconds of the processor for the
whole choice, which a busy machine does not make longer by much. OMP_NUM_THREADS=1 keeps the library of numpy
from counting double.
"""

import sys
import time
from pathlib import Path

import numpy as np
from skimage import data

from convert.choice.choosing import choose
from convert.choice.refining import refine
from convert.choice.smoothing import unrest
from convert.colour.lab import lab_to_linear
from convert.judging.viewing import View
from convert.making.over_picture import bead_means
from convert.making.pipeline import of_sizes
from convert.palette.palette_file import read_palette
from convert.palette.resources import palette_path
from convert.picture.model import Picture
from convert.picture.reading import read_picture
from convert.settings.colour import ALL, ColourSettings
from convert.weave.beads import bead_size
from convert.weave.neighbours import bead_neighbours
from tests.panels import laid_out

SIZES = (bead_size("11/0"),) * 2
SAMPLES = Path(__file__).parents[2] / "sample_images"
PHOTOGRAPHS = ("astronaut", "coffee", "chelsea", "rocket", "hubble_deep_field")
METHODS = {
    "none": {},
    "smooth 0.5": {"smoothing": 0.5},
    "spread 0.25": {"dither": 0.25},
    "spread 0.5": {"dither": 0.5},
    "spread 0.75": {"dither": 0.75},
    "threshold 0.5": {"dither": 0.5, "dither_kind": "threshold"},
    "search 0.5": {"dither": 0.5, "dither_kind": "search"},
    "search 1": {"dither": 1.0, "dither_kind": "search"},
}


def pictures():
    for name in PHOTOGRAPHS:
        yield Picture(name, getattr(data, name)().copy())
    for path in sorted(SAMPLES.iterdir()):
        yield read_picture(path)


def laid_out_in(picture, beads):
    """Return the piece of about so many beads."""
    across = 20
    for _ in range(3):
        layout = laid_out(picture, *SIZES, across=across)
        across = max(4, round(across * (beads / layout.weave.beads) ** 0.5))
    return layout


RANKED = ("none", "spread 0.5", "threshold 0.5", "search 0.5")


def compared(picture, layout, palette, colours):
    """Print a line for each method, all figures beside those of spread at 0.5, and the ranking."""
    (light,) = bead_means(picture, [(layout.weave, layout.full)])
    weave, numbers = layout.weave, palette.colour_numbers()
    linear, neighbours = lab_to_linear(palette.labs()), bead_neighbours(weave)
    views = View(weave, light), View(weave, light, np.ones(3))
    rows = {}

    def judge(name, choose_beads):
        start = time.process_time()
        chosen = choose_beads()
        took = time.process_time() - start
        seen = [view.from_best(np.clip(linear[chosen], 0, 1)) for view in views]
        rows[name] = *seen, unrest(numbers[chosen], neighbours).lone, took
        return chosen

    for name, setting in METHODS.items():
        settings = ColourSettings(colours=colours, **setting)
        chosen = judge(name, lambda settings=settings: choose(light, weave, palette, settings).chosen)
        if name == "none":
            plain, same = chosen, (np.unique(chosen),) * 2
    if colours != ALL:
        search = METHODS["search 0.5"]
        judge("  in same 24", lambda: refine(weave, plain, light, linear, numbers, same, **search))
    for name, (filled, gaps, lone, seconds) in rows.items():
        beside = " ".join(
            f"{one / other:5.3f}" for one, other in zip(rows[name][:3], rows["spread 0.5"][:3], strict=True)
        )
        print(
            f"{picture.name[:17]:17} {colours!s:>4} {weave.beads:6} {name:13} |"
            f" {filled:6.2f} {gaps:6.2f} {lone:6} {seconds:7.2f} | {beside}"
        )
    for view, title in enumerate(("filled", "gaps")):
        ranked = sorted(RANKED, key=lambda name: rows[name][view])
        print(f"{'':17} best first, {title}: {', '.join(ranked)}", flush=True)


def main():
    beads = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    palette = of_sizes(read_palette(palette_path("lakeside-range"))[0], SIZES)
    print("picture        colours  beads method        | filled   gaps   lone seconds | beside spread 0.5")
    for picture in pictures():
        layout = laid_out_in(picture, beads)
        for colours in (ALL, 24):
            compared(picture, layout, palette, colours)


if __name__ == "__main__":
    main()
