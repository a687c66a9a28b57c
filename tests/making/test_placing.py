"""Outlines cut from a sheet: size, symmetry and shape by shapely and by the beads, not by tables."""

import math

import numpy as np
import pytest
import shapely

from convert.errors import ShapeError, SizeError
from convert.making.frame import Frame
from convert.making.placing import Wanted, placed
from convert.making.shapes.silhouette import Silhouette
from convert.outline.drawn import DRAWN
from convert.outline.outline import Outline, outline_named
from convert.picture.model import Picture
from convert.thread.moves import distances, loop_neighbours
from convert.weave.beads import bead_size
from convert.weave.shapes import Sheet

FRAMES = {
    "one size": Frame((bead_size("11/0"),) * 2),
    "two sizes": Frame((bead_size("11/0"), bead_size("15/0"))),
}
WIDTHS = {"circle": 34, "oval": 28, "drop": 26, "heart": 30, "leaf": 24, "hexagon": 34, "diamond": 24}
SYMMETRIC_BOTH_WAYS = {"circle", "oval", "leaf", "hexagon", "diamond"}


def mirrored_alike(weave, axis):
    """Return whether the beads with their sizes are their own mirror image about the middle of an axis."""
    xy = weave.bead_xy
    middle = (xy[:, axis].min() + xy[:, axis].max()) / 2
    image = xy.copy()
    image[:, axis] = 2 * middle - image[:, axis]
    grid = {
        (*np.round(place, 4), size) for place, size in zip(xy.tolist(), weave.bead_size.tolist(), strict=True)
    }
    found = [
        any(
            (round(x + dx, 4), round(y + dy, 4), size) in grid
            for dx in (-1e-4, 0, 1e-4)
            for dy in (-1e-4, 0, 1e-4)
        )
        for (x, y), size in zip(image.tolist(), weave.bead_size.tolist(), strict=True)
    ]
    return all(found)


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("frame", FRAMES.values(), ids=FRAMES)
@pytest.mark.parametrize("name", DRAWN)
def test_outlines_are_symmetric_whole_and_of_their_size(name, frame, direction):
    layout = frame.outlined(name, WIDTHS[name], None, direction)
    weave = layout.weave
    assert mirrored_alike(weave, 0)
    if name in SYMMETRIC_BOTH_WAYS:
        assert mirrored_alike(weave, 1)
    # One piece, without holes: Euler's formula of a disc.
    assert distances(loop_neighbours(weave), 0).min() == 0
    assert weave.junctions - weave.beads + weave.loops == 1
    left, top, right, bottom = weave.extent_mm
    loop_mm = weave.spacing.pitch_mm
    # Rows about an axis come and go in pairs, and the last rows of a leaf's points fill less than a half.
    assert right - left == pytest.approx(WIDTHS[name], abs=loop_mm)
    assert bottom - top == pytest.approx(WIDTHS[name] / outline_named(name).aspect, abs=2.25 * loop_mm)
    # Built again it is the same, cores and all.
    again = layout.shape.build(frame.sizes, frame.spacing)
    np.testing.assert_array_equal(again.bead_size, weave.bead_size)


@pytest.mark.parametrize("name", DRAWN)
def test_a_large_piece_covers_what_its_outline_does(name):
    """The area of the loops is that of the outline, and they overlap but for the rim, by shapely."""
    frame = FRAMES["two sizes"]
    weave = frame.outlined(name, 150, None).weave
    pitch = weave.spacing.pitch_mm
    angles = np.pi / 6 + np.arange(6) * np.pi / 3
    ring = pitch / math.sqrt(3) * np.stack([np.cos(angles), np.sin(angles)], axis=-1)
    woven = shapely.union_all(shapely.polygons(weave.loop_xy[:, None] * (1, 1) + ring * 1.0001))
    left, top, right, bottom = woven.bounds
    line = outline_named(name)
    # Laid so that its box fills that of the loops.
    scale = (right - left) / line.size[0], (bottom - top) / line.size[1]
    ideal = shapely.Polygon(line.points * scale + (left, top))
    assert scale[0] == pytest.approx(scale[1], rel=0.05)
    assert woven.area == pytest.approx(ideal.area, rel=0.04)
    rim = pitch * woven.length
    assert shapely.symmetric_difference(woven, ideal).area < 0.5 * rim
    assert shapely.symmetric_difference(woven, ideal).area < 0.12 * ideal.area


@pytest.mark.parametrize("across", np.arange(2, 7, 0.5).tolist())
@pytest.mark.parametrize("pitch_mm", [2.9, 3.1, 3.7, 4.3])
def test_loops_that_are_halved_exactly_are_woven_on_both_sides_or_none(monkeypatch, pitch_mm, across):
    """A box whose sides run through centres of loops; scaled by nothing, so that they stay there."""
    monkeypatch.setattr("convert.making.placing._SCALES", (1.0,))
    x, y = across * pitch_mm, 2.5 * pitch_mm * math.sqrt(3)
    line = Outline.of("reed", np.array([(-x, -y), (x, -y), (x, y), (-x, y)]))
    # Of such loops finished size and cell are the same, so that nothing is taken off.
    loop_mm = (pitch_mm, pitch_mm * 2 / math.sqrt(3))
    woven = placed(line, Wanted(2 * x, 2 * y), pitch_mm, loop_mm, rows_down=False, gap_at_top=False)
    row, place = np.nonzero(woven)
    at = 2 * place + row % 2
    mirrored = at.min() + at.max() - at
    assert set(zip(row.tolist(), at.tolist(), strict=True)) == set(
        zip(row.tolist(), mirrored.tolist(), strict=True)
    )


@pytest.mark.parametrize("name", ["circle", "drop", "leaf", "diamond"])
@pytest.mark.parametrize("frame", FRAMES.values(), ids=FRAMES)
def test_what_is_to_hang_has_a_gap_in_the_middle_of_its_top(name, frame):
    weave = frame.outlined(name, 30, None, to_hang=True).weave
    middle = (weave.bead_xy[:, 0].min() + weave.bead_xy[:, 0].max()) / 2
    off = np.abs(weave.loop_xy[:, 0] - middle) / weave.spacing.pitch_mm
    top = weave.loop_xy[:, 1].min()
    assert not ((off < 0.25) & (weave.loop_xy[:, 1] < top + 0.1)).any()
    assert mirrored_alike(weave, 0)


def test_width_and_height_stretch_an_outline():
    weave = FRAMES["one size"].outlined("circle", 60, 30).weave
    left, top, right, bottom = weave.extent_mm
    assert right - left == pytest.approx(60, abs=3)
    assert bottom - top == pytest.approx(30, abs=3.5)
    tall = FRAMES["one size"].outlined("heart", None, 60).weave.extent_mm
    assert tall[3] - tall[1] == pytest.approx(60, abs=3.5)


def test_a_picture_may_leave_part_of_an_outline_bare():
    frame = FRAMES["one size"]
    whole = frame.outlined("circle", 60, None)
    pixels = np.zeros((100, 100, 3), np.uint8)
    alpha = np.full((100, 100), 255, np.uint8)
    alpha[:, :50] = 0
    cut = frame.cut_out(whole, Silhouette(), Picture("reed", pixels, alpha))
    assert isinstance(cut.shape, Sheet)
    assert (cut.shape.woven <= whole.shape.woven).all()
    assert cut.weave.loops == pytest.approx(whole.weave.loops / 2, rel=0.1)
    assert cut.weave.loop_xy[:, 0].min() > whole.weave.loop_xy[:, 0].mean() - 3
    # Where it covers all the outline stays.
    faint = Picture("reed", pixels, np.full((100, 100), 254, np.uint8))
    opaque = frame.cut_out(whole, Silhouette(), faint)
    assert (opaque.shape.woven == whole.shape.woven).all()


@pytest.mark.parametrize(
    ("arguments", "error", "message"),
    [
        (("heart", 3, None), ShapeError, "smaller than a few loops"),
        (("diamond", 6, None), ShapeError, "too small|smaller"),
        (("heart", 0, None), SizeError, "a width of 0 mm cannot be"),
        (("heart", None, math.nan), SizeError, "a height of nan mm cannot be"),
        (("heart", math.inf, None), SizeError, "a width of inf mm cannot be"),
        (("heart", 9_000, None), SizeError, "more than the limit"),
        (("swan", 30, None), ShapeError, "there is no outline 'swan'"),
    ],
)
def test_impossible_outlines(arguments, error, message):
    with pytest.raises(error, match=message) as refused:
        FRAMES["one size"].outlined(*arguments)
    assert refused.value.hint
