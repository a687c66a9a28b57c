"""Pictures from arrays, beside scikit-image's conversions, Pillow's files and whole-number arithmetic."""

import itertools

import numpy as np
import pytest
from PIL import Image
from skimage import color, util

from convert.colour.srgb import decode
from convert.errors import PictureError
from convert.picture.arrays import strips
from convert.picture.reading import read_picture
from convert.picture.sampling import polygon_means
from tests.picture.files import encoded, sample

FLOATS = (np.float16, np.float32, np.float64)
ALL_UINT16 = np.arange(65536, dtype=np.uint16).reshape(256, 256)


def grey(values):
    return read_picture(values).pixels[..., 0]


@pytest.mark.parametrize("channels", [1, 2, 3, 4])
def test_bytes_are_as_in_a_file_of_pillow(channels):
    values = sample(channels=channels)
    picture = read_picture(values)
    stored = read_picture(encoded(Image.fromarray(values[..., 0] if channels == 1 else values), "PNG"))
    np.testing.assert_array_equal(picture.pixels, stored.pixels)
    assert (picture.alpha is None) == (channels % 2 == 1)
    if picture.alpha is not None:
        np.testing.assert_array_equal(picture.alpha, stored.alpha)
    assert (picture.name, picture.notes, picture.adjustments) == ("picture", (), ())


def test_grey_may_lack_its_axis():
    values = sample(channels=1)
    np.testing.assert_array_equal(read_picture(values[..., 0]).pixels, color.gray2rgb(values[..., 0]))
    np.testing.assert_array_equal(read_picture(values).pixels, color.gray2rgb(values[..., 0]))


@pytest.mark.parametrize("channels", [2, 4])
def test_opaque_alpha_is_no_alpha(channels):
    values = sample(channels=channels)
    values[..., -1] = 255
    assert read_picture(values).alpha is None
    values[3, 4, -1] = 254
    assert read_picture(values).alpha.min() == 254


def test_sixteen_bits_are_rounded_to_the_nearest():
    value = ALL_UINT16.astype(int)
    # By whole numbers: 65535 = 255 * 257, and 257 is odd, so that there are no halves.
    np.testing.assert_array_equal(grey(ALL_UINT16), (value + 128) // 257)
    np.testing.assert_array_equal(grey(ALL_UINT16), util.img_as_ubyte(util.img_as_float(ALL_UINT16)))
    # scikit-image cuts the lower byte off instead, which is at most one step less.
    assert set(np.unique(grey(ALL_UINT16).astype(int) - util.img_as_ubyte(ALL_UINT16))) == {-1, 0, 1}


def test_sixteen_bits_are_as_in_a_file():
    stored = read_picture(encoded(Image.fromarray(ALL_UINT16), "PNG"))
    np.testing.assert_array_equal(read_picture(ALL_UINT16).pixels, stored.pixels)


def test_what_came_from_eight_bits_comes_back():
    values = sample()
    for deeper in (util.img_as_uint(values), *(util.img_as_float(values).astype(kind) for kind in FLOATS)):
        np.testing.assert_array_equal(read_picture(deeper).pixels, values)


@pytest.mark.parametrize("kind", FLOATS)
def test_floats_are_as_scikit_image_has_them(kind):
    values = np.random.default_rng(2).random((60, 70, 3)).astype(kind)
    # In float64, where each of these times 255 is exact or nearly so.
    np.testing.assert_array_equal(read_picture(values).pixels, util.img_as_ubyte(values.astype(np.float64)))


def test_halves_go_to_the_even():
    # Times 255 these are 0.5, 1.5, 2.5 and 127.5.
    values = np.array([[0.5, 1.5, 2.5, 127.5]]) / 255
    np.testing.assert_array_equal(grey(values), [[0, 2, 2, 128]])


def test_a_mean_in_linear_light_is_off_by_less_than_half_a_step():
    """A mean in linear light is off by no more than half a step of 8 bits is worth there, either way."""
    values = np.random.default_rng(3).integers(0, 65536, (40, 50, 3), dtype=np.uint16)
    whole = np.array([[[0, 0], [50, 0], [50, 40], [0, 40.0]]])
    mean, _ = polygon_means(read_picture(values), whole)
    exact = decode(values / 65535)
    most = np.maximum(
        decode(np.clip(values / 65535 + 0.5 / 255, 0, 1)) - exact,
        exact - decode(np.clip(values / 65535 - 0.5 / 255, 0, 1)),
    )
    apart = np.abs(mean[0] - exact.mean(axis=(0, 1)))
    assert (apart <= most.mean(axis=(0, 1))).all()
    # Roundings go both ways, so that over 2,000 pixels little of that is left.
    assert apart.max() < 1e-4


@pytest.mark.parametrize("shape", [(6, 7), (6, 7, 1), (6, 7, 2), (6, 7, 3), (6, 7, 4)])
def test_true_is_white(shape):
    values = np.random.default_rng(4).random(shape) > 0.5
    np.testing.assert_array_equal(read_picture(values).pixels, read_picture(util.img_as_ubyte(values)).pixels)
    assert set(np.unique(read_picture(values).pixels)) == {0, 255}


@pytest.mark.parametrize("kind", [bool, np.uint8, np.uint16, *FLOATS])
@pytest.mark.parametrize("channels", [2, 4])
def test_opacity_is_scaled_as_colours_are(kind, channels):
    scale = {bool: 1, np.uint8: 255, np.uint16: 65535}.get(kind, 1.0)
    values = np.zeros((1, 2, channels), kind)
    values[0, 1, -1] = scale
    picture = read_picture(values)
    assert picture.alpha.tolist() == [[0, 255]]
    assert (picture.pixels == 0).all()


@pytest.mark.parametrize("channels", [1, 2, 3, 4])
def test_any_layout_in_memory_will_do(channels):
    values = util.img_as_uint(sample(channels=channels))
    wanted = read_picture(values)
    frozen = values.copy()
    frozen.flags.writeable = False
    padded = np.zeros((34, 46, 2 * channels), np.uint16)
    padded[::2, ::2, ::2] = values
    others = {
        "read-only": frozen,
        "high byte first": values.astype(">u2"),
        "columns first": np.asfortranarray(values),
        "every other": padded[::2, ::2, ::2],
        "backwards": values[::-1, ::-1, ::-1].copy()[::-1, ::-1, ::-1],
        "floats, high byte first": util.img_as_float(values).astype(">f8"),
        "memory map": values.view(np.memmap),
    }
    if channels == 1:
        others["matrix"] = values[..., 0].view(np.matrix)
    for layout, other in others.items():
        before = other.copy()
        picture = read_picture(other)
        np.testing.assert_array_equal(picture.pixels, wanted.pixels, err_msg=layout)
        assert (picture.alpha is None) == (wanted.alpha is None), layout
        if wanted.alpha is not None:
            np.testing.assert_array_equal(picture.alpha, wanted.alpha, err_msg=layout)
        np.testing.assert_array_equal(other, before, err_msg=layout)


@pytest.mark.parametrize("channels", [1, 2, 3, 4])
@pytest.mark.parametrize("kind", [np.uint8, np.float64])
def test_the_array_stays_its_owners(kind, channels):
    values = np.ones((4, 5, channels), kind)
    picture = read_picture(values)
    before = picture.pixels.copy()
    assert values.flags.writeable
    assert not picture.pixels.flags.writeable
    values[:] = 0
    np.testing.assert_array_equal(picture.pixels, before)


@pytest.mark.parametrize("rows", [1, 3, 17, 100])
def test_strips_do_not_show(monkeypatch, rows):
    values = util.img_as_float(sample(channels=4))
    whole = read_picture(values)
    monkeypatch.setattr("convert.picture.arrays._STRIP_PIXELS", rows * 23 + 5)
    picture = read_picture(values)
    np.testing.assert_array_equal(picture.pixels, whole.pixels)
    np.testing.assert_array_equal(picture.alpha, whole.alpha)
    monkeypatch.setattr("convert.picture.arrays._STRIP_PIXELS", 1)
    np.testing.assert_array_equal(read_picture(values).pixels, whole.pixels)


KINDS_REFUSED = [
    np.int8, np.int16, np.int32, np.int64, np.uint32, np.uint64, np.longdouble, np.complex64, np.complex128,
    object, "U3", "S3", "V3", "M8[s]", "m8[s]", [("r", "u1"), ("g\n", "u1")],
]  # fmt: skip


@pytest.mark.parametrize("kind", KINDS_REFUSED, ids=str)
def test_types_that_no_picture_has_are_refused(kind):
    with pytest.raises(PictureError, match=r"^an array of .* is no picture$") as refused:
        read_picture(np.zeros((4, 5, 3), kind))
    assert str(refused.value).isprintable()
    assert all(word in refused.value.hint for word in ("uint8", "255", "uint16", "65535", "float64"))


def test_masked_arrays_are_refused():
    with pytest.raises(PictureError, match="masked") as refused:
        read_picture(np.ma.masked_array(sample(), sample() > 9))
    assert "filled" in refused.value.hint


@pytest.mark.parametrize("shape", [(), (5,), (4, 5, 0), (4, 5, 5), (3, 40, 50), (1, 4, 5, 3), (2,) * 9])
def test_shapes_that_no_picture_has_are_refused(shape):
    with pytest.raises(PictureError) as refused:
        read_picture(np.zeros(shape, np.uint8))
    assert str(refused.value) == f"an array of shape {shape} is no picture"
    assert "1 to 4 channels" in refused.value.hint


@pytest.mark.parametrize("shape", [(0, 5), (5, 0), (0, 0), (0, 5, 3), (5, 0, 4)])
def test_arrays_without_pixels_are_refused(shape):
    with pytest.raises(PictureError, match="has no pixels"):
        read_picture(np.zeros(shape))


@pytest.mark.parametrize("kind", FLOATS)
@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf])
@pytest.mark.parametrize("channels", [1, 2, 4])
def test_what_is_no_number_is_refused(kind, value, channels):
    values = np.full((9, 8, channels), 0.5, kind)
    values[8, 7, channels - 1] = value
    with pytest.raises(PictureError, match="the array has pixels that are not numbers"):
        read_picture(values)


@pytest.mark.parametrize(
    ("values", "seen"),
    [
        ([[0, 128, 255.0]], "0 to 255"),
        ([[-0.25, 0.5]], "-0.25 to 0.5"),
        ([[-1, 1.0]], "-1 to 1"),
        ([[0.5, 1.5]], "0.5 to 1.5"),
        ([[0.5, 1 + 2**-52]], "0.5 to 1.0000000000000002"),
    ],
)
def test_the_range_seen_is_told(monkeypatch, values, seen):
    # Also where no strip has all of it.
    monkeypatch.setattr("convert.picture.arrays._STRIP_PIXELS", 1)
    with pytest.raises(PictureError) as refused:
        read_picture(np.array(values).T)
    assert str(refused.value) == f"the array has values from {seen}, outside 0 to 1"
    assert "uint8" in refused.value.hint


def test_a_hair_outside_is_outside():
    for value in (np.nextafter(1, 2), np.nextafter(0, -1)):
        with pytest.raises(PictureError, match="outside 0 to 1"):
            read_picture(np.array([[0.5, value]]))
    assert grey(np.array([[-0.0, 0.0, 1.0]])).tolist() == [[0, 0, 255]]


def test_size_is_limited():
    values = np.zeros((30, 40), np.uint16)
    assert read_picture(values, limit_megapixels=0.0012).pixels.shape == (30, 40, 3)
    with pytest.raises(PictureError, match=r"the array has 40 x 30 = 0\.0012 megapixels") as refused:
        read_picture(values, limit_megapixels=0.00119)
    assert "limit_megapixels" in refused.value.hint
    # Nothing as large as this is looked through.
    with pytest.raises(PictureError, match="megapixels"):
        read_picture(np.broadcast_to(np.float16(7), (10**6, 10**6, 3)))


@pytest.mark.parametrize(
    "shape", [(1, 1), (3000, 2000), (2000, 3000), (7, 1_500_000), (1_000_000, 1), (2, 10)]
)
def test_strips_are_of_about_a_million_pixels(shape):
    rows = list(strips(*shape))
    assert (rows[0].start, rows[-1].stop) == (0, shape[0])
    assert all(one.stop == other.start for one, other in itertools.pairwise(rows))
    heights = [one.stop - one.start for one in rows]
    assert all(height * shape[1] <= 1_000_000 or height == 1 for height in heights)
    assert all((height + 1) * shape[1] > 1_000_000 for height in heights[:-1])
