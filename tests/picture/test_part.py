import numpy as np
import pytest

from convert.errors import SizeError
from convert.picture.model import Picture
from convert.picture.part import Part, part_named, picture_part, reduced, resized


def half():
    """A black square whose left half is transparent, with a red shade that must not show."""
    alpha = np.zeros((1600, 1600), np.uint8)
    alpha[:, 801:] = 255
    pixels = np.zeros((1600, 1600, 3), np.uint8)
    pixels[:, :801, 0] = 200
    return Picture("half", pixels, alpha)


def test_a_picture_made_smaller_stays_transparent():
    small = reduced(half(), 2)
    assert small.pixels.shape == (800, 800, 3)
    assert (small.alpha[:, :400] == 0).all()
    # The pixel across the edge is half there, and has the colour of what is there.
    assert small.alpha[0, 400] in (127, 128)
    assert (small.pixels[:, 400:] == 0).all()


def test_what_is_transparent_lies_on_white():
    shown = picture_part(half(), (0, 0, 1600, 1600))
    assert (shown[:, :801] == 255).all()
    assert (shown[:, 801:] == 0).all()


def test_a_box_is_resized_to_its_own_pixels():
    pixels = np.zeros((100, 100, 3), np.uint8)
    pixels[20:40, 30:50] = 255
    shown = resized(Picture("square", pixels), (30, 20, 50, 40), (7, 9))
    assert shown.shape == (7, 9, 3)
    assert (shown == 255).all()


def test_pixels_that_a_box_only_touches_belong_to_it():
    pixels = np.arange(300, dtype=np.uint32).reshape(10, 10, 3).astype(np.uint8)
    shown = picture_part(Picture("ramp", pixels), (2.6, 3.4, 5.1, 7.2))
    assert (shown == pixels[3:8, 2:6]).all()


def test_a_part_drawn_larger_has_no_steps():
    pixels = np.repeat(np.array([0, 200], np.uint8)[None, :, None], 3, axis=2)
    shown = resized(Picture("two", pixels), (0, 0, 2, 1), (1, 8))[0, :, 0].astype(int)
    assert (np.diff(shown)[2:5] > 0).all()
    assert (shown[0], shown[-1]) == (0, 200)


@pytest.mark.parametrize(
    "text",
    ["", "1,2,3", "a,b,c,d", "0,0,0,1", "0,0,1,0", "0.5,0,0.6,1", "-0.1,0,0.5,1", "0,0,nan,1", "0,0,1,inf"],
)
def test_parts_that_are_none_are_refused_in_one_line(text):
    with pytest.raises(SizeError) as refused:
        part_named(text, "--detail")
    assert "\n" not in str(refused.value)
    assert refused.value.hint


def test_a_part_is_read():
    assert part_named("0.1, 0.2,.3,0.4", "--detail") == Part(0.1, 0.2, 0.3, 0.4)
    assert part_named("0,0,1,1", "--detail").is_whole
