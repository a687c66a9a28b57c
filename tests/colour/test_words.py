from collections import Counter

import numpy as np
import pytest
from PIL import ImageColor

from convert.colour.lab import lab_to_linear, srgb_to_lab
from convert.colour.words import WORDS, plain_words


# CSS Color Module Level 4, named colours, as Pillow tables them: they are called as people call them.
@pytest.mark.parametrize(
    ("css", "word"),
    [
        ("white", "white"), ("black", "black"), ("gray", "grey"), ("dimgray", "dark grey"),
        ("lightgray", "light grey"), ("red", "red"), ("darkred", "dark red"), ("pink", "light pink"),
        ("hotpink", "pink"), ("coral", "orange"), ("salmon", "coral"), ("orange", "orange"),
        ("yellow", "yellow"), ("khaki", "light yellow"), ("olive", "olive"), ("green", "green"),
        ("darkgreen", "dark green"), ("lightgreen", "light green"), ("yellowgreen", "yellow green"),
        ("turquoise", "light turquoise"), ("lightseagreen", "turquoise"), ("teal", "dark turquoise"),
        ("skyblue", "light blue"), ("royalblue", "blue"), ("blue", "blue"), ("navy", "dark blue"),
        ("slateblue", "violet"), ("purple", "purple"), ("plum", "lilac"), ("magenta", "magenta"),
        ("tan", "beige"), ("ivory", "cream"), ("saddlebrown", "rust"), ("darkslategray", "dark grey"),
    ],
)  # fmt: skip
def test_named_colours_get_the_word_people_use(css, word):
    rgb = np.array([ImageColor.getrgb(css)[:3]], np.uint8)
    assert plain_words(srgb_to_lab(rgb)) == [word]


def test_each_colour_of_a_word_has_that_word():
    labs = [(word, lab) for word, colours in WORDS.items() for lab in colours]
    assert plain_words(np.array([lab for _, lab in labs], float)) == [word for word, _ in labs]


def test_words_stay_where_they_are():
    """How many colours of an even lattice within sRGB have each word.

    People know their beads by these words: a colour moved by one step takes some from its neighbour.
    """
    axes = np.arange(3.7, 100, 4.3), np.arange(-90.6, 100, 5.1), np.arange(-110.4, 100, 5.1)
    labs = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    linear = lab_to_linear(labs)
    labs = labs[((linear >= 0) & (linear <= 1)).all(axis=1)]
    assert Counter(plain_words(labs)) == {
        "white": 21, "cream": 51, "light grey": 52, "grey": 72, "dark grey": 122, "black": 66, "beige": 89,
        "light brown": 95, "brown": 138, "dark brown": 117, "light pink": 77, "pink": 257, "dusty pink": 164,
        "red": 209, "dark red": 159, "coral": 125, "orange": 160, "rust": 186, "light yellow": 103,
        "yellow": 111, "mustard": 139, "olive": 318, "light olive": 185, "yellow green": 258,
        "light green": 358, "green": 358, "grey green": 166, "dark green": 164, "light turquoise": 163,
        "turquoise": 210, "dark turquoise": 57, "light blue": 165, "blue": 327, "grey blue": 91,
        "dark blue": 188, "lilac": 276, "violet": 315, "purple": 413, "dark purple": 227, "magenta": 396,
        "plum": 216,
    }  # fmt: skip
