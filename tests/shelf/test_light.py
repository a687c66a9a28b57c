"""What the light did is undone by paper and by a grey card, of which it is known what they reflect."""

import numpy as np
import pytest

from convert.errors import PictureError
from convert.shelf.light import by_card, by_grey_card, by_paper, values_as_printed
from tests.shelf.flat import found_of, paper


def on_paper(*things):
    """Return light and labels of rectangles: top, left, height, width, and light; each is one thing."""
    flat, labels = paper((200, 300)), np.zeros((200, 300), int)
    for number, (top, left, height, width, light) in enumerate(things, start=1):
        place = np.s_[top : top + height, left : left + width]
        flat[place], labels[place] = light, number
    return flat, labels


def is_card(flat, labels):
    try:
        by_grey_card(flat, found_of(labels), "tray")
    except PictureError as error:
        assert "tray: no grey card found" in str(error)
        return False
    return True


def test_paper_is_taken_for_white():
    """Office paper reflects 0.87 of the light: Y = 0.87 is L* 94.7 (CIE 15)."""
    correction = by_paper()
    assert (correction.basis, correction.off) == ("paper", None)
    assert correction.lab(np.ones((1, 3), np.float32)) == pytest.approx(np.array([[94.74, 0, 0]]), abs=0.02)


def test_less_than_no_light_is_black():
    assert by_paper().lab(np.full((1, 3), -0.1, np.float32)) == pytest.approx(np.zeros((1, 3)))


def test_a_grey_card_reflects_eighteen_in_a_hundred():
    flat, labels = on_paper((20, 20, 30, 40, (0.1, 0.3, 0.3)), (80, 100, 60, 90, (0.2, 0.25, 0.16)))
    correction, card = by_grey_card(flat, found_of(labels), "tray")
    assert (correction.basis, card) == ("grey", 1)
    assert np.array([0.2, 0.25, 0.16]) @ correction.matrix.T == pytest.approx([0.18] * 3)
    assert (correction.matrix == np.diag(np.diag(correction.matrix))).all()


@pytest.mark.parametrize("order", [1, -1])
def test_of_several_grey_things_the_largest_is_the_card(order):
    things = [(20, 20, 30, 40, 0.2), (80, 100, 60, 90, 0.25), (20, 200, 40, 30, 0.3)][::order]
    assert by_grey_card(*with_found(things), "tray")[1] == 1


def with_found(things):
    flat, labels = on_paper(*things)
    return flat, found_of(labels)


@pytest.mark.parametrize(("light", "grey"), [(0.118, False), (0.122, True), (0.35, True), (0.37, False)])
def test_a_grey_card_is_neither_dark_nor_light(light, grey):
    assert is_card(*on_paper((20, 20, 50, 70, light))) == grey


def test_how_light_it_is_goes_by_luminance():
    """Y of linear sRGB weighs 0.2126, 0.7152 and 0.0722 (IEC 61966-2-1)."""
    assert is_card(*on_paper((20, 20, 50, 70, (0.9, 0.01, 0.01))))
    assert not is_card(*on_paper((20, 20, 50, 70, (0.01, 0.9, 0.01))))
    assert not is_card(*on_paper((20, 20, 50, 70, (0.01, 0.01, 0.9))))


@pytest.mark.parametrize(("spread", "grey"), [(0.0905, True), (0.0955, False)])
def test_a_grey_card_is_plain(spread, grey):
    """Two levels about 0.2 of paper of 0.87: by CIE 15 L* grows by 116/3 Y^(1/3) = 21.6 times their share."""
    flat, labels = on_paper((20, 20, 60, 80, 0.2))
    flat[labels > 0] *= np.resize([1 + spread, 1 - spread], (labels > 0).sum())[:, None].astype(np.float32)
    assert is_card(flat, labels) == grey


def test_only_the_middle_of_a_grey_card_is_looked_at():
    """The inner half by depth: what lies about it may be its frame."""
    flat, labels = on_paper((20, 20, 81, 81, 0.9))
    flat[40:81, 40:81] = 0.2
    assert is_card(flat, labels)
    flat[40, 50] = 0.9
    flat[40:43, 40:81] = 0.9
    assert not is_card(flat, labels)


@pytest.mark.parametrize(("notch", "grey"), [(23, True), (27, False)])
def test_a_grey_card_fills_its_hull(notch, grey):
    """A wedge is cut out of a square from its right side to its left: so many hundredths of it."""
    flat, labels = on_paper((20, 20, 100, 100, 0.2))
    y, x = np.mgrid[:100, :100]
    labels[20:120, 20:120][(np.abs(y - 49.5) < notch * (x - 0.5) / 100)] = 0
    assert is_card(flat, labels) == grey


def test_dark_patches_weigh_by_the_cube_root():
    """As the power -2/3 of luminance, from 0.01 on: the solution of normal equations worked out apart."""
    values = values_as_printed()
    seen = np.maximum(_linear(values), 1e-6) ** np.array([1.2, 1.1, 0.9])
    wanted = _linear(values)
    weight = np.maximum(wanted @ [0.2126390, 0.7151687, 0.0721923], 0.01) ** (-4 / 3)
    solved = np.linalg.solve(seen.T * weight @ seen, seen.T * weight @ wanted)
    correction = by_card(seen, values)
    assert correction.basis == "card"
    assert correction.matrix == pytest.approx(solved.T, abs=4e-4)


def _linear(lab):
    """Return linear sRGB of CIELAB under D65 by the formulas of CIE 15 and IEC 61966-2-1."""
    f_y = (lab[:, 0] + 16) / 116
    f = np.stack([f_y + lab[:, 1] / 500, f_y, f_y - lab[:, 2] / 200], axis=1)
    white = np.array([0.95047, 1.0, 1.08883])
    xyz = np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29)) * white
    matrix = [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]]
    return xyz @ np.array(matrix).T
