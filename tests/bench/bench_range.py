"""Tell how near the beads of palettes come to the colours of a screen, of greys and skin, and of photographs.

Run by hand: ``python tests/bench/bench_range.py [PALETTE...]``; without a file it takes the range that ships.
All figures are CIEDE2000 differences to the nearest bead of 11/0. Photographs come with scikit-image, sampled
at every third pixel; of the heron what is not transparent.
"""

import sys
from pathlib import Path

import numpy as np
from PIL import Image
from skimage import data

from convert.colour.lab import srgb_to_lab
from convert.colour.matching import nearest
from convert.palette.lakeside import grid
from convert.palette.palette_file import read_palette
from convert.palette.resources import palette_path

KINDS = ("inside the grid", "its surface", "near-greys", "skin tones")
PHOTOGRAPHS = ("astronaut", "coffee", "chelsea")
HERON = Path(__file__).parents[2] / "sample_images" / "heron.png"


def pictures():
    for name in PHOTOGRAPHS:
        yield name, getattr(data, name)()[::3, ::3].reshape(-1, 3)
    with Image.open(HERON) as picture:
        pixels = np.asarray(picture.convert("RGBA"))[::3, ::3].reshape(-1, 4)
    yield "heron", pixels[pixels[:, 3] > 127, :3]


def told(path):
    palette, _ = read_palette(path)
    beads = palette.labs()[palette.for_size("11/0")]
    print(f"{path.stem}: {len(beads)} colours")
    _, lab, (inside, grey, skin) = grid()
    colours = {name: lab[part] for name, part in zip(KINDS, (inside, ~inside, grey, skin), strict=True)}
    colours |= {name: srgb_to_lab(pixels) for name, pixels in pictures()}
    for name, wanted in colours.items():
        _, off = nearest(wanted, beads)
        print(f"  {name:16} {off.mean():6.2f} on average, {off.max():6.2f} at worst")


if __name__ == "__main__":
    for given in [Path(name) for name in sys.argv[1:]] or [palette_path("lakeside-range")]:
        told(given)
