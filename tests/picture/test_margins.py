import numpy as np
import pytest

from convert.picture.margins import shaped, trimmed
from convert.picture.model import Picture
from convert.picture.part import Part


def picture_of(alpha):
    pixels = np.random.default_rng(3).integers(0, 256, (*alpha.shape, 3), dtype=np.uint8)
    return Picture("it", pixels, alpha)


def block(shape, rows, columns):
    alpha = np.zeros(shape, np.uint8)
    alpha[slice(*rows), slice(*columns)] = 255
    return alpha


def test_margins_are_cut_and_what_is_left_looks_at_the_same_pixels():
    picture = picture_of(block((40, 60), (10, 30), (6, 54)))
    cut = trimmed(picture)
    np.testing.assert_array_equal(cut.pixels, picture.pixels[10:30, 6:54])
    assert np.shares_memory(cut.pixels, picture.pixels)
    assert (cut.alpha == 255).all()
    assert cut.kept == pytest.approx((0.1, 0.25, 0.8, 0.5))
    again = trimmed(cut)
    assert again is cut


def test_faint_and_opaque_margins():
    faint = block((40, 60), (10, 30), (6, 54))
    faint[faint == 0] = 127
    assert trimmed(picture_of(faint)).alpha.shape == (20, 48)
    opaque = Picture("opaque", np.zeros((4, 5, 3), np.uint8))
    assert trimmed(opaque) is opaque
    assert shaped(opaque, 2.0) is opaque
    nothing = picture_of(np.zeros((4, 5), np.uint8))
    assert trimmed(nothing) is nothing


@pytest.mark.parametrize("aspect", [0.5, 1.0, 1.7, 3.0])
def test_every_side_of_a_shape_is_touched(aspect):
    y, x = np.mgrid[:200, :300]
    ellipse = (((x - 150) / 120) ** 2 + ((y - 90) / 60) ** 2 < 1).astype(np.uint8) * 255
    cut = shaped(picture_of(ellipse), aspect)
    height, width = cut.alpha.shape
    assert width / height == pytest.approx(aspect, rel=0.05)
    for side in (cut.alpha[0], cut.alpha[-1], cut.alpha[:, 0], cut.alpha[:, -1]):
        assert side.max() == 255
    left, top, wide, high = cut.kept
    np.testing.assert_array_equal(
        cut.alpha, ellipse[round(top * 200) :, round(left * 300) :][:height, :width]
    )
    assert (wide * 300, high * 200) == pytest.approx((width, height))


def test_what_a_shape_crops_is_told():
    picture = picture_of(block((100, 100), (0, 100), (0, 100)))
    (note,) = shaped(picture, 2.0).notes
    assert note == "50% of the drawing lies outside the piece and is cropped"
    assert shaped(picture, 1.03).notes == ()


def test_a_part_is_told_in_fractions_of_what_is_left():
    kept = Part(0.1, 0.25, 0.8, 0.5)
    inside = Part(0.3, 0.5, 0.2, 0.125).within(kept, "--detail")
    assert (inside.left, inside.top, inside.width, inside.height) == pytest.approx((0.25, 0.5, 0.25, 0.25))
    over = Part(0.0, 0.0, 0.5, 0.5).within(kept, "--detail")
    assert (over.left, over.top, over.width, over.height) == pytest.approx((0, 0, 0.5, 0.5))
    whole = Part(0.0, 0.0, 1.0, 1.0)
    assert whole.within(kept, "--detail") is whole
    assert inside.within(whole, "--detail") is inside


def test_a_part_of_ground_alone_is_refused():
    with pytest.raises(Exception, match=r"--detail: the part 0,0,0\.1,0\.1 shows nothing but ground"):
        Part(0.0, 0.0, 0.1, 0.1).within(Part(0.5, 0.5, 0.5, 0.5), "--detail")
