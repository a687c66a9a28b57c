import numpy as np
import pytest

from convert.errors import SizeError
from convert.part import Part, part_named, reduced
from convert.picture import Picture


def test_transparent_parts_are_white():
    alpha = np.zeros((1600, 1600), np.uint8)
    alpha[:, 800:] = 255
    small = reduced(Picture("half", np.zeros((1600, 1600, 3), np.uint8), alpha), 2)
    assert small.pixels.shape == (800, 800, 3)
    assert (small.pixels[:, :400] == 255).all()
    assert (small.pixels[:, 400:] == 0).all()


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
