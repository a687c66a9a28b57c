import numpy as np
import pytest

from convert.errors import PictureError
from convert.picture.model import Picture
from tests.picture.files import sample


def test_it_looks_at_its_arrays_and_leaves_them_writeable():
    pixels, alpha = sample(), sample(channels=1)[..., 0]
    picture = Picture("heron", pixels, alpha)
    assert np.shares_memory(picture.pixels, pixels)
    assert np.shares_memory(picture.alpha, alpha)
    for own, given in ((picture.pixels, pixels), (picture.alpha, alpha)):
        np.testing.assert_array_equal(own, given)
        assert given.flags.writeable
        with pytest.raises(ValueError, match="read-only"):
            own[0, 0] = 0


def test_views_and_read_only_arrays_are_fine():
    pixels = sample()
    pixels.flags.writeable = False
    np.testing.assert_array_equal(Picture("turned", np.rot90(pixels)).pixels, np.rot90(pixels))


@pytest.mark.parametrize(
    "pixels",
    [
        np.zeros((4, 5, 3)),
        np.zeros((4, 5, 3), np.uint16),
        np.zeros((4, 5, 3), bool),
        np.zeros((4, 5, 3), np.int8),
        np.zeros((4, 5), np.uint8),
        np.zeros((4, 5, 4), np.uint8),
        np.zeros((4, 3), np.uint8),
        np.zeros((2, 4, 5, 3), np.uint8),
        np.zeros((0, 5, 3), np.uint8),
        np.zeros((4, 0, 3), np.uint8),
        [[[0, 0, 0]]],
        None,
    ],
    ids=lambda value: f"{getattr(value, 'dtype', value)} {getattr(value, 'shape', '')}",
)
def test_pixels_of_another_kind_are_refused(pixels):
    with pytest.raises(PictureError, match=r"the pixels .* uint8 of shape \(H, W, 3\), not ") as refused:
        Picture("odd", pixels)
    assert str(refused.value).isprintable()
    assert "read_picture" in refused.value.hint


def test_what_was_given_is_told():
    with pytest.raises(PictureError, match=r"not float64 of shape \(4, 5, 3\)$"):
        Picture("odd", np.zeros((4, 5, 3)))
    with pytest.raises(PictureError, match=r"not list$"):
        Picture("odd", [[[0, 0, 0]]])


@pytest.mark.parametrize(
    "alpha",
    [
        np.zeros((17, 23)),
        np.zeros((17, 23), bool),
        np.zeros((23, 17), np.uint8),
        np.zeros((17, 23, 1), np.uint8),
    ],
    ids=lambda alpha: f"{alpha.dtype} {alpha.shape}",
)
def test_opacity_of_another_kind_is_refused(alpha):
    with pytest.raises(PictureError, match=r"the opacity .* uint8 of shape \(17, 23\), not ") as refused:
        Picture("odd", sample(), alpha)
    assert str(refused.value).isprintable()
