"""In which order a picture is made ready: mask, turning and crop, ground, margins, crop to a shape, tones."""

import numpy as np
import pytest
from PIL import Image

from convert.errors import PictureError
from convert.picture.model import Picture
from convert.picture.readying import check_no_picture, made_ready
from convert.settings.picture import PictureSettings


def disc(ground=255):
    """A disc right of the middle on plain ground."""
    y, x = np.mgrid[:200, :300]
    ink = np.hypot(x - 180, y - 100) < 60
    return Picture("disc", np.where(ink[..., None], (40, 60, 90), ground).astype(np.uint8))


def ready(picture=None, aspect=None, *, woven_whole=False, **settings):
    return made_ready(picture or disc(), PictureSettings(**settings), aspect, woven_whole=woven_whole)


def test_ground_is_left_out_and_margins_cut():
    found = ready(ground="auto")
    height, width = found.alpha.shape
    assert abs(width - 120) <= 2
    assert abs(height - 120) <= 2
    assert found.kept == pytest.approx((0.4, 0.2, 0.4, 0.6), abs=0.01)
    assert found.adjustments == ("ground (white) left out",)


def test_of_plain_ground_that_is_kept_there_is_a_note_unless_that_was_asked_for():
    assert any("--ground auto would leave it out" in note for note in ready().notes)
    assert ready(ground="keep").notes == ()
    assert ready(woven_whole=True).notes == ()
    assert ready().alpha is None


def test_a_piece_that_is_woven_whole_keeps_its_margins():
    found = ready(ground="auto", woven_whole=True)
    assert found.alpha.shape == (200, 300)
    assert found.alpha[5, 5] == 0


def test_ground_is_that_of_the_crop():
    """Paper on a dark table: the crop shows paper at its border."""
    pixels = np.full((400, 500, 3), (60, 40, 30), np.uint8)
    pixels[100:300, 100:400] = disc().pixels
    table = Picture("table", pixels)
    found = ready(table, crop="0.2,0.25,0.6,0.5", ground="auto")
    assert abs(found.alpha.shape[1] - 120) <= 2
    assert found.adjustments == ("cropped to 0.2,0.25,0.6,0.5", "ground (white) left out")


def test_ground_is_found_in_the_tones_of_the_picture_and_turned_with_it():
    found = ready(ground="white", rotate=90, brightness=0.5, flip="down")
    assert found.adjustments == (
        "rotated 90 degrees clockwise",
        "flipped down",
        "ground (white) left out",
        "brightness 0.5",
    )
    middle = tuple(side // 2 for side in found.alpha.shape)
    assert found.pixels[middle].tolist() == [20, 30, 45]
    assert found.alpha[middle] == 255


def test_an_automatic_crop_comes_after_the_margins():
    pixels = np.full((200, 300, 3), 255, np.uint8)
    pixels[80:120, 20:280] = (40, 60, 90)
    pixels[80:120, 200:280][:, ::4] = (200, 60, 90)
    found = ready(Picture("bar", pixels), 2.0, ground="auto", crop="auto")
    height, width = found.alpha.shape
    assert abs(height - 40) <= 2
    assert abs(width - 80) <= 4
    # Of the bar, which has margins no more, the part whose edges are most; what it is a part of is the crop.
    assert found.kept == (0.0, 0.0, 1.0, 1.0)
    assert found.adjustments[0] == "ground (white) left out"
    assert found.adjustments[1].startswith("cropped to ")


def test_a_mask_is_of_the_picture_as_it_is_in_its_file(tmp_path):
    values = np.zeros((200, 300), np.uint8)
    values[50:100, 200:300] = 255
    Image.fromarray(values).save(tmp_path / "mask.png")
    found = ready(mask=str(tmp_path / "mask.png"), rotate=90)
    assert found.alpha.shape == (100, 50)
    assert found.adjustments == ("masked by mask", "rotated 90 degrees clockwise")
    assert found.coloured_throughout
    with pytest.raises(PictureError, match="there is no picture"):
        ready(mask=str(tmp_path / "none.png"))


@pytest.mark.parametrize("asked", [{"ground": "auto"}, {"ground_holes": True}, {"mask": "m.png"}])
def test_without_a_picture_there_is_nothing_to_leave_out(asked):
    (name,) = asked
    with pytest.raises(
        PictureError, match=f"^--{name.replace('_', '-')} says what of a picture is not woven"
    ):
        check_no_picture(PictureSettings(**asked))
    check_no_picture(PictureSettings(crop="auto"))
