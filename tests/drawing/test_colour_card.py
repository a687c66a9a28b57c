"""The card as a printer gets it: true size, patches in their values, marks where they are looked for."""

import numpy as np
import pypdfium2 as pdfium
import pytest

from convert.drawing.colour_card import RULER_MM, place_for_beads_mm, write_card
from convert.shelf.card import MARK_MM, PATCHES, SPAN_MM
from convert.units import PAPERS

DOTS = 300 / 25.4


@pytest.fixture(scope="module", params=PAPERS.values(), ids=PAPERS)
def card(request):
    """Return the paper and the pixels of the card at 300 dots an inch."""
    with pdfium.PdfDocument(write_card(request.param)) as document:
        assert len(document) == 1
        page = document[0]
        assert page.get_size() == pytest.approx(
            (request.param.width_mm / 25.4 * 72, request.param.height_mm / 25.4 * 72), abs=0.01
        )
        return request.param, np.asarray(page.render(scale=300 / 72).to_pil().convert("RGB")).copy()


def at(pixels, x_mm, y_mm):
    return pixels[round(y_mm * DOTS), round(x_mm * DOTS)]


def origin_mm(paper):
    return (paper.width_mm - SPAN_MM[0]) / 2, 12.0 + MARK_MM / 2


def test_patches_have_their_values(card):
    paper, pixels = card
    left, top = origin_mm(paper)
    for patch in PATCHES:
        for shift in (-4.0, 0.0, 4.0):
            shown = at(pixels, left + patch.x_mm + shift, top + patch.y_mm + shift)
            assert np.abs(shown.astype(int) - list(bytes.fromhex(patch.hex[1:]))).max() <= 1


def test_marks_are_nested_squares_at_the_corners(card):
    paper, pixels = card
    left, top = origin_mm(paper)
    for x, y in ((0, 0), (SPAN_MM[0], 0), (0, SPAN_MM[1]), SPAN_MM):
        levels = [
            int(at(pixels, left + x + shift, top + y)[0]) for shift in (0.0, 1.9, 2.4, 3.3, 3.9, 4.8, 5.3)
        ]
        assert levels == [0, 0, 255, 255, 0, 0, 255]


def test_ruler_is_of_true_length(card):
    paper, pixels = card
    _, top = origin_mm(paper)
    y = round((top + SPAN_MM[1] - 2.7) * DOTS)
    dark = np.flatnonzero(pixels[y, :, 0] < 140) / DOTS
    middle = paper.width_mm / 2
    ticks = dark[np.abs(dark - middle) < RULER_MM / 2 + 1]
    assert np.ptp(ticks) == pytest.approx(RULER_MM, abs=0.3)


def test_values_stand_beside_the_patches(card):
    paper, _ = card
    with pdfium.PdfDocument(write_card(paper)) as document:
        words = document[0].get_textpage().get_text_range()
    for patch in PATCHES:
        assert patch.code in words
        assert patch.hex in words
        assert " ".join(map(str, patch.lab)) in words


def test_place_for_beads_is_empty(card):
    paper, pixels = card
    left, top, right, bottom = place_for_beads_mm(paper)
    assert bottom - top > 120
    inside = pixels[
        round((top + 1) * DOTS) : round((bottom - 1) * DOTS),
        round((left + 1) * DOTS) : round((right - 1) * DOTS),
    ]
    assert inside.min() == 255
