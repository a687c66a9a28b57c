import pytest
import reportlab.lib.colors
from PIL import ImageColor

from convert.colour.css_names import colour_called, named_colour
from convert.errors import ConvertError

# reportlab keeps an older value of darkseagreen, and lacks two names that came later.
REPORTLAB = {
    name.lower(): colour
    for name, colour in vars(reportlab.lib.colors).items()
    if isinstance(colour, reportlab.lib.colors.Color) and name not in ("darkseagreen", "transparent")
}


def test_all_names_of_css_are_known():
    """CSS Color Module Level 4, section 6.1: 148 names, of which seven pairs differ in gray and grey only."""
    assert len(ImageColor.colormap) == 148
    assert sum("grey" in name for name in ImageColor.colormap) == 7


@pytest.mark.parametrize("name", sorted(set(ImageColor.colormap) & set(REPORTLAB)))
def test_names_have_the_values_reportlab_gives_them(name):
    red, green, blue = colour_called(name)
    assert f"0x{red:02x}{green:02x}{blue:02x}" == REPORTLAB[name].hexval()


@pytest.mark.parametrize(
    ("text", "rgb"),
    [
        ("rebeccapurple", (0x66, 0x33, 0x99)),  # CSS Color 4, section 6.1
        ("DarkSeaGreen", (143, 188, 143)),  # the same table
        (" Teal ", (0, 128, 128)),
        ("#1f6FA5", (0x1F, 0x6F, 0xA5)),
        ("1F6FA5", (0x1F, 0x6F, 0xA5)),
    ],
)
def test_reads_what_people_type(text, rgb):
    assert named_colour(text) == rgb


@pytest.mark.parametrize("text", ["", "#fff", "transparent", "rgb(1,2,3)", "1F6FA", "١٢٣٤٥٦", "bird.png"])
def test_no_colour(text):
    assert named_colour(text) is None
    with pytest.raises(ConvertError, match="is no colour"):
        colour_called(text)


def test_hint_for_a_slip():
    with pytest.raises(ConvertError) as error:
        colour_called("turquise")
    assert "turquoise" in error.value.hint
