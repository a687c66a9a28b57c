import numpy as np
import pytest
from colormath.color_conversions import convert_color
from colormath.color_objects import LabColor, sRGBColor
from skimage.color import rgb2lab, xyz2lab

from convert.colour.lab import lab_to_linear, linear_to_lab, srgb_to_lab, xyz_to_lab
from convert.colour.srgb import decode

CUBE = np.stack(np.meshgrid(*[np.arange(0, 256, 17, dtype=np.uint8)] * 3), axis=-1).reshape(-1, 3)


def test_equals_scikit_image():
    np.testing.assert_allclose(srgb_to_lab(CUBE), rgb2lab(CUBE), rtol=0, atol=1e-9)


def test_xyz_equals_scikit_image():
    xyz = np.random.default_rng(1).random((200, 3))
    np.testing.assert_allclose(xyz_to_lab(xyz), xyz2lab(xyz), rtol=0, atol=1e-9)


def test_agrees_with_colour_science(colour_science):
    # Its sRGB matrix has four digits and its white point is computed, not tabulated:
    # 0.03 is the honest tolerance.
    theirs = colour_science.XYZ_to_Lab(
        colour_science.sRGB_to_XYZ(CUBE / 255), colour_science.CCS_ILLUMINANTS["cie_2_1931"]["D65"]
    )
    np.testing.assert_allclose(srgb_to_lab(CUBE), theirs, atol=0.03)


@pytest.mark.parametrize("rgb", CUBE[::97].tolist(), ids=str)
def test_agrees_with_colormath(rgb):
    theirs = convert_color(sRGBColor(*rgb, is_upscaled=True), LabColor, target_illuminant="d65")
    np.testing.assert_allclose(
        srgb_to_lab(np.array(rgb, dtype=np.uint8)), theirs.get_value_tuple(), atol=0.02
    )


def test_white_is_100_0_0_and_black_is_0():
    np.testing.assert_allclose(linear_to_lab([[1, 1, 1], [0, 0, 0]]), [[100, 0, 0], [0, 0, 0]], atol=0.01)


def test_comes_back_unclipped():
    linear = decode(CUBE)
    np.testing.assert_allclose(lab_to_linear(linear_to_lab(linear)), linear, atol=1e-12)
    vivid = np.array([60.0, 0.0, 120.0])  # a yellow-green beyond sRGB: negative blue
    beyond = lab_to_linear(vivid)
    assert beyond.min() < 0
    np.testing.assert_allclose(linear_to_lab(beyond), vivid, atol=1e-9)
