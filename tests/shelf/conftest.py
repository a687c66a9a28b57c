from dataclasses import replace

import numpy as np
import pytest

from convert.drawing.colour_card import place_for_beads_mm
from convert.units import A4
from tests.shelf.photographs import Scene, linear_of_lab, render
from tests.shelf.trial import card_page

DOTS = 3.2
# Lake, reed, heron and grebe: CIELAB under D65, our own.
LABS = np.array(
    [
        (58, -5, -34),
        (62, 4, 34),
        (60, 0, -2),
        (52, 32, 42),
        (30, -2, -8),
        (88, 1, 6),
        (44, -30, 12),
        (74, 14, 66),
    ],
    float,
)


@pytest.fixture
def photographed(colour_science):
    """Render heaps of `LABS` in rows, on paper of 150 x 110 mm or below the card."""

    def photograph(
        rows=2, columns=4, *, card=False, labs=LABS, radius_mm=9.0, size=(150.0, 110.0), **changes
    ):
        page, left, top, right, bottom = None, 4.0, 4.0, size[0] - 4.0, size[1] - 4.0
        if card:
            page = card_page(DOTS)
            size = page.shape[1] / DOTS, page.shape[0] / DOTS
            left, top, right, bottom = place_for_beads_mm(A4)
        places = np.array([(column + 0.5, row + 0.5) for row in range(rows) for column in range(columns)])
        pitch = np.array([(right - left) / columns, (bottom - top) / rows])
        scene = Scene(
            labs=np.resize(np.asarray(labs, float), (len(places), 3)),
            centres_mm=np.array([left, top]) + places * pitch,
            radii_mm=np.full(len(places), radius_mm),
            size_mm=size,
            dots=DOTS,
            page=page,
        )
        return render(colour_science, replace(scene, **changes), np.random.default_rng(5))

    return photograph


@pytest.fixture
def linear(colour_science):
    """Return linear sRGB of CIELAB as colour-science has it."""
    return lambda lab: linear_of_lab(colour_science, lab)
