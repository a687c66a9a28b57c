import io

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import srgb_to_lab
from convert.colour.srgb import parse_hex
from convert.drawing.shelf_sheet import (
    ALIKE_MARK,
    COLUMNS,
    DEFICIENCY_MARK,
    DOTS_PER_INCH,
    draw_shelf_pdf,
    draw_shelf_png,
    shelf_cards,
)
from convert.drawing.style import INK
from convert.palette.assortment import describe
from convert.palette.model import BeadColour, Palette
from convert.palette.palette_file import read_palette
from convert.palette.resources import palette_path
from convert.units import A4, LETTER, MM_PER_POINT


def bead(code, colour, size="11/0", name="", **stock):
    lab = tuple(srgb_to_lab(np.array(parse_hex(colour), np.uint8)).tolist())
    return BeadColour(code, name, size, colour, lab, **stock)


def colours_in(png):
    """Return the picture and how often each colour occurs in it."""
    picture = Image.open(io.BytesIO(png))
    picture.load()
    return picture, {to_hex: count for count, to_hex in picture.getcolors(1 << 24)}


def words_of(pdf):
    document = pypdfium2.PdfDocument(pdf)
    return [page.get_textpage().get_text_range() for page in document]


def test_each_colour_is_there_as_a_bead():
    palette = Palette(
        "shelf", (bead("A", "#C03020"), bead("B", "#1060A0", "8/0"), bead("C", "#F0F0F0", None))
    )
    picture, colours = colours_in(draw_shelf_png(palette))
    assert picture.mode == "RGB"
    assert round(picture.info["dpi"][0]) == DOTS_PER_INCH
    for entry in palette.entries:
        # A bead of 13 mm by about 9 is some 6000 pixels at 200 dots per inch.
        assert colours[parse_hex(entry.hex)] > 4000
    assert colours[INK] > 50  # type


def test_rows_fill_up_before_the_next_begins():
    heights = []
    for count in (COLUMNS, COLUMNS + 1):
        palette = Palette("row", tuple(bead(f"A{n}", f"#{n + 16:02X}3020") for n in range(count)))
        heights.append(Image.open(io.BytesIO(draw_shelf_png(palette))).size[1])
    assert heights[0] < heights[1] < 2 * heights[0]


def test_a_colour_in_several_sizes_is_shown_once():
    one = Palette("p", (bead("A", "#C03020"),))
    two = Palette("p", (bead("A", "#C03020"), bead("A", "#C03020", "8/0")))
    size_of = [Image.open(io.BytesIO(draw_shelf_png(palette))).size for palette in (one, two)]
    assert size_of[0] == size_of[1]
    assert "8/0" in words_of(draw_shelf_pdf(two))[0]


def test_the_same_palette_gives_the_same_bytes():
    palette = Palette("p", (bead("A", "#C03020", name="a name far too long for the cell it stands in"),))
    assert draw_shelf_png(palette) == draw_shelf_png(palette)
    assert draw_shelf_pdf(palette) == draw_shelf_pdf(palette)


@pytest.mark.parametrize("paper", [A4, LETTER])
@pytest.mark.parametrize("name", ["workshop-shelf", "lakeside-range"])
def test_everything_is_on_the_pages_and_within_their_margins(name, paper):
    palette, _ = read_palette(palette_path(name))
    pdf = draw_shelf_pdf(palette, paper)
    words = "\n".join(words_of(pdf))
    for entry in palette.entries:
        assert f"{entry.code}\r\n{entry.name}" in words or f"{entry.code}\n{entry.name}" in words
    assert all(words.count(f"{number} of ") for number in range(1, len(words_of(pdf)) + 1))
    for page in pypdfium2.PdfDocument(pdf):
        width, height = (side * MM_PER_POINT for side in page.get_size())
        assert (width, height) == pytest.approx((paper.width_mm, paper.height_mm), abs=0.01)
        grey = np.asarray(page.render(scale=1).to_pil().convert("L"))
        rows, columns = np.nonzero(grey < 250)
        dots = grey.shape[1] / width
        assert columns.min() >= 11 * dots
        assert columns.max() <= (width - 11) * dots
        assert rows.max() <= (height - 7) * dots


def test_stock_is_told_for_each_size():
    palette = Palette(
        "p",
        (
            bead("A", "#C03020", "11/0", "robin", on_hand=1250),
            bead("A", "#C03020", "8/0", "robin", on_hand_g=12.5),
            bead("A", "#C03020", "6/0", "robin", on_hand=0),
            bead("A", "#C03020", "15/0", "robin"),
        ),
    )
    words = words_of(draw_shelf_pdf(palette))[0]
    for told in ("11/0: 1,250 beads", "8/0: 12.5 g", "6/0: none", "15/0"):
        assert told in words
    assert "15/0:" not in words


def test_greys_come_first_then_hues_each_from_light_to_dark():
    greys = ["#FFFFFF", "#999999", "#111111"]
    # From red through yellow, green and blue to violet: the order of the rainbow (Newton, Opticks, 1704).
    rainbow = [
        "#FF9999",
        "#CC2222",
        "#FFAA33",
        "#FFEE33",
        "#55CC33",
        "#117722",
        "#22BBBB",
        "#4488EE",
        "#8844CC",
    ]
    shuffled = [*rainbow[::-2], *greys[::-1], *rainbow[-2::-2]]
    assert sorted(shuffled) == sorted(rainbow + greys)
    palette = Palette("p", tuple(bead(f"C{number}", colour) for number, colour in enumerate(shuffled)))
    assert [card.entries[0].hex for card in shelf_cards(palette)] == greys + rainbow


def test_look_alikes_are_marked_on_both():
    palette, _ = read_palette(palette_path("lakeside-range"))
    cards = {card.entries[0].code: card for card in shelf_cards(palette)}
    found = describe(palette, {})
    pairs = [(pair, name) for name, pairs in {"": found.alike, **found.alike_with}.items() for pair in pairs]
    assert len(pairs) > 50
    for pair, deficiency in pairs:
        first, second = (palette.entries[entry].code for entry in (pair.first, pair.second))
        for one, other in ((first, second), (second, first)):
            told = cards[one].alike_with if deficiency else cards[one].alike
            assert other in told


def test_marks_stand_beside_the_code():
    # Two reds that differ by 1, and a red and a green of one lightness.
    palette = Palette("p", (bead("A", "#C03020"), bead("B", "#C13121"), bead("C", "#1060A0")))
    assert 0 < ciede2000(np.array(palette.entries[0].lab), np.array(palette.entries[1].lab)) < 1
    words = words_of(draw_shelf_pdf(palette))[0]
    assert f"{ALIKE_MARK} B" in words
    assert f"{ALIKE_MARK} A" in words
    assert words.count(ALIKE_MARK) == 3  # and in the legend
    assert words.count(DEFICIENCY_MARK) == 1
    assert "small children" in words


def test_names_of_any_script_and_length_are_drawn():
    names = ["Höckerschwan", "می خواهم", "x" * 200, "", "水鳥", "<b>&"]
    palette = Palette(
        "p" * 200, tuple(bead("Q" * 150 + str(n), "#C03020", name=name) for n, name in enumerate(names))
    )
    assert len(words_of(draw_shelf_pdf(palette))) == 1
    assert draw_shelf_png(palette)
