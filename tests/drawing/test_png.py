import dataclasses
import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from convert.drawing import style
from convert.drawing.png import draw_pixels, write_png
from convert.drawing.png_file import encode_png
from convert.drawing.raster import coverage
from convert.drawing.scene import chart_scene
from tests.drawing.patterns import PIECES, pattern


def opened(png):
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB"))


def centres_px(scene):
    xy = (scene.piece.bead_xy * scene.scale + scene.offset_mm) * style.DOTS_PER_INCH / 25.4
    return np.floor(xy).astype(int)


@pytest.mark.parametrize("name", PIECES)
def test_each_bead_has_its_colour_at_its_centre(name):
    scene = dataclasses.replace(chart_scene(PIECES[name]()), symbols=False)
    pixels = opened(write_png(scene))
    x, y = centres_px(scene).T
    wanted = np.array([colour.rgb for colour in scene.piece.colours])[scene.piece.bead_colour]
    np.testing.assert_array_equal(pixels[y, x], wanted)


@pytest.mark.parametrize("name", ["one size", "11/0 with 8/0", "bird", "many colours"])
def test_symbols_are_read_from_the_pixels(name):
    """Match what is drawn on each bead against all symbols of the key."""
    scene = chart_scene(PIECES[name]())
    piece = scene.piece
    pixels = opened(write_png(scene)).astype(float)
    dots = scene.scale * style.DOTS_PER_INCH / 25.4
    seen_right = []
    for outline in {o.size: i for i, o in enumerate(piece.outlines)}.values():
        size = piece.outlines[outline].size
        side = style.SYMBOL_SHARE * min(size.length_mm, size.diameter_mm) * dots
        reach = int(side / 2)
        window = (2 * reach + 1, 2 * reach + 1)
        masters = np.stack(
            [
                coverage([np.array(p) * side + reach + 0.5 for p in colour.symbol], window).ravel()
                for colour in piece.colours
            ]
        )
        masters -= masters.mean(axis=1, keepdims=True)
        masters /= np.linalg.norm(masters, axis=1, keepdims=True)
        for bead in np.flatnonzero(piece.bead_outline == outline)[:150]:
            x, y = centres_px(scene)[bead]
            colour = piece.colours[piece.bead_colour[bead]]
            crop = pixels[y - reach : y + reach + 1, x - reach : x + reach + 1].reshape(-1, 3)
            ground, ink = np.array(colour.rgb, float), np.array(colour.ink, float)
            share = (crop - ground) @ (ink - ground) / ((ink - ground) ** 2).sum()
            seen_right.append((masters @ (share - share.mean())).argmax() == piece.bead_colour[bead])
    assert np.mean(seen_right) == 1


def test_file_has_300_dots_an_inch_and_is_srgb():
    picture = Image.open(io.BytesIO(write_png(chart_scene(PIECES["flower"]()))))
    assert picture.info["dpi"] == pytest.approx((300, 300), abs=0.01)
    assert picture.info["srgb"] == 0
    assert picture.mode == "RGB"


def test_same_scene_same_bytes():
    first = write_png(chart_scene(PIECES["bird"]()))
    assert write_png(chart_scene(PIECES["bird"]())) == first


def test_paper_is_white_and_beads_have_a_darker_outline():
    scene = chart_scene(pattern(np.ones((2, 2)), colours=1))
    pixels = opened(write_png(scene))
    assert (pixels[:20] == 255).all()
    x, y = centres_px(scene)[0]
    column = pixels[:y, x].sum(axis=1)
    first_ink = np.flatnonzero(column < 3 * 200)[0]
    assert column[first_ink : first_ink + 6].min() <= 3 * 145


def test_labels_are_where_the_scene_says():
    scene = chart_scene(PIECES["one size"]())
    dots = style.DOTS_PER_INCH / 25.4
    dark = draw_pixels(scene)[..., :3].min(axis=2) < 200
    for label in scene.labels:
        left, top, right, bottom = (round(edge * dots) for edge in label.box)
        assert dark[top:bottom, left:right].any(), label.text


@pytest.mark.parametrize(("height", "width"), [(1, 1), (3, 1700), (700, 5), (901, 800)])
def test_encoding_is_read_back_by_an_independent_reader(height, width):
    pixels = np.random.default_rng(2).integers(0, 256, (height, width, 4), np.uint8)
    np.testing.assert_array_equal(opened(encode_png(pixels, 300)), pixels[..., :3])


def test_chunks_follow_the_standard():
    """Length, name, body and CRC of each chunk (PNG, third edition, 5.3), whose data are one stream."""
    pixels = np.random.default_rng(3).integers(0, 256, (901, 800, 3), np.uint8)
    png = encode_png(pixels, 300)
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    names, data, at = [], b"", 8
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        body = png[at + 4 : at + 8 + length]
        assert struct.unpack(">I", png[at + 8 + length : at + 12 + length])[0] == zlib.crc32(body)
        names.append(body[:4])
        data += body[4:] if body[:4] == b"IDAT" else b""
        at += 12 + length
    several = [b"IDAT"] * (len(names) - 4)
    assert names == [b"IHDR", b"sRGB", b"pHYs", *several, b"IEND"]
    # zlib refuses a stream whose checksum is wrong (RFC 1950); no line is filtered (PNG, 9.2).
    lines = np.frombuffer(zlib.decompress(data), np.uint8).reshape(901, 1 + 3 * 800)
    assert not lines[:, 0].any()
    np.testing.assert_array_equal(lines[:, 1:], pixels.reshape(901, -1))
