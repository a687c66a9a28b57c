import numpy as np
import pytest
from skimage.feature import canny

from convert.picture.edges import Edges

EVERYWHERE = np.ones((64, 64), bool)


def step(contrast, at=32):
    lab = np.zeros((64, 64, 3))
    lab[..., 0] = 20
    lab[:, at:, 0] += contrast
    return lab


@pytest.mark.parametrize(
    ("woven", "share"),
    [
        (step(60), 1.0),
        (step(31), 1.0),
        (step(29), 0.0),
        (step(-60), 0.0),
        (step(0), 0.0),
        (step(60, at=50), 0.0),
    ],
)
def test_an_edge_survives_with_half_its_contrast(woven, share):
    assert Edges(step(60), (1.5,)).kept(woven, EVERYWHERE) == share


def test_a_lone_edge_may_be_out_of_place_where_coarser_things_count():
    moved = step(60, at=35)
    assert Edges(step(60), (1.5,)).kept(moved, EVERYWHERE) == 0
    assert Edges(step(60), (1.5, 3.0, 6.0)).kept(moved, EVERYWHERE) == 1
    # A thin line is gone under a wide Gaussian, so that it is judged under a narrow one.
    line = step(0)
    line[:, 31:34, 0] = 80
    aside = np.roll(line, 6, axis=1)
    assert Edges(line, (1.5, 3.0, 6.0)).kept(aside, EVERYWHERE) == 0


def test_edges_of_colour_alone_count():
    picture = step(0)
    picture[:, 32:, 1] = 40
    assert Edges(picture, (1.5,)).kept(picture, EVERYWHERE) == 1
    assert Edges(picture, (1.5,)).kept(step(0), EVERYWHERE) == 0


@pytest.mark.parametrize("spread", [1.5, 3.0])
def test_an_edge_begins_at_a_step_of_ten(spread):
    # Pixels blunt a step a little.
    below, above = (Edges(step(contrast), (spread,)) for contrast in (9.5, 11.5))
    assert below.kept(step(10), EVERYWHERE) is None
    assert above.kept(step(10), EVERYWHERE) == 1


def test_an_edge_goes_on_while_the_step_is_five():
    """A step that fades from top to bottom is one edge as far down as it is 5 high."""
    picture = step(0)
    picture[:, 32:, 0] += np.linspace(20, 0, 64)[:, None]
    rows = np.arange(64)[:, None] * np.ones(64, int)
    edges = Edges(picture, (1.5,))
    assert edges.kept(picture, (rows > 36) & (rows < 46)) == 1
    assert edges.kept(picture, rows > 50) is None


def test_an_even_picture_has_no_edges():
    assert Edges(step(3), (1.5,)).kept(step(0), EVERYWHERE) is None


@pytest.mark.parametrize("turned", [False, True], ids=["across", "down"])
@pytest.mark.parametrize("channel", [0, 1, 2])
def test_edges_of_each_kind_count_by_themselves(channel, turned):
    """An edge down and an edge across, in L*, a* or b*, is looked for where it is and not in the others."""
    picture = np.zeros((64, 64, 3))
    picture[:, 32:, channel] = 40
    other = np.roll(picture, 1, axis=2)
    if turned:
        picture, other = picture.swapaxes(0, 1), other.swapaxes(0, 1)
    edges = Edges(picture, (1.5,))
    assert edges.kept(picture, EVERYWHERE) == 1
    assert edges.kept(0.52 * picture, EVERYWHERE) == 1
    assert edges.kept(0.48 * picture, EVERYWHERE) == 0
    assert edges.kept(other, EVERYWHERE) == 0


def test_fewer_than_eight_pixels_are_no_edge():
    picture = step(60)
    edges = Edges(picture, (1.5,))
    rows = np.arange(64)[:, None] * np.ones(64, int)
    across = np.abs(np.arange(64) - 31.5) < 0.6  # Canny thins an edge to one pixel or two
    seen = [edges.kept(picture, (rows >= 20) & (rows < 20 + count) & across) for count in range(13)]
    found = [canny(picture[..., 0], 1.5)[20 : 20 + count, across].sum() for count in range(13)]
    assert 7 in found
    assert 8 in found
    assert [share is not None for share in seen] == [count >= 8 for count in found]


def test_only_edges_that_count_are_shared_out():
    """Half of an edge is woven, half is not: the share is that of the part looked at."""
    picture = step(60)
    woven = picture.copy()
    woven[32:] = 20
    rows = np.arange(64)[:, None] * np.ones(64, int)
    edges = Edges(picture, (1.5,))
    assert edges.kept(woven, rows < 28) == 1
    assert edges.kept(woven, rows > 36) == 0
    assert edges.kept(woven, EVERYWHERE) == pytest.approx(0.5, abs=0.05)


def test_the_gaussian_reaches_two_spreads_and_more():
    """Beside it at two spreads a step tells exp(-2), or a seventh, of what it tells at its own place."""
    picture = step(60)
    edges = Edges(picture, (2.0,))
    for opposite, kept in ((60, 1), (600, 0)):
        woven = picture.copy()
        woven[:, 36:, 0] -= opposite
        assert edges.kept(woven, EVERYWHERE) == kept


def test_the_widest_gaussian_that_still_shows_a_step_is_taken():
    """A step moved by d keeps exp(-d^2 / 2 s^2) of its slope under a spread s: half at d = 1.18 s."""
    moved = step(60, at=37)
    assert Edges(step(60), (1.5, 3.0)).kept(moved, EVERYWHERE) == 0
    assert Edges(step(60), (1.5, 3.0, 6.0)).kept(moved, EVERYWHERE) == 1
    assert Edges(step(60), (1.5, 6.0)).kept(moved, EVERYWHERE) == 1


def test_a_picture_keeps_its_own_edges_whatever_their_widths():
    picture = step(40, at=44)
    picture[:, 14:16, 0] = 90
    picture[40:, :, 2] = 30
    for spreads in ((1.5,), (1.5, 3.0, 6.0)):
        assert Edges(picture, spreads).kept(picture, EVERYWHERE) == 1
