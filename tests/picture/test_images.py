"""What Pillow decodes: turned upright, taken to sRGB and to eight bits."""

import io
import struct

import numpy as np
import pytest
from PIL import Image, ImageCms

from convert.colour.srgb import decode, encode_to_bytes
from convert.errors import PictureError
from convert.picture.reading import read_picture
from tests.picture.files import (
    BLUE,
    GREEN,
    RED,
    encoded,
    gamma_curve,
    icc_profile,
    ink_profile,
    matrix_profile,
    png,
    sample,
    tiff,
)

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


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "WEBP", "JPEG", "AVIF"])
@pytest.mark.parametrize("orientation", TURNS)
def test_every_orientation_once(kind, orientation):
    exif = Image.Exif()
    exif[0x0112] = orientation
    options = {"lossless": True} if kind == "WEBP" else {}
    image = Image.fromarray(sample())
    upright = read_picture(encoded(image, kind, **options)).pixels
    picture = read_picture(encoded(image, kind, exif=exif, **options))
    np.testing.assert_array_equal(picture.pixels, TURNS[orientation](upright))


@pytest.mark.parametrize(
    ("exif", "told"),
    [(b"Exif\0\0garbage", True), (bytes(50), True), (b"Exif\0\0II*\0\xff\xff\xff\xff", False)],
    ids=["no header", "zeros", "offset outside"],
)
def test_exif_that_cannot_be_read(exif, told):
    picture = read_picture(encoded(Image.fromarray(sample()), "PNG", exif=exif), name="heron")
    np.testing.assert_array_equal(picture.pixels, sample())
    note = "the EXIF data of heron cannot be read; check that the picture is upright"
    # An offset outside leads to no tags, which is nothing to tell.
    assert picture.notes == ((note,) if told else ())


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


@pytest.mark.parametrize("bits", [8, 16])
def test_white_may_be_zero(bits):
    grey = sample(channels=1)[..., 0]
    values = grey.astype(np.uint16) * (257 if bits == 16 else 1)
    for photometric, expected in ((1, grey), (0, 255 - grey)):
        picture = read_picture(tiff(values, bits, photometric))
        np.testing.assert_array_equal(picture.pixels, np.repeat(expected[..., None], 3, axis=2))


def test_twelve_bit_grey():
    values = np.array([[0, 4095, 2048, 256]])
    packed = b"".join((a << 12 | b).to_bytes(3, "big") for a, b in values.reshape(-1, 2).tolist())
    picture = read_picture(tiff(values, 12, 1, packed))
    np.testing.assert_array_equal(picture.pixels[..., 0], np.rint(values * (255 / 4095)))


def test_sixteen_bit_grey_with_a_transparent_value():
    values = np.array([[0, 257, 65535, 1000]], ">u2")
    data = png(4, 1, 16, 0, values.tobytes(), (b"tRNS", struct.pack(">H", 257)))
    picture = read_picture(data)
    np.testing.assert_array_equal(picture.pixels[0, :, 0], [0, 1, 255, 4])
    np.testing.assert_array_equal(picture.alpha, [[255, 0, 255, 255]])


def test_grey_beyond_sixteen_bits_is_refused():
    with pytest.raises(PictureError, match="outside 0 to 65535"):
        read_picture(encoded(Image.fromarray(np.array([[0, 70_000]], np.int32)), "TIFF"))


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


@pytest.mark.parametrize(("mode", "kind"), [("RGBA", "PNG"), ("LA", "PNG"), ("PA", "TIFF"), ("RGBA", "TIFF")])
def test_alpha_is_kept(mode, kind):
    image = Image.fromarray(sample(channels=4)).convert(mode)
    picture = read_picture(encoded(image, kind))
    np.testing.assert_array_equal(
        np.dstack([picture.pixels, picture.alpha]), np.asarray(image.convert("RGBA"))
    )


def test_opaque_alpha_is_no_alpha():
    rgba = sample(channels=4)
    rgba[..., 3] = 255
    assert read_picture(encoded(Image.fromarray(rgba), "PNG")).alpha is None


def test_cmyk_is_shown_in_rgb():
    image = Image.frombytes("CMYK", (23, 17), sample(channels=4).tobytes())
    picture = read_picture(encoded(image, "TIFF"))
    np.testing.assert_array_equal(picture.pixels, np.asarray(image.convert("RGB")))


def test_colour_profile_is_honoured():
    pixels = sample()
    # A screen whose red is sRGB blue and whose light is linear: channels swap, values follow IEC 61966-2-1.
    profile = matrix_profile((BLUE, GREEN, RED), gamma_curve(1.0))
    picture = read_picture(encoded(Image.fromarray(pixels), "PNG", icc_profile=profile))
    expected = encode_to_bytes(pixels[..., ::-1] / 255)
    assert np.abs(picture.pixels.astype(int) - expected).max() <= 3
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    same = read_picture(encoded(Image.fromarray(pixels), "PNG", icc_profile=srgb))
    np.testing.assert_array_equal(same.pixels, pixels)


def test_profile_of_srgb_by_another_maker_changes_nothing():
    table = np.rint(decode(np.arange(1024) / 1023) * 65535).astype(">u2")
    curve = b"curv\0\0\0\0" + struct.pack(">I", len(table)) + table.tobytes()
    pixels = sample(200, 300)
    profile = matrix_profile((RED, GREEN, BLUE), curve)
    picture = read_picture(encoded(Image.fromarray(pixels), "PNG", icc_profile=profile))
    np.testing.assert_array_equal(picture.pixels, pixels)


# CIE 15:2018: L* = 50 is Y = 0.1842 of white, which IEC 61966-2-1 encodes as 119.
MIDDLE_GREY = 119


def test_profile_within_rounding_of_srgb_changes_nothing():
    """A curve that moves some colours by one step of 255 is taken as sRGB itself."""
    table = np.rint(decode(np.arange(1024) / 1023) ** 1.008 * 65535).astype(">u2")
    curve = b"curv\0\0\0\0" + struct.pack(">I", len(table)) + table.tobytes()
    profile = matrix_profile((RED, GREEN, BLUE), curve)
    pixels = sample(200, 300)
    picture = read_picture(encoded(Image.fromarray(pixels), "PNG", icc_profile=profile))
    np.testing.assert_array_equal(picture.pixels, pixels)
    own, srgb = ImageCms.ImageCmsProfile(io.BytesIO(profile)), ImageCms.createProfile("sRGB")
    moved = np.asarray(ImageCms.profileToProfile(Image.fromarray(pixels), own, srgb)).astype(int)
    assert np.abs(moved - pixels).max() == 1


def test_profile_almost_like_srgb_is_honoured():
    """A curve of 2.0 in place of about 2.2 moves no colour by more than 17 of 255, yet it is another one."""
    pixels = sample()
    profile = matrix_profile((RED, GREEN, BLUE), gamma_curve(2.0))
    picture = read_picture(encoded(Image.fromarray(pixels), "PNG", icc_profile=profile))
    expected = encode_to_bytes((pixels / 255) ** 2.0)
    moved = np.abs(expected.astype(int) - pixels)
    assert 4 < moved.max() < 40
    assert np.abs(picture.pixels.astype(int) - expected).max() <= 2


def test_primaries_almost_those_of_srgb_are_honoured():
    """Red and green a hair nearer to each other leave greys as they are and move full colours."""
    red, green, blue = (np.array(xyz) for xyz in (RED, GREEN, BLUE))
    nearer = 0.005 * (green - red)
    primaries = (red + nearer, green - nearer, blue)
    pixels = np.array([[[0, 0, 0], [128, 128, 128], [255, 0, 0], [0, 255, 0], [0, 0, 255]]], np.uint8)
    table = np.rint(decode(np.arange(1024) / 1023) * 65535).astype(">u2")
    curve = b"curv\0\0\0\0" + struct.pack(">I", len(table)) + table.tobytes()
    image = Image.fromarray(pixels)
    picture = read_picture(encoded(image, "PNG", icc_profile=matrix_profile(primaries, curve)))
    linear = decode(pixels / 255) @ np.array(primaries) @ np.linalg.inv([red, green, blue])
    expected = encode_to_bytes(np.clip(linear, 0, 1)).astype(int)
    assert np.abs(expected - pixels.astype(int))[0].max(axis=1).tolist() == [0, 0, 16, 16, 0]
    assert np.abs(picture.pixels - expected).max() <= 2


def test_profile_of_inks_is_honoured():
    inks = np.zeros((2, 3, 4), np.uint8)
    inks[0, :, 0] = 255  # full cyan, which this press prints grey
    picture = read_picture(
        encoded(Image.frombytes("CMYK", (3, 2), inks.tobytes()), "TIFF", icc_profile=ink_profile(50))
    )
    assert np.abs(picture.pixels[0].astype(int) - MIDDLE_GREY).max() <= 2
    assert picture.pixels[1].min() >= 254
    assert picture.notes == ()


@pytest.mark.parametrize("depth", [8, 16])
def test_profile_of_grey_is_honoured_at_any_depth(depth):
    grey = sample(channels=1)[..., 0]
    profile = icc_profile(b"mntr", b"GRAY", b"XYZ ", kTRC=gamma_curve(1.8))
    stored = grey if depth == 8 else grey.astype(np.uint16) * 257
    picture = read_picture(encoded(Image.fromarray(stored), "PNG", icc_profile=profile))
    expected = encode_to_bytes((np.repeat(grey[..., None], 3, axis=2) / 255) ** 1.8)
    assert np.abs(picture.pixels.astype(int) - expected).max() <= 1
    assert picture.notes == ()


def test_profile_of_grey_is_honoured_beside_opacity():
    values = sample(channels=2)
    profile = icc_profile(b"mntr", b"GRAY", b"XYZ ", kTRC=gamma_curve(1.8))
    picture = read_picture(encoded(Image.fromarray(values), "PNG", icc_profile=profile))
    expected = encode_to_bytes((np.repeat(values[..., :1], 3, axis=2) / 255) ** 1.8)
    assert np.abs(picture.pixels.astype(int) - expected).max() <= 1
    np.testing.assert_array_equal(picture.alpha, values[..., 1])
    assert picture.notes == ()


def test_cielab_file_is_shown_in_rgb():
    # sRGB red in CIELAB (D50) is L* 54.3, a* 80.8, b* 69.9 (from memory).
    lab = np.array([[[50, 0, 0], [54, 81, 70]]], np.int8).view(np.uint8)
    lab[..., 0] = np.rint(lab[..., 0] * 2.55)
    image = Image.frombytes("LAB", (2, 1), lab.tobytes())
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()
    picture = read_picture(encoded(image, "TIFF", icc_profile=profile))
    assert picture.notes == ()
    middle, red = picture.pixels[0].astype(int)
    assert np.abs(middle - MIDDLE_GREY).max() <= 2
    assert np.abs(red - [255, 0, 0]).max() <= 8


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


def test_damage_behind_the_first_picture_does_no_harm():
    first, second = (Image.fromarray(sample(seed=seed)).quantize(16) for seed in (1, 2))
    data = encoded(first, "GIF", save_all=True, append_images=[second])
    cut = read_picture(data[:-60])
    np.testing.assert_array_equal(cut.pixels, read_picture(encoded(first, "GIF")).pixels)
    # TIFF 6.0, section 2: four bytes behind the last of the 12-byte entries say where the next picture is.
    data = bytearray(encoded(Image.fromarray(sample()), "TIFF"))
    start = struct.unpack_from("<I", data, 4)[0]
    struct.pack_into("<I", data, start + 2 + 12 * struct.unpack_from("<H", data, start)[0], 2**32 - 16)
    np.testing.assert_array_equal(read_picture(bytes(data)).pixels, sample())


def test_strips_do_not_show(monkeypatch):
    rgba = sample(channels=4)
    whole = read_picture(encoded(Image.fromarray(rgba), "PNG"))
    monkeypatch.setattr("convert.picture.arrays._STRIP_PIXELS", 50)
    strips = read_picture(encoded(Image.fromarray(rgba), "PNG"))
    np.testing.assert_array_equal(strips.pixels, whole.pixels)
    np.testing.assert_array_equal(strips.alpha, whole.alpha)


def test_float_tiff_is_zero_to_one():
    values = np.linspace(0, 1, 12, dtype=np.float32).reshape(3, 4)
    picture = read_picture(encoded(Image.fromarray(values), "TIFF"))
    np.testing.assert_array_equal(picture.pixels[..., 0], np.rint(values * 255))
    for bad in (np.nan, np.inf, 7.0):
        values[1, 1] = bad
        with pytest.raises(PictureError):
            read_picture(encoded(Image.fromarray(values), "TIFF"))


def in_memory(data):
    return Image.open(io.BytesIO(data))


def assert_alike(picture, other):
    np.testing.assert_array_equal(picture.pixels, other.pixels)
    assert (picture.alpha is None) == (other.alpha is None)
    if other.alpha is not None:
        np.testing.assert_array_equal(picture.alpha, other.alpha)


def of_mode(mode):
    """Return an image of any mode that Pillow has a name for."""
    values = sample(channels=4)
    if mode.startswith("I"):
        order = {"I": "<i4", "I;16B": ">u2", "I;16N": "=u2"}.get(mode, "<u2")
        return Image.frombytes(mode, (23, 17), (values[..., 0].astype(order) * 257).tobytes())
    if mode == "F":
        return Image.fromarray(values[..., 0] / np.float32(255))
    if mode == "LAB":
        return Image.frombytes(mode, (23, 17), values[..., :3].tobytes())
    image = Image.fromarray(values)
    if mode in ("RGBa", "RGBX", "RGBA"):
        return image.convert(mode)
    if mode in ("LA", "La"):
        return image.convert("LA").convert(mode)
    if mode == "PA":
        image, opacity = image.convert("RGB").quantize(16).convert(mode), image.getchannel("A")
        image.putalpha(opacity)
        return image
    return image.convert("RGB").convert(mode)


@pytest.mark.parametrize("mode", Image.MODES)
def test_an_image_of_every_mode_is_read_and_left_as_it_is(mode):
    image = of_mode(mode)
    before, info = image.tobytes(), dict(image.info)
    picture = read_picture(image)
    assert (image.mode, image.size, image.tobytes(), image.info) == (mode, (23, 17), before, info)
    assert (picture.name, picture.notes) == ("picture", ())
    if mode.startswith("I") or mode == "F":
        np.testing.assert_array_equal(picture.pixels[..., 1], sample(channels=4)[..., 0])
        assert picture.alpha is None
    else:
        wanted = np.asarray((image.convert("LA") if mode == "La" else image).convert("RGBA"))
        assert (picture.alpha is not None) == (mode in ("LA", "La", "PA", "RGBA", "RGBa"))
        alpha = np.full((17, 23), 255) if picture.alpha is None else picture.alpha
        np.testing.assert_array_equal(np.dstack([picture.pixels, alpha])[alpha > 0], wanted[alpha > 0])


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "WEBP", "JPEG", "AVIF", "MPO"])
@pytest.mark.parametrize("orientation", TURNS)
def test_an_image_is_turned_upright_as_its_file_is(kind, orientation):
    exif = Image.Exif()
    exif[0x0112] = orientation
    data = encoded(Image.fromarray(sample()), kind, exif=exif)
    image = in_memory(data)
    assert_alike(read_picture(image), read_picture(data))
    # Once more: the first time left its tags alone.
    assert_alike(read_picture(image), read_picture(data))


def test_the_colour_profile_of_an_image_is_honoured():
    profile = matrix_profile((BLUE, GREEN, RED), gamma_curve(1.0))
    data = encoded(Image.fromarray(sample()), "PNG", icc_profile=profile)
    assert_alike(read_picture(in_memory(data)), read_picture(data))
    assert not np.array_equal(read_picture(data).pixels, sample())
    broken = read_picture(in_memory(encoded(Image.fromarray(sample()), "PNG", icc_profile=b"not a profile")))
    assert broken.notes == (
        "the colour profile of the PIL image cannot be used; its colours are taken as sRGB",
    )


def test_tags_of_deep_grey_reach_from_an_image_as_well():
    grey = sample(channels=1)[..., 0]
    twelve = b"".join((a << 12 | b).to_bytes(3, "big") for a, b in [(0, 4095), (2048, 256)])
    for data in (
        tiff(grey.astype(np.uint16) * 257, 16, 0),
        tiff(np.zeros((1, 4), int), 12, 1, twelve),
        png(4, 1, 16, 0, np.array([0, 257, 65535, 1000], ">u2").tobytes(), (b"tRNS", struct.pack(">H", 257))),
    ):
        assert_alike(read_picture(in_memory(data)), read_picture(data))


def test_an_image_is_read_where_it_stands():
    frames = [Image.fromarray(sample(seed=seed)).quantize(16) for seed in (1, 2, 3)]
    image = in_memory(encoded(frames[0], "GIF", save_all=True, append_images=frames[1:]))
    for number in (2, 0, 1):
        image.seek(number)
        picture = read_picture(image)
        np.testing.assert_array_equal(picture.pixels, np.asarray(frames[number].convert("RGB")))
        assert picture.notes == ()
        assert image.tell() == number


def test_an_image_that_cannot_be_read_is_refused(tmp_path):
    data = encoded(Image.fromarray(sample(200, 200)), "PNG")
    (tmp_path / "heron.png").write_bytes(data)
    with Image.open(tmp_path / "heron.png") as closed:
        pass
    for image in (closed, in_memory(data[: len(data) // 2])):
        with pytest.raises(PictureError, match="the PIL image cannot be read whole") as refused:
            read_picture(image)
        assert "closed" in refused.value.hint
    with pytest.raises(PictureError, match="no pixels: 0 x 5"):
        read_picture(Image.new("RGB", (0, 5)))
    with pytest.raises(PictureError, match="no pixels: 5 x 0"):
        read_picture(Image.new("RGB", (5, 0)))
    with pytest.raises(PictureError, match="the PIL image has grey values from 0 to 7, outside 0 to 1"):
        read_picture(Image.fromarray(np.array([[0, 7]], np.float32)))


def test_the_size_of_an_image_is_limited():
    image = Image.new("L", (40, 30))
    assert read_picture(image, limit_megapixels=0.0012).pixels.shape == (30, 40, 3)
    with pytest.raises(PictureError, match=r"the PIL image has 40 x 30 = 0\.0012 megapixels") as refused:
        read_picture(image, limit_megapixels=0.00119)
    assert "with limit_megapixels" in refused.value.hint
