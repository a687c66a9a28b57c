"""Measure what more or less weight of lightness keeps of five photographs, in one run.

Run by hand: ``python tests/bench/bench_lightness.py [LOOPS ...]``; without numbers 40 and 60 loops across, in
11/0 of the shipped range, each bead the nearest of all colours and of the best 16. For each weight:

* "edges": share of the picture's edges that survive, by `convert.judging.detail`.
* "afar": the mean S-CIELAB difference from a metre, as `convert.judging.afar` tells it.
* "filled": the same of the picture itself and of beads that fill their cells, by `convert.judging.detail`.
* "dE00": mean plain CIEDE2000 between the picture and the bead; it can only rise.
* "lone": beads that no neighbour shares the colour of, of all.

The last tables are the means over photographs and sizes, and how many of them keep fewer edges, or look worse
from afar or with filled cells, than with the weight of 1.
"""

import sys

import numpy as np
from skimage import data

from convert.choice.choosing import ColourSettings, choose
from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import linear_to_lab
from convert.judging.afar import compare
from convert.judging.detail import Detail
from convert.making.over_picture import bead_means
from convert.making.pipeline import of_sizes
from convert.palette.palette_file import read_palette
from convert.palette.resources import palette_path
from convert.picture.model import Picture
from convert.picture.part import WHOLE
from convert.piece.pattern import Pattern
from convert.thread.steps import Supplies, ThreadPlan
from convert.weave.beads import bead_size
from tests.panels import laid_out

PHOTOGRAPHS = ("astronaut", "coffee", "chelsea", "rocket", "stereo_motorcycle")
COLOURS = (None, 16)
WEIGHTS = (0.7, 0.85, 1.0, 1.15, 1.3, 1.5, 1.75, 2.0, 2.5)
SIZE = bead_size("11/0")
HEAD = "edges    afar  filled    dE00    lone"


def photograph(name):
    loaded = getattr(data, name)()
    # The motorcycle comes as seen by two eyes, with its depths.
    return Picture(name, (loaded[0] if isinstance(loaded, tuple) else loaded).copy())


def figures(layout, wanted, detail, palette, settings):
    """Return edges kept, the two figures from afar, the difference and the share of lone beads."""
    weave = layout.weave
    choice = choose(wanted, weave, palette, settings)
    unthreaded = ThreadPlan(np.empty(0, np.int32), np.empty(0, np.int32))
    pattern = Pattern("", layout.shape, weave, palette, choice.chosen, unthreaded, Supplies(), 1)
    judged = compare(pattern, wanted, choice.nearest).chosen
    kept = detail.surviving(weave, layout.full, palette.rgb()[choice.chosen])
    off = ciede2000(linear_to_lab(wanted), palette.labs()[choice.chosen]).mean()
    return kept.edges, judged.seen, kept.seen, off, judged.unrest.lone / weave.beads


def row(numbers):
    edges, afar, filled, off, lone = numbers
    return f"{edges:6.2%} {afar:7.3f} {filled:7.3f} {off:7.3f} {lone:7.2%}"


def measured(sizes, palette, colours):
    """Return the figures of each photograph and size for each weight."""
    every = []
    for name in PHOTOGRAPHS:
        picture = photograph(name)
        detail = Detail(picture, WHOLE)
        for across in sizes:
            layout = laid_out(picture, SIZE, SIZE, across=across)
            (wanted,) = bead_means(picture, [(layout.weave, layout.full)])
            print(f"{name}, {across} loops across, {colours or 'all'} colours\nweight | {HEAD}")
            every.append([])
            for weight in WEIGHTS:
                settings = ColourSettings(lightness=weight, colours=colours)
                every[-1].append(figures(layout, wanted, detail, palette, settings))
                print(f"  {weight:4.2f} | {row(every[-1][-1])}", flush=True)
    return np.array(every)


def main():
    sizes = [int(text) for text in sys.argv[1:]] or [40, 60]
    palette = of_sizes(read_palette(palette_path("lakeside-range"))[0], (SIZE, SIZE))
    tables = [measured(sizes, palette, colours) for colours in COLOURS]
    for colours, table in zip(COLOURS, tables, strict=True):
        more = table - table[:, [WEIGHTS.index(1.0)]]
        worse = [(more[..., column] * sign > 0).sum(axis=0) for column, sign in ((0, -1), (1, 1), (2, 1))]
        print(f"mean of {len(table)}, {colours or 'all'} colours")
        print(f"weight | {HEAD} | fewer edges, worse afar, worse filled")
        for number, weight in enumerate(WEIGHTS):
            counts = " ".join(f"{of_figure[number]:11}" for of_figure in worse)
            print(f"  {weight:4.2f} | {row(table[:, number].mean(axis=0))} | {counts}")


if __name__ == "__main__":
    main()
