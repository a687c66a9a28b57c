import numpy as np
import pytest

from convert.making.frame import Frame
from convert.making.over_picture import crop_notes, onto_picture
from convert.making.shapes.silhouette import Silhouette
from convert.picture.model import Picture
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.spacing import model_spacing

SIZE = bead_size("11/0")


@pytest.mark.parametrize("shape_px", [(300, 700), (700, 300), (500, 500)])
@pytest.mark.parametrize("loops", [(4, 9), (9, 4)])
def test_the_piece_covers_as_much_of_the_picture_as_fits_about_its_middle(shape_px, loops):
    full = sheet(np.ones(loops, bool), (SIZE, SIZE), model_spacing(SIZE, SIZE))
    scale, offset = onto_picture(Picture("plain", np.zeros((*shape_px, 3), np.uint8)), full)
    corners = full.cells.reshape(-1, 2) * scale + offset
    low, high = corners.min(axis=0), corners.max(axis=0)
    size = np.array(shape_px[::-1])
    # Within the picture, at its edges along one axis, and as far from both edges along the other.
    assert (low >= -1e-6).all()
    assert (high <= size + 1e-6).all()
    assert np.abs(low).min() < 1e-6
    np.testing.assert_allclose(low, size - high, atol=1e-6)


@pytest.mark.parametrize("direction", ["across", "along"])
def test_beads_lie_as_far_apart_from_left_to_right_as_is_said(direction):
    """Two beads to each loop that one more loop from left to right makes the sheet wider."""
    frame = Frame((SIZE, SIZE))
    fewer, more = (
        sheet(np.ones(shape, bool), (SIZE, SIZE), frame.spacing, direction).extent_mm
        for shape in ([(6, 8), (6, 9)] if direction == "across" else [(8, 6), (9, 6)])
    )
    assert frame.bead_spacing_mm(direction) == pytest.approx((more[2] - more[0] - fewer[2] + fewer[0]) / 2)


@pytest.mark.parametrize(
    ("taller", "told"), [(1.04, []), (1.08, ["7% of the picture lies"]), (0.8, ["20% of"])]
)
def test_more_than_a_twentieth_cropped_is_told(taller, told):
    full = sheet(np.ones((12, 12), bool), (SIZE, SIZE), model_spacing(SIZE, SIZE))
    width, height = np.ptp(full.cells.reshape(-1, 2), axis=0)
    shape_px = round(1000 * height / width * taller), 1000
    notes = crop_notes(Picture("plain", np.zeros((*shape_px, 3), np.uint8)), full)
    assert len(notes) == len(told)
    assert all(note.startswith(words) for note, words in zip(notes, told, strict=True))


def test_a_loop_that_hangs_by_nothing_is_left_out_and_told():
    alpha = np.zeros((400, 600), np.uint8)
    alpha[:, :320] = 255
    speck = Picture("speck", np.full((400, 600, 3), 90, np.uint8), alpha.copy())
    plain = Silhouette(across=12).lay_out(Frame((SIZE, SIZE)), speck)
    assert not any("hung by nothing" in note for note in plain.notes)
    # A patch about one loop far to the right.
    x, y = plain.full.loop_xy[plain.full.loop_xy[:, 0].argsort()[-20]]
    scale, offset = onto_picture(speck, plain.full)
    x, y = np.array([x, y]) * scale + offset
    reach = plain.full.spacing.side_mm * scale * 0.8
    alpha[int(y - reach) : int(y + reach), int(x - reach) : int(x + reach)] = 255
    layout = Silhouette(across=12).lay_out(Frame((SIZE, SIZE)), Picture("speck", speck.pixels, alpha))
    assert "1 single loop that hung by nothing left out" in layout.notes
    np.testing.assert_array_equal(layout.shape.woven, plain.shape.woven)
