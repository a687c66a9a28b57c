import io

import numpy as np
import pytest
from PIL import Image

from convert.drawing.shelf_photograph import draw_shelf
from convert.palette.model import BeadColour
from convert.shelf.light import by_paper
from convert.shelf.shelf import Shelf

COLOURS = ("#3C7358", "#F1B03D", "#1D2023", "#E5A8BB")


def shelf(rows=(2, 2)):
    """Return a shelf of discs on a photograph of 400 x 300 pixels."""
    light = np.full((300, 400, 3), 0.8, np.float32)
    angle = np.linspace(0, 2 * np.pi, 72, endpoint=False)
    circle = 45 * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    entries, outlines = [], []
    for number in range(sum(rows)):
        entries.append(BeadColour(f"A{number}", "reed", "11/0", COLOURS[number % 4], (50.0, 0.0, 0.0)))
        outlines.append(circle + np.array([100 + 200 * (number % 2), 80 + 140 * (number // 2 % 2)]))
    spreads = tuple(2.0 for _ in entries)
    return Shelf("tray", tuple(entries), spreads, rows, outlines, light, by_paper(), ("A note.",))


def drawn(one):
    with Image.open(io.BytesIO(draw_shelf(one))) as image:
        return np.asarray(image.convert("RGB")).astype(int)


def test_every_swatch_is_shown_in_the_photograph_and_in_the_list():
    pixels = drawn(shelf())
    for colour in COLOURS:
        same = (pixels == list(bytes.fromhex(colour[1:]))).all(axis=2)
        rows = np.flatnonzero(same.any(axis=1))
        # Once beside its heap, and once below the photograph.
        assert (np.diff(rows) > 20).sum() == 1
        assert same.sum() > 2000


def test_heaps_are_outlined():
    pixels = drawn(shelf())
    middle = pixels[pixels.shape[0] // 4]
    assert (middle.max(axis=1) < 40).sum() >= 4


@pytest.mark.parametrize("rows", [(1,), (3, 1), (20,)])
def test_any_number_of_heaps_has_room(rows):
    assert drawn(shelf(rows)).shape[1] == pytest.approx(280 / 25.4 * 160, abs=1)
