import io
import os
import struct
import zlib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms

from convert.colour.srgb import encode_to_bytes
from convert.errors import PictureError
from convert.picture import LIMIT_MEGAPIXELS, read_picture

LOSSLESS = ("PNG", "TIFF", "BMP", "TGA", "PPM", "PCX", "SGI", "DIB", "QOI", "WEBP", "JPEG2000")


def sample(height=17, width=23, channels=3, seed=0):
    return np.random.default_rng(seed).integers(0, 256, (height, width, channels), dtype=np.uint8)


def encoded(image, kind, **options):
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


@pytest.mark.parametrize("kind", LOSSLESS)
def test_same_picture_in_every_container(kind):
    pixels = sample()
    options = {"lossless": True} if kind == "WEBP" else {"irreversible": False} if kind == "JPEG2000" else {}
    picture = read_picture(encoded(Image.fromarray(pixels), kind, **options))
    np.testing.assert_array_equal(picture.pixels, pixels)
    assert picture.alpha is None
    assert not picture.pixels.flags.writeable


def test_file_is_named_after_its_stem(tmp_path):
    path = tmp_path / "grey heron.v2.png"
    Image.fromarray(sample()).save(path)
    assert read_picture(path).name == "grey heron.v2"


# Exif 2.3, tag 0x0112: how the stored picture is to be turned to be seen upright, in Pillow's terms.
TURNS = {
    1: lambda a: a,
    2: lambda a: a[:, ::-1],
    3: lambda a: a[::-1, ::-1],
    4: lambda a: a[::-1],
    5: lambda a: a.transpose(1, 0, 2),
    6: lambda a: np.rot90(a, -1),
    7: lambda a: a[::-1, ::-1].transpose(1, 0, 2),
    8: lambda a: np.rot90(a, 1),
}


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "WEBP"])
@pytest.mark.parametrize("orientation", TURNS)
def test_every_orientation_once(kind, orientation):
    pixels = sample()
    exif = Image.Exif()
    exif[0x0112] = orientation
    options = {"lossless": True} if kind == "WEBP" else {}
    data = encoded(Image.fromarray(pixels), kind, exif=exif, **options)
    np.testing.assert_array_equal(read_picture(data).pixels, TURNS[orientation](pixels))


@pytest.mark.parametrize("orientation", [0, 9, 77])
def test_orientation_that_means_nothing(orientation):
    exif = Image.Exif()
    exif[0x0112] = orientation
    pixels = sample()
    np.testing.assert_array_equal(
        read_picture(encoded(Image.fromarray(pixels), "PNG", exif=exif)).pixels, pixels
    )


def test_sixteen_bit_grey_is_scaled_and_not_clipped():
    grey = sample(channels=1)[..., 0]
    deep = encoded(Image.fromarray(grey.astype(np.uint16) * 257), "PNG")
    flat = read_picture(encoded(Image.fromarray(grey), "PNG"))
    np.testing.assert_array_equal(read_picture(deep).pixels, flat.pixels)
    for order in ("<", ">"):
        tiff = encoded(
            Image.frombytes(
                "I;16" if order == "<" else "I;16B", (23, 17), (grey.astype(order + "u2") * 257).tobytes()
            ),
            "TIFF",
        )
        np.testing.assert_array_equal(read_picture(tiff).pixels, flat.pixels)


def test_bilevel_is_black_and_white():
    bits = sample(channels=1)[..., 0] > 127
    picture = read_picture(encoded(Image.fromarray(bits), "PNG"))
    np.testing.assert_array_equal(picture.pixels, np.repeat(np.where(bits, 255, 0)[..., None], 3, axis=2))


def test_palette_with_transparent_entry_is_as_rgba():
    index = sample(channels=1)[..., 0] % 4
    image = Image.frombytes("P", (23, 17), index.tobytes())
    image.putpalette([250, 0, 0, 0, 250, 0, 0, 0, 250, 9, 9, 9])
    picture = read_picture(encoded(image, "PNG", transparency=2))
    rgba = read_picture(encoded(image.convert("RGBA"), "PNG"))
    np.testing.assert_array_equal(picture.alpha, np.where(index == 2, 0, 255))
    opaque = index != 2
    np.testing.assert_array_equal(picture.pixels[opaque], rgba.pixels[opaque])


@pytest.mark.parametrize("mode", ["RGBA", "LA", "PA"])
def test_alpha_is_kept(mode):
    rgba = sample(channels=4)
    image = Image.fromarray(rgba).convert(mode)
    kind = "TIFF" if mode == "PA" else "PNG"
    picture = read_picture(encoded(image, kind) if mode != "PA" else encoded(image.convert("RGBA"), kind))
    np.testing.assert_array_equal(picture.alpha, rgba[..., 3])


def test_opaque_alpha_is_no_alpha():
    rgba = sample(channels=4)
    rgba[..., 3] = 255
    assert read_picture(encoded(Image.fromarray(rgba), "PNG")).alpha is None


def test_cmyk_is_shown_in_rgb():
    image = Image.frombytes("CMYK", (23, 17), sample(channels=4).tobytes())
    picture = read_picture(encoded(image, "TIFF"))
    np.testing.assert_array_equal(picture.pixels, np.asarray(image.convert("RGB")))


def matrix_profile(primaries, gamma):
    """Build a display profile (ICC.1:2001-04, matrix and gamma) from XYZ (D50) of red, green and blue."""

    def fixed(*values):
        return b"".join(struct.pack(">i", round(value * 65536)) for value in values)

    def tag(kind, body):
        return kind + bytes(4) + body

    curve = tag(b"curv", struct.pack(">IH", 1, round(gamma * 256)))
    text = tag(b"text", b"test\0")
    tags = {b"wtpt": tag(b"XYZ ", fixed(0.9642, 1.0, 0.8249)), b"cprt": text}
    tags[b"desc"] = tag(b"desc", struct.pack(">I", 5) + b"test\0" + bytes(78))
    for name, xyz in zip("rgb", primaries, strict=True):
        tags[name.encode() + b"XYZ"] = tag(b"XYZ ", fixed(*xyz))
        tags[name.encode() + b"TRC"] = curve
    table, data = b"", b""
    start = 128 + 4 + 12 * len(tags)
    for name, body in tags.items():
        body += bytes(-len(body) % 4)
        table += struct.pack(">4sII", name, start + len(data), len(body))
        data += body
    size = start + len(data)
    header = struct.pack(">I4sI4s4s4s", size, b"none", 0x02400000, b"mntr", b"RGB ", b"XYZ ")
    header += bytes(12) + b"acsp" + bytes(28) + fixed(0.9642, 1.0, 0.8249)
    return header.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + data


# sRGB primaries adapted to D50 by Bradford, as in the sRGB profile of the ICC (from memory, 4 digits).
RED, GREEN, BLUE = (0.4361, 0.2225, 0.0139), (0.3851, 0.7169, 0.0971), (0.1431, 0.0606, 0.7141)


def test_colour_profile_is_honoured():
    pixels = sample()
    # A screen whose red is sRGB blue and whose light is linear: channels swap, values follow IEC 61966-2-1.
    profile = matrix_profile((BLUE, GREEN, RED), 1.0)
    picture = read_picture(encoded(Image.fromarray(pixels), "PNG", icc_profile=profile))
    expected = encode_to_bytes(pixels[..., ::-1] / 255)
    assert np.abs(picture.pixels.astype(int) - expected).max() <= 3
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    same = read_picture(encoded(Image.fromarray(pixels), "PNG", icc_profile=srgb))
    assert np.abs(same.pixels.astype(int) - pixels).max() <= 1


def test_unusable_profile_is_a_note():
    picture = read_picture(encoded(Image.fromarray(sample()), "PNG", icc_profile=b"not a profile"))
    np.testing.assert_array_equal(picture.pixels, sample())
    assert "profile" in picture.notes[0]


def test_first_of_several_pictures():
    first, second = (Image.fromarray(sample(seed=seed)) for seed in (1, 2))
    data = encoded(first, "PNG", save_all=True, append_images=[second])
    picture = read_picture(data)
    np.testing.assert_array_equal(picture.pixels, np.asarray(first))
    assert "first" in picture.notes[0]


def test_float_tiff_is_zero_to_one():
    values = np.linspace(0, 1, 12, dtype=np.float32).reshape(3, 4)
    picture = read_picture(encoded(Image.fromarray(values), "TIFF"))
    np.testing.assert_array_equal(picture.pixels[..., 0], np.rint(values * 255))
    for bad in (np.nan, np.inf, 7.0):
        values[1, 1] = bad
        with pytest.raises(PictureError):
            read_picture(encoded(Image.fromarray(values), "TIFF"))


@pytest.mark.parametrize("size", [(1, 1), (1, 300), (300, 1)])
def test_tiny_and_thin(size):
    assert read_picture(encoded(Image.new("RGB", size, (1, 2, 3)), "PNG")).pixels.shape == (
        size[1],
        size[0],
        3,
    )


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "GIF", "TIFF", "WEBP", "BMP"])
def test_cut_short_is_refused(kind):
    data = encoded(Image.fromarray(sample(200, 200)), kind)
    for share in (0.3, 0.7):
        with pytest.raises(PictureError):
            read_picture(data[: int(len(data) * share)])


def png_header(width, height):
    body = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)

    def chunk(name, data):
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", body) + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("size", [(10_000, 9_000), (40_000, 40_000), (2**31 - 1, 2**31 - 1)])
def test_too_large_is_refused_before_it_is_decoded(size):
    with pytest.raises(PictureError, match="megapixels"):
        read_picture(png_header(*size))


def test_limit_can_be_raised():
    data = encoded(Image.new("RGB", (100, 100)), "PNG")
    with pytest.raises(PictureError, match=r"0\.0 megapixels|0\.01") as fault:
        read_picture(data, limit_megapixels=0.001)
    assert "--max-megapixels" in fault.value.hint
    assert read_picture(data, limit_megapixels=LIMIT_MEGAPIXELS).pixels.shape == (100, 100, 3)


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
