"""Time the choice within stock beside the flow library's own solve of the same problem, in one run.

Run by hand: ``python tests/bench/bench_stock.py``. Three photographs of 100,000 beads, 100 random colours,
stock of 1.15 and 2.5 times the beads in all, unevenly spread. "solve" is the library's solve alone, of the
arcs as this project gives them; "whole" is everything from beads to entries.
"""

import time

import numpy as np
from ortools.graph.python.min_cost_flow import SimpleMinCostFlow
from skimage import data
from skimage.transform import resize

from convert.choice.stock import assign, merge
from convert.colour.distances import CIEDE2000
from convert.colour.lab import srgb_to_lab

BEADS, ENTRIES = 100_000, 100


class Timed(SimpleMinCostFlow):
    seconds = 0.0

    def solve(self):
        start = time.perf_counter()
        status = super().solve()
        Timed.seconds = time.perf_counter() - start
        return status


def main():
    import ortools.graph.python.min_cost_flow as library

    library.SimpleMinCostFlow = Timed
    print("picture     stock   beads  distinct | solve, s  whole, s  ratio")
    for photo in ("chelsea", "coffee", "astronaut"):
        picture = getattr(data, photo)()
        rows = round((BEADS * picture.shape[0] / picture.shape[1]) ** 0.5)
        small = resize(picture, (rows, round(BEADS / rows)), anti_aliasing=True).reshape(-1, 3)
        lab = srgb_to_lab(small)
        draw = np.random.default_rng(9)
        labs = srgb_to_lab(draw.integers(0, 256, (ENTRIES, 3), dtype=np.uint8))
        allowed = (np.arange(ENTRIES, dtype=np.int32),)
        for plenty in (1.15, 2.5):
            share = draw.dirichlet(np.full(ENTRIES, 1.0))
            capacity = np.ceil(share * plenty * len(lab)).astype(np.int64)
            start = time.perf_counter()
            wish = merge(lab, np.zeros(len(lab), np.uint8), labs, allowed, CIEDE2000)
            given = assign(wish, capacity, np.arange(len(lab)))
            whole = time.perf_counter() - start
            assert (np.bincount(given, minlength=ENTRIES) <= capacity).all()
            print(
                f"{photo:10} {plenty:6} {len(lab):7} {len(wish.count):9} | {Timed.seconds:8.2f}"
                f" {whole:9.2f} {whole / Timed.seconds:6.2f}",
                flush=True,
            )


if __name__ == "__main__":
    main()
