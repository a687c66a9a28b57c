"""Time dithering and smoothing beside the exact nearest match at 100,000 beads, in one run.

Run by hand: ``python tests/bench/bench_dither.py``. Each figure is the best of three. The neighbours, classes
and thresholds of the beads are counted in.
"""

import time

import numpy as np
from skimage import data
from skimage.transform import resize

from convert.choice.refining import refine
from convert.colour.lab import linear_to_lab
from convert.colour.matching import nearest
from convert.colour.srgb import decode
from convert.judging.viewing import View
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.spacing import model_spacing

LOOPS = 182  # on a side: 100,099 beads


def best_of_three(work):
    times = []
    for _ in range(3):
        start = time.perf_counter()
        result = work()
        times.append(time.perf_counter() - start)
    return min(times), result


def colours_at_beads(photo, weave):
    """The picture, scaled to about a pixel a bead and stretched over the piece, at each bead's centre."""
    small = resize(photo, (4 * LOOPS, 4 * LOOPS), anti_aliasing=True)
    x, y = (weave.bead_xy / weave.bead_xy.max(axis=0) * (4 * LOOPS - 1)).clip(0).astype(int).T
    return np.rint(small[y, x] * 255).astype(np.uint8)


def nearest_of_size(weave, lab, palette_lab, allowed):
    chosen = np.empty(weave.beads, np.int32)
    for size, entries in enumerate(allowed):
        of_size = weave.bead_size == size
        chosen[of_size] = entries[nearest(lab[of_size], palette_lab[entries])[0]]
    return chosen


def line(weave, linear, palette):
    """Time everything for one picture and palette."""
    lab, palette_lab = linear_to_lab(linear), linear_to_lab(palette)
    colour = np.arange(len(palette), dtype=np.int32)
    allowed = (colour, colour)
    if not weave.one_size:
        # A palette lists each colour once a size.
        allowed = (colour, colour + len(colour))
        palette, palette_lab = np.tile(palette, (2, 1)), np.tile(palette_lab, (2, 1))
        colour = np.tile(colour, 2)
    plain, chosen = best_of_three(lambda: nearest_of_size(weave, lab, palette_lab, allowed))

    def ratio(**options):
        def refined():
            return refine(weave, chosen, linear, palette, colour, allowed, **options)

        return best_of_three(refined)[0] / plain

    spread, threshold = ratio(dither=1.0), ratio(dither=1.0, dither_kind="threshold")
    seen, _ = best_of_three(lambda: View(weave, linear, np.ones(3)).from_best(palette[chosen]))
    return f"{plain:9.3f} | {spread:6.1f} {threshold:10.1f} {ratio(smoothing=0.5):7.1f} {'':14} | {seen:6.2f}"


def main():
    draw = np.random.default_rng(7)
    print("picture    connectors  palette | nearest s | spread, threshold, smooth: times nearest | view s")
    for connectors in ("11/0", "15/0"):
        sizes = bead_size("11/0"), bead_size(connectors)
        weave = sheet(np.ones((LOOPS, LOOPS), bool), sizes, model_spacing(*sizes))
        for name in ("chelsea", "coffee", "astronaut"):
            linear = decode(colours_at_beads(getattr(data, name)(), weave))
            for entries in (24, 100, 300):
                palette = decode(draw.integers(0, 256, (entries, 3), dtype=np.uint8))
                print(f"{name:9}  {connectors:>10}  {entries:7} | {line(weave, linear, palette)}")


if __name__ == "__main__":
    main()
