"""Written colours against CSS Color Module Level 4, Python's colorsys and reportlab."""

import colorsys

import pytest
import reportlab.lib.colors
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageColor

from convert.colour.written import css_colour, numeric_colour, written_colour


@pytest.mark.parametrize(
    "text",
    [
        "#1F6FA5",
        "1f6fa5",
        "rgb(31, 111, 165)",
        "RGB(31 111 165)",
        "rgb(31 111 165 / 1)",
        "rgba(31, 111, 165, 1.0)",
        "31,111,165",
        "31; 111; 165",
        "31 111 165",
        "31/111/165",
    ],
)
def test_the_same_colour_however_it_is_written(text):
    assert written_colour(text) == written_colour(f"  {text} ") == (31, 111, 165)


@pytest.mark.parametrize(
    ("text", "rgb"),
    [
        # CSS Color 4, section 4.1 and the examples of sections 5.1 and 7.
        ("#0f0", (0, 255, 0)),
        ("rgb(0% 100% 0%)", (0, 255, 0)),
        ("hsl(120deg 100% 50%)", (0, 255, 0)),
        ("hsl(120, 100%, 25%)", (0, 128, 0)),
        ("hsl(120 75% 75%)", (143, 239, 143)),
        ("hsl(120 100 50)", (0, 255, 0)),
        ("120°, 100%, 50%", (0, 255, 0)),
        ("Light Golden-Rod Yellow", (250, 250, 210)),
    ],
)
def test_examples_of_css(text, rgb):
    assert written_colour(text) == rgb


@given(st.integers(0, 360), st.integers(0, 100), st.integers(0, 100))
def test_hsl_is_that_of_colorsys(hue, saturation, lightness):
    expected = colorsys.hls_to_rgb(hue / 360, lightness / 100, saturation / 100)
    for text in (f"hsl({hue}, {saturation}%, {lightness}%)", f"{hue} {saturation}% {lightness}%"):
        found = written_colour(text)
        assert max(abs(byte - 255 * part) for byte, part in zip(found, expected, strict=True)) <= 0.5 + 1e-9


@pytest.mark.parametrize("name", sorted(set(ImageColor.colormap) - {"darkseagreen", "rebeccapurple"}))
def test_names_are_those_of_reportlab(name):
    """Its darkseagreen is older, see `test_css_names`."""
    known = getattr(reportlab.lib.colors, name, None)
    if known is not None:
        assert css_colour(name.upper()) == tuple(round(part * 255) for part in known.rgb())
    assert css_colour(name) is not None


@pytest.mark.parametrize(
    "text",
    [
        "",
        "abc",
        "12345",
        "#12",
        "#1234567",
        "300,0,0",
        "1,2",
        "1,2,3,4",
        "rgb(1,2)",
        "rgb(256,0,0)",
        "rgb(10%, 20, 30)",
        "rgba(1,2,3,0.5)",
        "rgb(1 2 3 / 50%)",
        "hsl(400, 10%, 10%)",
        "hsl(1, 101%, 10%)",
        "hsl(1, 10%, 10)",
        "transparent",
        "heron grey",
        "١,٢,٣",
        "#１２３４５６",
        "1" * 500,
        "a" * 500,
        "rgb(" * 30,
    ],
)
def test_no_colour(text):
    assert written_colour(text) is None


def test_a_name_is_no_number():
    assert numeric_colour("teal") is None
    assert numeric_colour("facade") == (0xFA, 0xCA, 0xDE)
    assert css_colour("facade") is None


@pytest.mark.parametrize(("letters", "rgb"), [(60, (31, 111, 165)), (61, None)])
def test_a_colour_has_at_most_sixty_letters(letters, rgb):
    for written in ("rgb({}31, 111, 165)", "31,{} 111, 165"):
        text = written.format(" " * (letters - len(written) + 2))
        assert len(text) == letters
        assert written_colour(text) == rgb
