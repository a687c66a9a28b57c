"""Makes the sample ``sample_images/lakeside-tray.jpg``: the workshop's shelf, in heaps below the card.

Run by hand: ``python -m tests.shelf.sample_tray``.
"""

import warnings
from pathlib import Path

import numpy as np

from convert.drawing.colour_card import place_for_beads_mm
from convert.palette.palette_file import read_palette
from convert.palette.resources import palette_path
from convert.units import A4
from tests.shelf.photographs import Scene, render
from tests.shelf.trial import DOTS, card_page

SAMPLE = Path(__file__).parents[2] / "sample_images" / "lakeside-tray.jpg"
ROWS, COLUMNS = 5, 8
SIZE = "11/0"
TABLE_MM = 8.0


def colours():
    """Return the beads of the sample in reading order."""
    shelf, _ = read_palette(palette_path("workshop-shelf"))
    return [shelf.entries[entry] for entry in shelf.for_size(SIZE)]


def tray():
    """Return the scene of the sample."""
    left, top, right, bottom = (place + TABLE_MM for place in place_for_beads_mm(A4))
    pitch = np.array([(right - left) / COLUMNS, (bottom - top) / ROWS])
    places = np.array([(column + 0.5, row + 0.5) for row in range(ROWS) for column in range(COLUMNS)])
    page = card_page()
    generator = np.random.default_rng(11)
    return Scene(
        labs=np.array([entry.lab for entry in colours()]),
        centres_mm=np.array([left, top]) + (places + generator.uniform(-0.05, 0.05, places.shape)) * pitch,
        radii_mm=8.2 * generator.uniform(0.88, 1.06, len(places)),
        size_mm=(page.shape[1] / DOTS + 2 * TABLE_MM, page.shape[0] / DOTS + 2 * TABLE_MM),
        dots=DOTS,
        page=page,
        tilt=1.8,
        illuminant="D50",
        balanced=0.5,
        exposure=0.8,
        gradient=(-0.08, 0.05),
        quality=84,
        table_mm=TABLE_MM,
        paper=(0.88, 0.87, 0.86),
    )


def main() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    SAMPLE.write_bytes(render(colour, tray(), np.random.default_rng(12)).jpeg)


if __name__ == "__main__":
    main()
