import numpy as np
import pytest

from convert.drawing import style
from convert.drawing.contrast import BLACK, WHITE, contrast_ratio, ink_on, relative_luminance

# WCAG 2.1, success criteria 1.4.3 (text) and 1.4.11 (graphics).
TEXT, GRAPHICS = 4.5, 3.0


def test_ratio_runs_from_1_to_21():
    """WCAG 2.1, definition of contrast ratio: "can range from 1 to 21"."""
    assert contrast_ratio(BLACK, WHITE) == pytest.approx(21)
    assert contrast_ratio(WHITE, BLACK) == pytest.approx(21)
    assert contrast_ratio((9, 99, 199), (9, 99, 199)) == 1


def test_luminance_of_primaries_is_their_weight():
    """WCAG 2.1, definition of relative luminance."""
    primaries = [(255, 0, 0), (0, 255, 0), (0, 0, 255)]
    assert [relative_luminance(p) for p in primaries] == pytest.approx([0.2126, 0.7152, 0.0722])


def test_ink_stands_out_on_every_grey_and_on_many_colours():
    greys = [(v, v, v) for v in range(256)]
    colours = np.random.default_rng(3).integers(0, 256, (3000, 3)).tolist()
    least = min(contrast_ratio(ink_on(tuple(c)), tuple(c)) for c in greys + colours)
    assert least >= TEXT


@pytest.mark.parametrize(
    "colour", [style.INK, style.SOFT, style.ACCENT, style.LOOP_COLOUR], ids=["ink", "soft", "accent", "loops"]
)
def test_type_reads_on_white(colour):
    assert contrast_ratio(colour, WHITE) >= TEXT


def test_lines_and_outline_of_a_white_bead_show_on_white():
    assert contrast_ratio(style.LINE, WHITE) >= GRAPHICS
    assert contrast_ratio(style.rim_colour(WHITE), WHITE) >= GRAPHICS
