"""Pictures of every kind: pixel formats, containers, tags, damage, hostile sizes and names.

The references are the arrays that the files are made from, and the standards named beside a check.
"""

import io
import os
import re
import struct
import warnings
import zlib

import numpy as np
import pytest
from PIL import Image, ImageCms, features

from convert.errors import PictureError
from convert.picture.reading import read_picture

DRAW = np.random.default_rng(11)
COLOUR = DRAW.integers(0, 256, (13, 19, 3), dtype=np.uint8)
GREY, OPACITY = COLOUR[..., 0], DRAW.integers(0, 256, (13, 19), dtype=np.uint8)
CUT = (
    "PNG",
    "TIFF",
    "BMP",
    "TGA",
    "PPM",
    "PCX",
    "SGI",
    "DIB",
    "QOI",
    "WEBP",
    "JPEG2000",
    "JPEG",
    "GIF",
    "DDS",
    "ICO",
)


def encoded(image, kind, **options):
    out = io.BytesIO()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        image.save(out, kind, **options)
    return out.getvalue()


def grey_rgb(grey):
    return np.repeat(grey[..., None], 3, axis=2)


def chunk(name, data):
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def png(width, height, *extra, rows=b""):
    header = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return (
        b"\x89PNG\r\n\x1a\n"
        + header
        + b"".join(extra)
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )


def deep(grey, order="<u2"):
    return (grey.astype(order) * 257).tobytes()


KEY = int(GREY[0, 0])
KINDS = {
    "grey and alpha, PNG": (
        encoded(Image.merge("LA", (Image.fromarray(GREY), Image.fromarray(OPACITY))), "PNG"),
        grey_rgb(GREY),
        OPACITY,
    ),
    "grey and alpha, TIFF": (
        encoded(Image.merge("LA", (Image.fromarray(GREY), Image.fromarray(OPACITY))), "TIFF"),
        grey_rgb(GREY),
        OPACITY,
    ),
    "grey with a transparent value": (
        encoded(Image.fromarray(GREY), "PNG", transparency=KEY),
        grey_rgb(GREY),
        np.where(GREY == KEY, 0, 255),
    ),
    "deep grey with a transparent value": (
        encoded(Image.fromarray(GREY.astype(np.uint16) * 257), "PNG", transparency=KEY * 257),
        grey_rgb(GREY),
        np.where(GREY == KEY, 0, 255),
    ),
    "bilevel with transparent black": (
        encoded(Image.fromarray(GREY > 127), "PNG", transparency=0),
        grey_rgb(np.where(GREY > 127, 255, 0)),
        np.where(GREY > 127, 255, 0),
    ),
    "a transparent colour": (
        encoded(Image.fromarray(COLOUR), "PNG", transparency=tuple(COLOUR[0, 0].tolist())),
        COLOUR,
        np.where((COLOUR[:1, :1] != COLOUR).any(axis=2), 255, 0),
    ),
    "grey of 32 bits": (encoded(Image.fromarray(GREY.astype(np.int32) * 257), "TIFF"), grey_rgb(GREY), None),
    # Netpbm: samples over one byte are stored high byte first.
    "grey PGM of 16 bits": (b"P5 19 13 65535\n" + deep(GREY, ">u2"), grey_rgb(GREY), None),
    "colour PPM of 16 bits": (b"P6 19 13 65535\n" + deep(COLOUR, ">u2"), COLOUR, None),
    "plain-text PPM": (b"P3 2 1 255 1 2 3 40 50 60\n", np.array([[[1, 2, 3], [40, 50, 60]]]), None),
    "PGM of 10 bits": (b"P5 2 1 1023\n" + b"\0\0\3\xff", grey_rgb(np.array([[0, 255]])), None),
}


@pytest.mark.parametrize("kind", KINDS)
def test_pixels_and_opacity(kind):
    data, pixels, alpha = KINDS[kind]
    picture = read_picture(data)
    np.testing.assert_array_equal(picture.pixels, pixels)
    assert (picture.alpha is None) == (alpha is None)
    if alpha is not None:
        np.testing.assert_array_equal(picture.alpha, alpha)
    assert picture.notes == ()


def test_palette_with_graded_transparency():
    image = Image.fromarray(COLOUR).quantize(8)
    grades = bytes([0, 40, 80, 120, 160, 200, 240, 255])
    picture = read_picture(encoded(image, "PNG", transparency=grades))
    index = np.asarray(image)
    np.testing.assert_array_equal(picture.alpha, np.frombuffer(grades, np.uint8)[index])
    np.testing.assert_array_equal(picture.pixels, np.asarray(image.convert("RGB")))


def test_cielab_tiff_is_taken_to_srgb():
    """Greys: L* of CIE 15 for a share of light; 8-bit L* steps by 0.4, which is about one step of sRGB."""
    profiles = ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB")
    greys = Image.fromarray(grey_rgb(np.arange(0, 256, 5, dtype=np.uint8)[None]))
    lab = ImageCms.profileToProfile(greys, *profiles, outputMode="LAB")
    picture = read_picture(encoded(lab, "TIFF"))
    assert np.abs(picture.pixels.astype(int) - np.asarray(greys)).max() <= 3


# Exif 2.3, tag 0x0112: which corner of the stored picture (0 top left, 1 top right, 2 bottom left, 3 bottom
# right) is shown top left, top right, bottom left and bottom right.
CORNERS = {
    1: (0, 1, 2, 3), 2: (1, 0, 3, 2), 3: (3, 2, 1, 0), 4: (2, 3, 0, 1),
    5: (0, 2, 1, 3), 6: (2, 0, 3, 1), 7: (3, 1, 2, 0), 8: (1, 3, 0, 2),
}  # fmt: skip


@pytest.mark.parametrize("kind", ["JPEG", "MPO"] + ["AVIF"] * features.check("avif"))
@pytest.mark.parametrize("orientation", CORNERS)
def test_orientation_of_lossy_kinds(kind, orientation):
    colours = np.array([[250, 0, 0], [0, 250, 0], [0, 0, 250], [250, 250, 250]], np.uint8)
    stored = np.kron(np.arange(4).reshape(2, 2), np.ones((16, 24), int))
    exif = Image.Exif()
    exif[0x0112] = orientation
    picture = read_picture(encoded(Image.fromarray(colours[stored]), kind, exif=exif, quality=95))
    assert picture.pixels.shape == ((32, 48, 3) if orientation < 5 else (48, 32, 3))
    shown = picture.pixels[[4, 4, -4, -4], [4, -4, 4, -4]].astype(int)
    np.testing.assert_allclose(shown, colours[list(CORNERS[orientation])], atol=40)


@pytest.mark.parametrize("kind", ["PNG", "WEBP", "JPEG"])
@pytest.mark.parametrize(
    "exif",
    [
        b"Exif\0\0garbage",
        b"Exif\0\0II*\0\xff\xff\xff\xff",
        b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x02\0\0\0\x01A\0\0\0",
    ],
    ids=["no header", "offset outside", "orientation is text"],
)
def test_unreadable_exif_leaves_the_picture_as_it_is(kind, exif):
    plain = encoded(Image.fromarray(COLOUR), kind)
    np.testing.assert_array_equal(
        read_picture(encoded(Image.fromarray(COLOUR), kind, exif=exif)).pixels, read_picture(plain).pixels
    )


@pytest.mark.parametrize("kind", ["GIF", "WEBP", "PNG", "TIFF", "MPO"])
def test_first_picture_of_several(kind):
    options = {"lossless": True} if kind == "WEBP" else {"quality": 95} if kind == "MPO" else {}
    image, other = Image.fromarray(COLOUR).quantize(32).convert("RGB"), Image.fromarray(255 - COLOUR)
    several = read_picture(encoded(image, kind, save_all=True, append_images=[other], **options))
    alone = read_picture(encoded(image, "JPEG" if kind == "MPO" else kind, **options))
    np.testing.assert_array_equal(several.pixels, alone.pixels)
    assert "2 pictures; the first" in several.notes[0]


@pytest.mark.parametrize("kind", CUT)
@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.97])
def test_cut_short_is_refused_in_every_container(kind, share):
    data = encoded(Image.fromarray(DRAW.integers(0, 256, (97, 103, 3), dtype=np.uint8)), kind)
    with pytest.raises(PictureError) as fault:
        read_picture(data[: int(len(data) * share)])
    assert fault.value.hint


def test_damaged_checksum_is_refused():
    data = bytearray(encoded(Image.fromarray(COLOUR), "PNG"))
    data[-20] ^= 0xFF
    with pytest.raises(PictureError, match="damaged"):
        read_picture(bytes(data))


@pytest.mark.parametrize("limit", [89.478485, 120, 1000])
@pytest.mark.parametrize("size", [(50_000, 40_000), (100_000, 60_000)])
def test_size_and_limit_are_told(size, limit):
    with pytest.raises(PictureError) as fault:
        read_picture(png(*size), limit_megapixels=limit)
    megapixels = size[0] * size[1] // 1_000_000
    assert re.search(rf"\b({megapixels}|{megapixels:,}\.0) megapixels", str(fault.value))
    assert f"limit of {limit:.4g}" in str(fault.value)
    assert "--max-megapixels" in fault.value.hint


def test_limit_above_pillows_own_is_kept_and_pillows_comes_back(monkeypatch):
    # Pillow by itself refuses more than twice its limit.
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 1000)
    data = encoded(Image.new("RGB", (100, 90)), "PNG")
    with pytest.raises(Image.DecompressionBombError):
        Image.open(io.BytesIO(data))
    assert read_picture(data, limit_megapixels=0.009).pixels.shape == (90, 100, 3)
    with pytest.raises(PictureError, match="megapixels"):
        read_picture(data, limit_megapixels=0.0089)
    assert Image.MAX_IMAGE_PIXELS == 1000


@pytest.mark.parametrize("after", [False, True], ids=["before the pixels", "after them"])
def test_text_that_swells_is_refused(after):
    bomb = chunk(b"zTXt", b"a\0\0" + zlib.compress(bytes(200_000_000), 1))
    rows = bytes(14)
    data = png(2, 2, rows=rows)[:-12] + bomb + chunk(b"IEND", b"") if after else png(2, 2, bomb, rows=rows)
    with pytest.raises(PictureError):
        read_picture(data)


@pytest.mark.parametrize(
    "name",
    [
        "grey heron [a].png",
        "a'b\"c.png",
        "<html>.png",
        "=1+1.png",
        "two\nlines.png",
        "x" * 200 + ".png",
        "näß.png",
    ],
)
def test_names(tmp_path, name):
    path = tmp_path / name
    path.write_bytes(encoded(Image.fromarray(COLOUR), "PNG"))
    picture = read_picture(path)
    assert picture.name.isprintable()
    assert picture.name == path.stem.replace("\n", r"\n")
    path.write_bytes(b"no picture")
    with pytest.raises(PictureError) as fault:
        read_picture(path)
    assert str(fault.value).isprintable()
    assert name.replace("\n", r"\n") in str(fault.value)


def test_name_of_bytes_that_are_no_text(tmp_path):
    path = tmp_path / os.fsdecode(b"caf\xe9.png")
    path.write_bytes(encoded(Image.fromarray(COLOUR), "PNG"))
    assert read_picture(path).name.encode().startswith(b"caf")


def test_input_is_left_alone(tmp_path):
    path = tmp_path / "a.tif"
    exif = Image.Exif()
    exif[0x0112] = 6
    data = encoded(Image.fromarray(COLOUR), "TIFF", exif=exif)
    path.write_bytes(data)
    read_picture(path)
    assert path.read_bytes() == data
    assert list(tmp_path.iterdir()) == [path]
