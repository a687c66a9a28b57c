import numpy as np
import pytest
from PIL import ImageColor

from convert.colour.lab import srgb_to_lab
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
