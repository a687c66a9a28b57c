"""What ``shelf`` finds in 200 rendered photographs, and what large photographs take.

Goals: every heap found in at least 95% of the photographs; CIEDE2000 from the true colours at most 3 in the
middle and 7 for 95 of 100 with the card, 5 and 10 with white paper alone; photographs of 24 and of 50
megapixels within 512 MiB over the bare interpreter, in a few seconds of the processor.

Run by hand: ``python -m tests.bench.bench_shelf [PHOTOGRAPHS]``, half with the card and half without.
"""

import os
import subprocess
import sys
import tempfile
import warnings
from pathlib import Path

import numpy as np
from PIL import Image

from convert.errors import ConvertError
from tests.shelf.photographs import random_scene, render
from tests.shelf.trial import DOTS, Trial, trial

MEGAPIXELS = (24, 50)


def found(colour_science, count: int, *, card: bool) -> None:
    trials: list[Trial] = []
    for number in range(count):
        try:
            trials.append(trial(colour_science, number, card=card))
        except ConvertError as error:
            print(f"  {number}: {error}")
            trials.append(Trial(False, False, np.empty(0)))
    differences = np.concatenate([one.differences for one in trials])
    missed = [number for number, one in enumerate(trials) if not one.found]
    disordered = [number for number, one in enumerate(trials) if one.found and not one.in_order]
    print(
        f"{'card' if card else 'paper'}: all heaps found in {1 - len(missed) / count:.1%} of {count};"
        f" {len(differences)} heaps off by {np.median(differences):.2f} in the middle,"
        f" {np.percentile(differences, 95):.2f} for 95 of 100, {differences.max():.1f} at most;"
        f" missed {missed}, out of order {disordered}"
    )


def taken(colour_science) -> None:
    def run(code: str, folder: str) -> tuple[float, float]:
        process = subprocess.Popen([sys.executable, "-c", code], cwd=folder)
        _, _, usage = os.wait4(process.pid, 0)
        return usage.ru_maxrss / 1024, usage.ru_utime + usage.ru_stime

    generator = np.random.default_rng(0)
    photograph = Image.fromarray(
        render(colour_science, random_scene(colour_science, generator, DOTS), generator).pixels
    )
    os.environ["PYTHONPATH"] = str(Path(__file__).parents[2])
    with tempfile.TemporaryDirectory() as folder:
        bare, _ = run("pass", folder)
        for megapixels in MEGAPIXELS:
            scale = (megapixels * 1e6 / (photograph.width * photograph.height)) ** 0.5
            size = round(photograph.width * scale), round(photograph.height * scale)
            photograph.resize(size, Image.Resampling.BICUBIC).save(
                Path(folder) / f"{megapixels}.jpg", quality=90
            )
            command = f"import sys; sys.argv = ['combweave', 'shelf', '{megapixels}.jpg', '--quiet']"
            most, seconds = run(f"{command}; from convert.cli.app import main; main()", folder)
            print(f"{megapixels} megapixels: {most - bare:.0f} MiB over the interpreter, {seconds:.1f} s")


def main() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    for card in (True, False):
        found(colour, int(sys.argv[1]) // 2 if len(sys.argv) > 1 else 100, card=card)
    taken(colour)


if __name__ == "__main__":
    main()
