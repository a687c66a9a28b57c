"""Time the thread of ragged pieces beside that of squares of as many beads, and what shortening brings.

Run by hand: ``python tests/bench/bench_thread_ragged.py``. The pieces are the sample heron in several sizes
and random shapes with bays and holes. Every plan is proven. The second table shows for all of them together
what keeping more walks, or shortening again, brings and takes.
"""

import gc
import time
from pathlib import Path

import numpy as np
from PIL import Image
from scipy.ndimage import gaussian_filter, label

from convert.making.woven_part import woven_part
from convert.thread.bands import lines_between
from convert.thread.planner import FEW_WALKS, MANY_WALKS, plan_thread
from convert.thread.route import Reach, route
from convert.thread.shortening import Shortening
from convert.thread.starts import levels, start_loop, start_state
from convert.thread.steps import Supplies
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.spacing import model_spacing

SIZES = (bead_size("11/0"),) * 2
SPACING = model_spacing(*SIZES)
HERON = Path(__file__).parents[2] / "sample_images" / "heron.png"
ROUNDS = 3
WALKS_KEPT = [(FEW_WALKS,), (MANY_WALKS,), (MANY_WALKS, MANY_WALKS), (FEW_WALKS, MANY_WALKS)]


def heron(places):
    """The sample heron, so many loops wide."""
    alpha = Image.open(HERON).convert("RGBA").getchannel("A")
    rows = round(places * alpha.height / alpha.width * 2 / 3**0.5)
    woven = woven_part(np.asarray(alpha.resize((places, rows), Image.Resampling.BOX)) / 255).woven
    return sheet(woven, SIZES, SPACING)


def random_shape(seed):
    """The largest part of a random shape with bays and holes."""
    noise = gaussian_filter(np.random.default_rng(seed).standard_normal((60, 70)), 3.5)
    islands, count = label(noise > np.quantile(noise, 0.35))
    sizes = np.bincount(islands.ravel(), minlength=count + 1)[1:]
    return sheet(islands == 1 + int(sizes.argmax()), SIZES, SPACING)


def square(beads):
    side = round((beads / 3) ** 0.5)
    return sheet(np.ones((side, side), bool), SIZES, SPACING)


def best_seconds(works):
    """The least seconds of each of several works, which take turns, and what they return."""
    best, results = np.full(len(works), np.inf), [None] * len(works)
    for _ in range(ROUNDS):
        for number, work in enumerate(works):
            gc.collect()
            start = time.perf_counter()
            results[number] = work()
            best[number] = min(best[number], time.perf_counter() - start)
    return best, results


def print_table(header, rows):
    print(" | ".join(header))
    for row in rows:
        print(" | ".join(cell.rjust(len(name)) for cell, name in zip(row, header, strict=True)))
    print()


def planned(name, weave):
    """A row of the first table."""
    plain = square(weave.beads)
    (ours_s, plain_s), (plan, _) = best_seconds([lambda: plan_thread(weave), lambda: plan_thread(plain)])
    report = verify(weave, plan, Supplies())
    return (
        *(name, f"{weave.loops:,}", f"{ours_s:.3f}", f"{ours_s / weave.loops * 1e6:.0f}"),
        *(f"{ours_s / plain_s:.0f}", f"{report.passes / report.bound:.4f}", f"{report.step_kinds}"),
    )


def first_route(weave):
    loop = start_loop(weave, "corner")
    lines = min(
        (lines_between(weave, level) for level in levels(weave, loop, "corner")), key=lambda of: of.cost
    )
    return route(Reach(weave), lines, start_state(weave, lines.on_line, loop))


def shortened(pieces, kept):
    """Routes shortened in turn with so many walks kept each time."""
    found = []
    for weave, states in pieces:
        shortening = Shortening(weave)
        for walks_kept in kept:
            states = shortening.shorten(states, walks_kept)
        found.append(len(states) / weave.corners)
    return np.mean(found)


def main():
    weaves = {f"heron, {places} across": heron(places) for places in (18, 26, 38, 51, 70)}
    weaves |= {f"random shape {seed}": random_shape(seed) for seed in range(4)}
    print_table(
        ("    ragged piece", "loops", "plan s", "us a loop", "times a square", "passes / bound", "kinds"),
        [planned(name, weave) for name, weave in weaves.items()],
    )
    pieces = [(weave, first_route(weave)) for weave in weaves.values()]
    times, shares = best_seconds([lambda kept=kept: shortened(pieces, kept) for kept in [(), *WALKS_KEPT]])
    print_table(
        ("walks kept", "seconds", "extra passes / corners"),
        [
            (", then ".join(map(str, kept)) or "(route)", f"{taken:.3f}", f"{share:.4f}")
            for kept, taken, share in zip([(), *WALKS_KEPT], times, shares, strict=True)
        ],
    )


if __name__ == "__main__":
    main()
