import numpy as np
import pytest

from convert.drawing.piece import draw_piece
from convert.drawing.size_sheet import DOTS_PER_INCH, WIDTH_MM, SizeCell, lay_out_sizes
from tests.drawing.patterns import pattern


def sheet_of(made, close_up=None):
    return lay_out_sizes("sizes", (), [("", [SizeCell("11/0", made, (), close_up=close_up)])])


def test_a_piece_that_is_very_long_is_drawn_smaller():
    made = pattern(np.ones((700, 1)), colours=2)
    sheet = sheet_of(made)
    assert 0 < sheet.scale < 1
    assert sheet.height_mm < 3 * WIDTH_MM
    assert any(f"at {sheet.scale:.0%} of true size" in label.text for label in sheet.labels)
    # Of the shadow a millimetre of the sheet is seen on each side, however small the piece is drawn.
    left, top, right, bottom = draw_piece(made).extent_mm
    expected = [(length * sheet.scale + 2) * DOTS_PER_INCH / 25.4 for length in (bottom - top, right - left)]
    assert sheet.images[-1][2].shape[:2] == pytest.approx(expected, abs=1)


@pytest.mark.parametrize("side", [0.0, 1e-9, 0.01])
def test_a_close_up_of_less_than_a_bead_shows_the_beads_there(side):
    made = pattern(np.ones((4, 5)))
    x, y = made.weave.bead_xy[10].tolist()
    tiny, bead = (sheet_of(made, (x - d, y - d, x + d, y + d)).images[-1][2] for d in (side / 2, 2.1))
    assert tiny.shape == bead.shape
    np.testing.assert_allclose(tiny.astype(int), bead, atol=1)
