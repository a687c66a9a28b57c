import numpy as np
import pytest

from convert.colour.srgb import (
    decode,
    decode_16_bits,
    encode,
    encode_to_16_bits,
    encode_to_bytes,
    parse_hex,
    to_hex,
)
from convert.errors import PaletteError


# IEC 61966-2-1:1999; the values also come out of colour-science 0.4.7, see below.
@pytest.mark.parametrize(
    ("encoded", "linear"), [(0.5, 0.2140411), (128 / 255, 0.2158605), (10 / 255, 0.0030353), (0, 0), (1, 1)]
)
def test_decode_gives_the_values_of_the_standard(encoded, linear):
    assert decode(encoded) == pytest.approx(linear, abs=5e-8)


def test_encode_gives_the_value_of_the_standard():
    assert encode(0.18) == pytest.approx(0.4613561, abs=5e-8)


def test_both_ways_agree_with_colour_science(colour_science):
    steps = np.linspace(0, 1, 1001)
    np.testing.assert_allclose(decode(steps), colour_science.models.eotf_sRGB(steps), atol=1e-12)
    np.testing.assert_allclose(encode(steps), colour_science.models.eotf_inverse_sRGB(steps), atol=1e-12)


def test_bytes_and_floats_decode_alike_and_bytes_come_back():
    every = np.arange(256, dtype=np.uint8)
    np.testing.assert_array_equal(decode(every), decode(every / 255))
    np.testing.assert_array_equal(encode_to_bytes(decode(every)), every)


def test_all_of_16_bits_come_back_and_agree_with_colour_science(colour_science):
    every = np.arange(65536, dtype=np.uint16)
    linear = decode_16_bits(every)
    np.testing.assert_allclose(linear, colour_science.models.eotf_sRGB(every / 65535), atol=1e-12)
    np.testing.assert_array_equal(encode_to_16_bits(linear), every)
    # A byte of PNG (W3C, 13.12) is a multiple of 257 in 16 bits.
    np.testing.assert_array_equal(
        encode_to_16_bits(decode(np.arange(256, dtype=np.uint8))), every[:256] * 257
    )


def test_16_bits_are_rounded_to_nearest():
    linear = decode(np.array([1000.49, 1000.51, -5, 70000]) / 65535)
    np.testing.assert_array_equal(encode_to_16_bits(linear), [1000, 1001, 0, 65535])


def test_light_outside_the_gamut_is_clipped():
    np.testing.assert_array_equal(encode_to_bytes([-0.1, 1.1]), [0, 255])


@pytest.mark.parametrize(("text", "rgb"), [("#1f6FA5", (31, 111, 165)), ("#000000", (0, 0, 0))])
def test_hex_is_read_and_written_in_capitals(text, rgb):
    assert parse_hex(text) == rgb
    assert to_hex(np.array(rgb, dtype=np.uint8)) == text.upper()


# The last ones are digits to Python's int(), but not ASCII or not digits alone.
@pytest.mark.parametrize(
    "text",
    [
        "",
        "1F6FA5",
        "#fff",
        "#1F6FA",
        "#1F6FA55",
        "#1F6FAG",
        " #1F6FA5",
        "#1F6FA5\n",
        "#+1+2+3",
        "#1_2_3_",
        "#１２３４５６",
    ],
)
def test_anything_else_is_refused_by_name(text):
    with pytest.raises(PaletteError, match="#RRGGBB") as caught:
        parse_hex(text)
    assert repr(text) in str(caught.value)
