"""Photographs as phones keep them: HEIF, made by an encoder that the program does not use.

The encoder (x265 within pillow-heif) shares the container library, not the decoder, with what is tested.
"""

import io
import os
import subprocess
import sys

import numpy as np
import pillow_heif
import pytest
from PIL import Image
from skimage import data

from convert.colour.srgb import decode
from convert.errors import PictureError
from convert.picture.reading import read_picture
from tests.picture.files import BLUE, GREEN, RED, gamma_curve, matrix_profile
from tests.picture.test_images import TURNS

CAT = data.chelsea()[100:228, 100:292]
CORNERS = np.kron(
    np.array([[[250, 0, 0], [0, 250, 0]], [[0, 0, 250], [250, 250, 250]]], np.uint8),
    np.ones((48, 64, 1), np.uint8),
)
# SMPTE EG 432-1: the primaries of Display P3, its white that of D65.
P3 = {"red": (0.680, 0.320), "green": (0.265, 0.690), "blue": (0.150, 0.060)}


def heif(pixels, *, nclx=None, quality=-1, others=(), **options):
    """Encode without loss, unless a quality is asked for."""
    image = pillow_heif.from_pillow(Image.fromarray(pixels))
    for other in others:
        image.add_from_pillow(Image.fromarray(other))
    if nclx:
        full = {"matrix_coefficients": 6, "full_range_flag": 1}
        names = ("color_primaries", "transfer_characteristics")
        image[0].info["nclx_profile"] = dict(zip(names, nclx, strict=True)) | full
    out = io.BytesIO()
    image.save(out, quality=quality, chroma=444, save_nclx_profile=bool(nclx), **options)
    return out.getvalue()


def test_a_photograph_comes_back():
    picture = read_picture(heif(CAT))
    assert np.abs(picture.pixels.astype(int) - CAT).max() <= 1
    assert (picture.alpha, picture.notes) == (None, ())
    lossy = read_picture(heif(CAT, quality=60))
    assert 0.5 < np.abs(lossy.pixels.astype(int) - CAT).mean() < 6


def test_from_a_file_and_by_its_contents(tmp_path):
    path = tmp_path / "heron.jpg"
    path.write_bytes(heif(CAT))
    picture = read_picture(path)
    assert picture.name == "heron"
    np.testing.assert_array_equal(picture.pixels, read_picture(heif(CAT)).pixels)


def test_in_a_program_of_its_own(tmp_path):
    # The plugin is loaded once and for all, so that only a fresh program shows who loads it.
    (tmp_path / "cat.heic").write_bytes(heif(CAT))
    Image.fromarray(CAT).save(tmp_path / "cat.png")
    code = """
import sys
from convert.picture.reading import read_picture
read_picture("cat.png")
assert "pi_heif" not in sys.modules
print(read_picture("cat.heic").pixels.shape)
"""
    search = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, env=search, capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == ["(128,", "192,", "3)"]


@pytest.mark.parametrize("orientation", TURNS)
def test_upright_whatever_its_orientation(orientation):
    exif = Image.Exif()
    exif[0x0112] = orientation
    picture = read_picture(heif(CORNERS, exif=exif.tobytes()))
    wanted = TURNS[orientation](CORNERS)
    assert picture.pixels.shape == wanted.shape
    assert np.abs(picture.pixels[8::16, 8::16].astype(int) - wanted[8::16, 8::16]).max() <= 2


def test_opacity_is_kept():
    opacity = np.tile(np.linspace(0, 255, CAT.shape[1]).astype(np.uint8), (CAT.shape[0], 1))
    picture = read_picture(heif(np.dstack([CAT, opacity])))
    assert np.abs(picture.alpha.astype(int) - opacity).max() <= 2


def test_deep_photographs_are_brought_to_eight_bits():
    deep = (CAT.astype(np.uint16) << 8) | CAT
    file = pillow_heif.from_bytes(mode="RGB;16", size=(CAT.shape[1], CAT.shape[0]), data=deep.tobytes())
    out = io.BytesIO()
    file.save(out, quality=-1, chroma=444)
    assert np.abs(read_picture(out.getvalue()).pixels.astype(int) - CAT).max() <= 2


def p3_of(pixels):
    """Return sRGB pixels as Display P3 keeps them, reckoned from the chromaticities of both."""

    def xyz_of(primaries):
        xy = np.array([*primaries.values(), (0.3127, 0.3290)])
        xyz = np.column_stack([xy[:, 0], xy[:, 1], 1 - xy.sum(axis=1)]) / xy[:, 1:]
        return xyz[:3].T * np.linalg.solve(xyz[:3].T, xyz[3])

    srgb = {"red": (0.64, 0.33), "green": (0.30, 0.60), "blue": (0.15, 0.06)}
    light = decode(pixels) @ np.linalg.solve(xyz_of(P3), xyz_of(srgb)).T
    return np.rint(255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055))


def test_named_primaries_are_taken_to_srgb():
    # ITU-T H.273: primaries 12 are those of Display P3, transfer 13 is that of sRGB.
    stored = p3_of(CAT).astype(np.uint8)
    picture = read_picture(heif(stored, nclx=(12, 13)))
    assert picture.notes == ()
    # What is rounded to bytes twice, and kept within 1, may come back 3 off.
    assert np.abs(picture.pixels.astype(int) - CAT).max() <= 3
    assert np.abs(picture.pixels.astype(int) - CAT).mean() < 0.6
    assert np.abs(stored.astype(int) - CAT).mean() > 3  # or nothing would be shown


@pytest.mark.parametrize("nclx", [(1, 13), (2, 2)], ids=["sRGB", "left open"])
def test_primaries_of_srgb_change_nothing(nclx):
    picture = read_picture(heif(CAT, nclx=nclx))
    assert np.abs(picture.pixels.astype(int) - CAT).max() <= 1
    assert picture.notes == ()


@pytest.mark.parametrize("nclx", [(9, 16), (9, 18)], ids=["perceptual quantiser", "hybrid log-gamma"])
def test_colours_for_bright_screens_are_told(nclx):
    picture = read_picture(heif(CAT, nclx=nclx), name="heron")
    assert picture.notes == (
        "the colours of heron are kept for very bright screens and may come out pale or dark",
    )


def test_a_colour_profile_goes_before_named_primaries():
    # Red and green change places, and the profile is of a straight line, so that it cannot be overlooked.
    profile = matrix_profile((GREEN, RED, BLUE), gamma_curve(2.2))
    picture = read_picture(heif(CAT, nclx=(12, 13), icc_profile=profile))
    wanted = CAT[..., [1, 0, 2]].astype(int)
    assert np.abs(picture.pixels.astype(int) - wanted).mean() < 4


def test_the_main_picture_of_several():
    picture = read_picture(heif(CAT, others=[255 - CAT, CORNERS]), name="heron")
    assert np.abs(picture.pixels.astype(int) - CAT).max() <= 1
    assert picture.notes == ("heron holds 3 pictures; the first is used",)


def test_too_large_is_refused_before_it_is_decoded():
    with pytest.raises(PictureError, match=r"192 x 128 = 0.02458 megapixels, more than the limit of 0.02"):
        read_picture(heif(CAT), limit_megapixels=0.02)


@pytest.mark.parametrize("share", [0.02, 0.1, 0.3, 0.6, 0.97])
def test_cut_short_is_refused(share):
    whole = heif(CAT)
    with pytest.raises(PictureError) as fault:
        read_picture(whole[: int(len(whole) * share)])
    assert fault.value.hint


def test_damage_gives_a_picture_or_one_line():
    draw = np.random.default_rng(5)
    whole = heif(CAT[:48, :48])
    for _ in range(150):
        damaged = bytearray(whole)
        for place in draw.integers(0, len(whole), draw.integers(1, 6)):
            damaged[place] = draw.integers(256)
        try:
            picture = read_picture(bytes(damaged))
        except PictureError as fault:
            assert str(fault).isprintable()
        else:
            assert picture.pixels.dtype == np.uint8
