"""Makes the sample ``sample_images/heron-on-paper.jpg``: the heron on pale blue paper in falling light.

Run by hand: ``python -m tests.picture.sample_paper``.
"""

from pathlib import Path

import numpy as np
from PIL import Image

from tests.picture.scans import Scan, seen

SAMPLES = Path(__file__).parents[2] / "sample_images"
SAMPLE = SAMPLES / "heron-on-paper.jpg"
PAGE = Scan(paper=(206, 220, 230), fall=0.35, tilt=0.12, shadow=0.15, noise=3.0)
MARGIN_PX = 90
QUALITY = 86


def drawing():
    """The heron with more paper about it, RGBA."""
    heron = np.asarray(Image.open(SAMPLES / "heron.png").convert("RGBA"))
    return np.pad(heron, ((MARGIN_PX, MARGIN_PX), (MARGIN_PX, MARGIN_PX), (0, 0)))


def main() -> None:
    Image.fromarray(seen(drawing(), PAGE, 4)).save(SAMPLE, quality=QUALITY)


if __name__ == "__main__":
    main()
