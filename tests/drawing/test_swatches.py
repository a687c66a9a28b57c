import io

import numpy as np
from PIL import Image

from convert.colour.lab import srgb_to_lab
from convert.colour.srgb import parse_hex
from convert.drawing.style import INK
from convert.drawing.swatches import COLUMNS, DOTS_PER_INCH, draw_swatches
from convert.palette.model import BeadColour, Palette


def bead(code, colour, size="11/0", name=""):
    lab = tuple(srgb_to_lab(np.array(parse_hex(colour), np.uint8)).tolist())
    return BeadColour(code, name, size, colour, lab)


def colours_in(png):
    """Return the picture and how often each colour occurs in it."""
    picture = Image.open(io.BytesIO(png))
    picture.load()
    return picture, {to_hex: count for count, to_hex in picture.getcolors(1 << 24)}


def test_each_colour_is_there_as_a_bead():
    palette = Palette(
        "shelf", (bead("A", "#C03020"), bead("B", "#1060A0", "8/0"), bead("C", "#F0F0F0", None))
    )
    picture, colours = colours_in(draw_swatches(palette))
    assert picture.mode == "RGB"
    assert round(picture.info["dpi"][0]) == DOTS_PER_INCH
    for entry in palette.entries:
        # A bead of 8 mm by about 6 is some 2000 pixels at 200 dots per inch.
        assert colours[parse_hex(entry.hex)] > 1000
    assert colours[INK] > 50  # type


def test_rows_fill_up_before_the_next_begins():
    heights = []
    for count in (COLUMNS, COLUMNS + 1):
        palette = Palette("row", tuple(bead(f"A{n}", f"#{n + 16:02X}3020") for n in range(count)))
        heights.append(Image.open(io.BytesIO(draw_swatches(palette))).size[1])
    assert heights[0] < heights[1] < 2 * heights[0]


def test_a_colour_in_several_sizes_is_shown_once():
    one = Palette("p", (bead("A", "#C03020"),))
    two = Palette("p", (bead("A", "#C03020"), bead("A", "#C03020", "8/0")))
    size_of = [Image.open(io.BytesIO(draw_swatches(palette))).size for palette in (one, two)]
    assert size_of[0] == size_of[1]


def test_the_same_palette_gives_the_same_bytes():
    palette = Palette("p", (bead("A", "#C03020", name="a name far too long for the cell it stands in"),))
    assert draw_swatches(palette) == draw_swatches(palette)


def test_sizes_this_program_does_not_know_are_drawn_all_the_same():
    palette = Palette("p", (bead("A", "#C03020", "drop 3 mm"),))
    _, colours = colours_in(draw_swatches(palette))
    assert colours[(0xC0, 0x30, 0x20)] > 1000
