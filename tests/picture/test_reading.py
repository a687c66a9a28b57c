import io
import os
import struct
import zlib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from convert.errors import PictureError
from convert.picture.reading import FORMATS, LIMIT_MEGAPIXELS, read_picture
from tests.picture.files import (
    BLUE,
    GREEN,
    RED,
    encoded,
    gamma_curve,
    matrix_profile,
    png,
    png_header,
    psd,
    psd_resource,
    sample,
)

LOSSLESS = ("PNG", "TIFF", "BMP", "TGA", "PPM", "PCX", "SGI", "DIB", "QOI", "WEBP", "JPEG2000")


@pytest.mark.parametrize("kind", LOSSLESS)
def test_same_picture_in_every_container(kind):
    pixels = sample()
    options = {"lossless": True} if kind == "WEBP" else {"irreversible": False} if kind == "JPEG2000" else {}
    picture = read_picture(encoded(Image.fromarray(pixels), kind, **options))
    np.testing.assert_array_equal(picture.pixels, pixels)
    assert picture.alpha is None
    assert not picture.pixels.flags.writeable


def test_layers_laid_together():
    pixels = sample()
    np.testing.assert_array_equal(read_picture(psd(pixels)).pixels, pixels)
    picture = read_picture(psd(np.dstack([pixels, sample(channels=1, seed=3)])))
    np.testing.assert_array_equal(picture.pixels, pixels)
    np.testing.assert_array_equal(picture.alpha, sample(channels=1, seed=3)[..., 0])


def test_the_profile_of_layers_laid_together():
    # Adobe's file format specification: resource 1039 is the profile. Here red and green change places.
    profile = matrix_profile((GREEN, RED, BLUE), gamma_curve(2.2))
    picture = read_picture(psd(sample(), psd_resource(1039, profile)))
    assert np.abs(picture.pixels.astype(int) - sample()[..., [1, 0, 2]]).mean() < 4


def test_file_is_named_after_its_stem(tmp_path):
    path = tmp_path / "grey heron.v2.png"
    Image.fromarray(sample()).save(path)
    assert read_picture(path).name == "grey heron.v2"
    assert read_picture(str(path)).name == "grey heron.v2"


def test_a_picture_is_named_by_the_caller_or_plainly(tmp_path):
    image = Image.fromarray(sample())
    data = encoded(image, "PNG")
    path = tmp_path / "heron.png"
    path.write_bytes(data)
    for source in (data, image, sample()):
        assert read_picture(source).name == "picture"
    for source in (data, image, sample(), path, str(path)):
        picture = read_picture(source, name="grebe\n<dusk>")
        assert picture.name == r"grebe\n<dusk>"
        np.testing.assert_array_equal(picture.pixels, sample())
    with pytest.raises(PictureError, match=r"^grebe is no picture"):
        read_picture(b"no picture", name="grebe")
    with pytest.raises(PictureError, match=r"^the picture on standard input is no picture"):
        read_picture(b"no picture")


@pytest.mark.parametrize(
    "source", [None, 7, [[0, 1]], bytearray(b"GIF"), io.BytesIO(b"GIF")], ids=lambda one: type(one).__name__
)
def test_sources_of_other_kinds_are_refused(source):
    with pytest.raises(PictureError, match=f"not from {type(source).__name__}$") as refused:
        read_picture(source)
    assert str(refused.value).isprintable()
    assert refused.value.hint


@pytest.mark.parametrize("size", [(1, 1), (1, 300), (300, 1)])
def test_tiny_and_thin(size):
    assert read_picture(encoded(Image.new("RGB", size, (1, 2, 3)), "PNG")).pixels.shape == (
        size[1],
        size[0],
        3,
    )


@pytest.mark.parametrize("kind", FORMATS)
def test_cut_short_is_never_half_used(kind):
    image = Image.fromarray(np.kron(sample(16, 16), np.ones((4, 4, 1), np.uint8)))
    if kind == "PSD":
        data = psd(np.asarray(image))
    else:
        data = encoded(image.quantize() if kind == "GIF" else image, kind)
    whole = read_picture(data)
    refused = 0
    for length in {int(len(data) * share) for share in np.linspace(0.02, 0.99, 30)}:
        try:
            picture = read_picture(data[:length])
        except PictureError:
            refused += 1
        else:
            np.testing.assert_array_equal(picture.pixels, whole.pixels)
    assert refused > 10


@pytest.mark.parametrize("size", [(10_000, 9_000), (40_000, 40_000), (2**31 - 1, 2**31 - 1)])
def test_too_large_is_refused_before_it_is_decoded(size):
    with pytest.raises(PictureError, match=r"[1-9].* megapixels, more than the limit of 89\.48") as fault:
        read_picture(png_header(*size))
    assert "--max-megapixels" in fault.value.hint


def test_too_large_in_other_containers():
    inner = png_header(40_000, 40_000)
    icon = b"\0\0\1\0\1\0" + struct.pack("<BBBBHHII", 0, 0, 0, 0, 1, 32, len(inner), 22) + inner
    bitmap = b"BM" + struct.pack(
        "<IHHIIiiHHIIiiII", 60, 0, 0, 54, 40, 70_000, 70_000, 1, 24, 0, 0, 0, 0, 0, 0
    )
    for data, megapixels in ((icon, "1,600"), (bitmap, "4,900")):
        with pytest.raises(PictureError, match=f"{megapixels}.0 megapixels"):
            read_picture(data)


def test_text_that_swells_is_refused():
    swollen = b"a\0\0" + zlib.compress(bytes(50_000_000))
    for name in (b"zTXt", b"iCCP"):
        with pytest.raises(PictureError):
            read_picture(png(1, 1, 8, 2, b"abc", (name, swollen)))


def test_limit_can_be_raised():
    data = encoded(Image.new("RGB", (100, 100)), "PNG")
    with pytest.raises(PictureError, match=r"0\.0 megapixels|0\.01") as fault:
        read_picture(data, limit_megapixels=0.001)
    assert "--max-megapixels" in fault.value.hint
    assert read_picture(data, limit_megapixels=LIMIT_MEGAPIXELS).pixels.shape == (100, 100, 3)


def test_limit_can_be_raised_above_that_of_pillow():
    before = Image.MAX_IMAGE_PIXELS
    with pytest.raises(PictureError, match="cut short"):
        read_picture(png_header(20_000, 20_000), limit_megapixels=500)
    assert before == Image.MAX_IMAGE_PIXELS


@pytest.mark.parametrize("limit", [0, -1, np.nan, np.inf])
def test_limit_that_is_none(limit):
    with pytest.raises(PictureError, match="cannot be limited"):
        read_picture(encoded(Image.new("RGB", (2, 2)), "PNG"), limit_megapixels=limit)
    with pytest.raises(PictureError, match="cannot be limited"):
        read_picture(sample(), limit_megapixels=limit)


@pytest.mark.parametrize("kind", ["EPS", "PDF"])
def test_formats_for_other_programs_are_refused(kind):
    with pytest.raises(PictureError, match="no picture that can be read"):
        read_picture(encoded(Image.fromarray(sample()), kind))


@pytest.mark.parametrize(
    "data", [b"", b"hello", b"%PDF-1.4\n", b"%!PS-Adobe-3.0 EPSF-3.0\n", b"\xd7\xcd\xc6\x9a" + bytes(40)]
)
def test_what_is_no_picture(data):
    with pytest.raises(PictureError):
        read_picture(data)


def test_only_regular_files(tmp_path):
    missing = tmp_path / "missing.png"
    link = tmp_path / "link.png"
    link.symlink_to(missing)
    loop = tmp_path / "loop.png"
    loop.symlink_to(loop)
    pipe = tmp_path / "pipe.png"
    os.mkfifo(pipe)
    for path in (missing, link, loop, pipe, tmp_path, tmp_path / "a\nb.png", tmp_path / "x.png\0"):
        with pytest.raises(PictureError) as fault:
            read_picture(path)
        assert str(fault.value).isprintable()


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.integers(0, 4), st.lists(st.tuples(st.floats(0, 1), st.integers(0, 255)), min_size=1, max_size=8))
def test_damaged_bytes_give_a_picture_or_a_clear_error(kind, changes):
    data = bytearray(encoded(Image.fromarray(sample(12, 9)), ("PNG", "JPEG", "GIF", "TIFF", "WEBP")[kind]))
    for place, value in changes:
        data[int(place * (len(data) - 1))] = value
    try:
        picture = read_picture(bytes(data))
    except PictureError as fault:
        assert str(fault).isprintable()
    else:
        assert picture.pixels.dtype == np.uint8
