"""Time the exact nearest match beside scikit-image's CIEDE2000 over all pairs, in one run.

Run by hand: ``python tests/bench/bench_matching.py``. scikit-image is timed on a random subset of the
colours against the whole palette and scaled linearly with the number of pairs; "all pairs" is this
project's own formula treated in the same way.
"""

import time

import numpy as np
from skimage import data
from skimage.color import deltaE_ciede2000
from skimage.transform import resize

from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import linear_to_lab, srgb_to_lab
from convert.colour.matching import nearest
from convert.colour.srgb import decode

SUBSET_PAIRS = 3_000_000


def seconds(work):
    start = time.perf_counter()
    result = work()
    return time.perf_counter() - start, result


def photo_beads(photo, count):
    side = round(count**0.5)
    small = resize(photo, (side, side), anti_aliasing=True)
    return decode(small.reshape(-1, 3))


def all_pairs(formula, lab, palette, rows):
    chunk = max(1, 40_000 // len(palette))
    picked = [rows[start : start + chunk] for start in range(0, len(rows), chunk)]
    return np.concatenate([formula(lab[part][:, None], palette[None]).argmin(axis=1) for part in picked])


def measure(name, linear, entries, draw):
    lab = linear_to_lab(linear)
    palette = srgb_to_lab(draw.integers(0, 256, (entries, 3), dtype=np.uint8))
    rows = draw.permutation(len(lab))[: SUBSET_PAIRS // entries]
    scale = len(lab) / len(rows)
    pruned, (index, _) = min(
        (seconds(lambda: nearest(lab, palette)) for _ in range(3)), key=lambda run: run[0]
    )
    theirs, reference = seconds(lambda: all_pairs(deltaE_ciede2000, lab, palette, rows))
    own, _ = seconds(lambda: all_pairs(ciede2000, lab, palette, rows))
    distinct = len(np.unique(linear, axis=0))
    same = bool((index[rows] == reference).all())
    print(
        f"{name:9} {len(lab):8} {entries:8} {distinct:9} | {pruned:8.3f} | {theirs * scale:15.2f} |"
        f" {theirs * scale / pruned:5.0f} | {own * scale / pruned:9.0f} | {same}"
    )


def main():
    draw = np.random.default_rng(7)
    print("                                                   all pairs of      ratio to")
    print(
        "picture      beads  palette  distinct | pruned s | scikit-image* s | it    | own pairs | same index"
    )
    for name, photo in [("astronaut", data.astronaut()), ("coffee", data.coffee()), ("noise", None)]:
        for count, entries in [(10_000, 300), (100_000, 300), (1_000_000, 300), (1_000_000, 1500)]:
            noise = photo is None
            linear = decode(draw.random((count, 3))) if noise else photo_beads(photo, count)
            measure(name, linear, entries, draw)
    print(f"* timed on {SUBSET_PAIRS:,} pairs drawn at random and scaled linearly")


if __name__ == "__main__":
    main()
