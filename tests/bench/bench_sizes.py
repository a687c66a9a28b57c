"""``sizes`` against the sampling and matching it cannot do without, side by side in one run.

1. Six sizes of about 10,000 beads each, both readings, with all figures, thread paths and advice, against six
   panel samplings and matchings alone. Goal: at most 2 times.
2. What the note on lost detail adds to a panel of 10,000 beads. Goal: below 0.3 s.

Run by hand: ``python tests/bench/bench_sizes.py``.
"""

import time
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from PIL import Image
from skimage import data

from convert.cli.inputs import load_palette
from convert.colour.lab import linear_to_lab
from convert.colour.matching import nearest
from convert.judging.size_candidates import sizes_named, sizes_of
from convert.judging.size_comparison import compare_sizes
from convert.judging.size_needed import lost_detail
from convert.making.frame import Frame
from convert.making.over_picture import bead_means
from convert.making.pipeline import of_sizes
from convert.picture.model import Picture
from convert.weave.lattice import sheet
from convert.writing.size_report import size_sheet
from tests.panels import panel, panel_options

ACROSS = 53


class Timed(NamedTuple):
    """Seconds on the clock, and of the processor, of which both cores count."""

    clock: float
    processor: float

    def __str__(self) -> str:
        return f"{self.clock:.2f} s (processor {self.processor:.2f} s)"


def timed(work: Callable[[], object], rounds: int = 3) -> Timed:
    clock = processor = float("inf")
    for _ in range(rounds):
        start, start_processor = time.perf_counter(), time.process_time()
        work()
        clock = min(clock, time.perf_counter() - start)
        processor = min(processor, time.process_time() - start_processor)
    return Timed(clock, processor)


def main() -> None:
    palette, _ = load_palette(None)
    image = Image.fromarray(data.astronaut()).resize((2000, 2000), Image.Resampling.BICUBIC)
    picture = Picture("astronaut", np.asarray(image).copy())
    sizes = [*sizes_of(palette), sizes_named("11/0+8/0"), sizes_named("15/0+11/0")]

    def alone() -> int:
        beads = 0
        for core, connector in sizes:
            options = panel_options(core, connector, across=ACROSS)
            colours = of_sizes(palette, (core, connector))
            weave = sheet(np.ones((61, ACROSS), bool), (core, connector), Frame.of(options).spacing)
            wanted = linear_to_lab(bead_means(picture, [(weave, weave)])[0])
            nearest(wanted, colours.labs())
            beads = weave.beads
        return beads

    options = panel_options(*sizes[1], across=ACROSS)
    beads = alone()
    simple = timed(alone, 5)
    ours = timed(lambda: compare_sizes(picture, palette, options, sizes), 5)
    print(f"six sizes of {beads:,} beads: sampling and matching alone {simple}; sizes {ours}")
    print(f"  {ours.clock / simple.clock:.2f} x (processor {ours.processor / simple.processor:.2f} x)")
    found = compare_sizes(picture, palette, options, sizes)
    print(f"  and the sheet {timed(lambda: size_sheet(found), 1)}")
    result = panel(picture, palette, options)
    note = timed(lambda: lost_detail(picture, palette, options, result))
    print(f"note on lost detail: {note} for {result.pattern.weave.beads:,} beads")
    coarse = panel_options(*sizes[1], across=24)
    result = panel(picture, palette, coarse)
    note = timed(lambda: lost_detail(picture, palette, coarse, result))
    print(f"note on lost detail, with the size that keeps it: {note}")


if __name__ == "__main__":
    main()
