"""Time ground beside decoding: finding it, telling of it, and measuring the piece that takes its outline.

Run by hand: ``python tests/bench/bench_ground.py [megapixels ...]``. The picture is scikit-image's astronaut,
made larger or laid on plain ground, as JPEG. Processor time, as the decoder has one
thread, and so has the rest.
"""

import io
import sys
import time

import numpy as np
from PIL import Image
from skimage import data

from convert.making.frame import Frame
from convert.making.shapes.silhouette import Silhouette
from convert.picture.ground import ground_note, without_ground
from convert.picture.margins import trimmed
from convert.picture.model import Picture
from convert.picture.reading import read_picture
from convert.weave.beads import bead_size

TIMES = 5


def photograph(megapixels, *, framed):
    side = round((megapixels * 1e6) ** 0.5)
    image = Image.fromarray(data.astronaut())
    if framed:
        inner = round(side * 0.8)
        whole = Image.new("RGB", (side, side), (246, 242, 232))
        whole.paste(image.resize((inner, inner), Image.Resampling.BICUBIC), ((side - inner) // 2,) * 2)
    else:
        whole = image.resize((side, side), Image.Resampling.BICUBIC)
    file = io.BytesIO()
    whole.save(file, "JPEG", quality=90)
    return file.getvalue()


def seconds(work):
    took = []
    for _ in range(TIMES):
        start = time.process_time()
        work()
        took.append(time.process_time() - start)
    return float(np.median(took))


def main():
    size = bead_size("11/0")
    for megapixels in map(float, sys.argv[1:] or ["1", "6", "24"]):
        for name, framed in (("photograph", False), ("on plain ground", True)):
            file = photograph(megapixels, framed=framed)
            picture = read_picture(file)
            cut: Picture = trimmed(without_ground(picture, "auto"))
            decoding = seconds(lambda file=file: read_picture(file))
            steps = {
                "--ground auto": lambda picture=picture: without_ground(picture, "auto"),
                "the note": lambda picture=picture: ground_note(picture),
                "laying out": lambda cut=cut: Silhouette(islands="join").lay_out(Frame((size, size)), cut),
            }
            told = ", ".join(f"{step} {seconds(work) / decoding:.2f}" for step, work in steps.items())
            print(f"{megapixels:g} megapixels, {name}: decoding 1, {told}", flush=True)


if __name__ == "__main__":
    main()
