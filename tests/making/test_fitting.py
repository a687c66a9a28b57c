"""The size asked for is the size of what is woven: by shapely, over the outlines of the beads."""

import numpy as np
import pytest
import shapely

from convert.errors import PictureError, SizeError
from convert.making.frame import Frame
from convert.making.from_picture import FromPicture
from convert.making.options import PanelOptions
from convert.making.over_picture import bead_means, loop_coverage
from convert.making.pipeline import make
from convert.making.shapes.rectangle import Rectangle
from convert.making.shapes.silhouette import Silhouette
from convert.making.shapes.strip import Strip
from convert.making.woven_part import woven_part
from convert.picture.margins import shaped, trimmed
from convert.picture.model import Picture
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from tests.making.test_pipeline import PALETTE

ONE, TWO = ("11/0", "11/0"), ("11/0", "8/0")


def frame(sizes=ONE):
    return Frame(tuple(map(bead_size, sizes)))


def outline_mm(weave):
    """Width and height of a piece: beads as ellipses along and across their holes, put together by shapely.

    An outline is an ellipse at most: its reach is that of the model, which its own tests check.
    """
    shapes = []
    for (x, y), (reach_x, reach_y) in zip(weave.bead_xy, weave.bead_reach, strict=True):
        shapes.append(shapely.box(x - reach_x, y - reach_y, x + reach_x, y + reach_y))
    left, top, right, bottom = shapely.union_all(shapes).bounds
    return right - left, bottom - top


def picture_of(inside, shape=(600, 800)):
    """Noise where a function of x and y from -1 to 1 says so, transparent elsewhere, without margins."""
    y, x = np.mgrid[-1 : 1 : shape[0] * 1j, -1 : 1 : shape[1] * 1j]
    alpha = np.where(inside(x, y), 255, 0).astype(np.uint8)
    pixels = np.random.default_rng(5).integers(0, 256, (*shape, 3), dtype=np.uint8)
    return trimmed(Picture("it", pixels, alpha))


SHAPES = {
    "disc": lambda x, y: x**2 + y**2 < 0.7,
    "drop": lambda x, y: (x**2 + (y - 0.3) ** 2 < 0.3) | ((np.abs(x) < 0.35 * (y + 1)) & (y < 0.3)),
    # Long thin tips, too fine for a loop.
    "spindle": lambda x, y: np.abs(y) < 0.5 * (1 - np.abs(x)) ** 2,
    "margins": lambda x, y: (np.abs(x) < 0.3) & (np.abs(y) < 0.9),
}


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("sizes", [ONE, TWO], ids=["one size", "two sizes"])
@pytest.mark.parametrize("name", SHAPES)
def test_width_asked_for_is_woven_to_half_a_loop(name, sizes, direction):
    given = frame(sizes)
    for width in (50, 83, 120):
        layout = Silhouette(width_mm=width, direction=direction).lay_out(given, picture_of(SHAPES[name]))
        found = outline_mm(layout.weave)[0]
        # One loop more or less moves a side by half a loop or by one; of fine tips several come at once.
        most = 3.5 if name == "spindle" else 0.55
        assert abs(found - width) <= most * 2 * given.bead_spacing_mm(direction)
        told = [note for note in layout.notes if "was asked for" in note]
        assert bool(told) == (abs(found / width - 1) > 0.02)
        if told:
            assert f"a width of {width} mm was asked for" in told[0]
            assert told[0].endswith(f"and it is {found:.1f} mm")


def test_height_alone_and_both():
    given = frame()
    layout = Silhouette(height_mm=90).lay_out(given, picture_of(SHAPES["spindle"]))
    assert outline_mm(layout.weave)[1] == pytest.approx(90, abs=given.spacing.side_mm)
    disc = picture_of(SHAPES["disc"])
    inside = Silhouette(width_mm=60, height_mm=90, fit="contain").lay_out(given, disc)
    width, height = outline_mm(inside.weave)
    assert width == pytest.approx(60, abs=given.spacing.pitch_mm * 0.55)
    assert height < 62
    assert not any("height" in note for note in inside.notes)
    covered = Silhouette(width_mm=60, height_mm=90).lay_out(given, shaped(disc, 60 / 90))
    width, height = outline_mm(covered.weave)
    assert width == pytest.approx(60, abs=given.spacing.pitch_mm * 0.55)
    assert height == pytest.approx(90, abs=given.spacing.side_mm)


def test_loops_across_are_counted_in_what_is_woven():
    for name, inside in SHAPES.items():
        layout = Silhouette(across=20).lay_out(frame(), picture_of(inside))
        span = np.ptp(layout.weave.loop_xy[:, 0]) / layout.weave.spacing.pitch_mm + 1
        assert abs(span - 20) <= 1 or any("loops from left to right" in note for note in layout.notes), name


def test_no_other_sheet_would_come_nearer():
    """By laying out sheets of all numbers of loops; where tips are fine, they are larger than the piece."""
    spindle = picture_of(SHAPES["spindle"])
    scales = [(share, 1.0) for share in np.arange(0.4, 1.6, 0.02)]
    every = [frame().sheet(*Silhouette().loops(frame(), spindle.aspect, scale)) for scale in scales]
    widths = []
    for whole in every:
        (coverage,) = loop_coverage(spindle, [whole.full])
        part = frame().part(whole, woven_part(coverage.reshape(whole.sheet_shape)).woven)
        widths.append(outline_mm(part.weave)[0])
    for width in (50, 66, 83, 100):
        layout = Silhouette(width_mm=width).lay_out(frame(), spindle)
        nearest = min(widths, key=lambda found: abs(found - width))
        assert outline_mm(layout.weave)[0] == pytest.approx(nearest)
        left, _, right, _ = layout.full.extent_mm
        assert right - left > 1.05 * nearest


@pytest.mark.parametrize("kind", [Silhouette, Rectangle])
def test_sizes_of_whole_sheets_that_do_not_fit_are_told_with_their_neighbours(kind):
    plain = Picture("plain", np.zeros((300, 300, 3), np.uint8))
    given = frame()
    sizes = {number: given.size_mm(8, number)[0] for number in range(3, 40)}
    for width in (18.0, 24.4, 40.0, 77.7):
        layout = kind(width_mm=width).lay_out(given, plain)
        found = outline_mm(layout.weave)[0]
        low = max(size for size in sizes.values() if size <= width)
        high = min(size for size in sizes.values() if size > width)
        assert found == pytest.approx(min(low, high, key=lambda size: abs(size - width)))
        told = [note for note in layout.notes if "width" in note]
        if abs(found / width - 1) <= 0.02:
            assert not told
        else:
            assert told == [
                f"a width of {width:g} mm was asked for; the nearest that can be woven are {low:.1f} and"
                f" {high:.1f} mm, and it is {found:.1f} mm"
            ]


@pytest.mark.parametrize("sizes", [ONE, TWO], ids=["one size", "two sizes"])
@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("measure", ["width_mm", "height_mm"])
def test_under_three_loops_is_refused_with_the_least_that_is_not(measure, direction, sizes):
    plain = Picture("plain", np.zeros((300, 300, 3), np.uint8))
    with pytest.raises(SizeError, match=r"mm is under three loops of 11/0") as error:
        Silhouette(**{measure: 3.0}, direction=direction).lay_out(frame(sizes), plain)
    least = float(error.value.hint.split(" mm")[0].rpartition(" ")[2])
    layout = Silhouette(**{measure: least}, direction=direction).lay_out(frame(sizes), plain)
    found = outline_mm(layout.weave)[measure == "height_mm"]
    assert found == pytest.approx(least, abs=0.06)
    assert np.unique(layout.weave.loop_xy[:, int(measure == "height_mm")].round(3)).size >= 3


def test_loops_may_be_asked_for_one_by_one_and_strips_be_one_loop_high():
    plain = Picture("plain", np.zeros((300, 300, 3), np.uint8))
    assert Silhouette(across=1).lay_out(frame(), plain).weave.loops >= 1
    strip = Strip(wrist_mm=170, height_mm=4.0).lay_out(frame(), None)
    assert strip.weave.loop_row.max() == 0
    assert any("a height of 4 mm was asked for" in note for note in strip.notes)
    # What is not asked for is not missed.
    assert not any("was asked for" in note for note in Strip(wrist_mm=170).lay_out(frame(), None).notes)


def two_discs(*, coloured=False):
    y, x = np.mgrid[-1:1:300j, -2:2:600j]
    alpha = ((np.abs(x) - 1) ** 2 + y**2 < 0.64).astype(np.uint8) * 255
    pixels = np.zeros((300, 600, 3), np.uint8)
    pixels[..., 0] = 200
    pixels[alpha == 0] = (0, 200, 0) if coloured else 0
    return trimmed(Picture("discs", pixels, alpha, coloured_throughout=coloured))


def test_islands_are_refused_left_out_or_joined():
    given = frame()
    with pytest.raises(PictureError, match="2 separate islands"):
        Silhouette(width_mm=90).lay_out(given, two_discs())
    largest = Silhouette(width_mm=90, islands="largest").lay_out(given, two_discs())
    # The width is that of the piece that is kept.
    assert outline_mm(largest.weave)[0] == pytest.approx(90, abs=given.spacing.pitch_mm * 0.55)
    joined = Silhouette(width_mm=90, islands="join").lay_out(given, two_discs())
    assert outline_mm(joined.weave)[0] == pytest.approx(90, abs=given.spacing.pitch_mm * 0.55)
    assert any("2 islands joined by" in note for note in joined.notes)


@pytest.mark.parametrize(("coloured", "colour"), [(True, [0, 1, 0]), (False, [1, 0, 0])])
def test_bridges_have_the_colours_the_picture_has_there_or_those_nearby(coloured, colour):
    """Under ground that was left out there is paper; under what was transparent there is nothing."""
    picture = two_discs(coloured=coloured)
    layout = Silhouette(width_mm=90, islands="join", mend=True).lay_out(frame(), picture)
    (means,) = bead_means(picture, [(layout.weave, layout.full)], everywhere=True)
    assert np.isfinite(means).all()
    middle = np.abs(layout.weave.bead_xy[:, 0] - np.mean(layout.weave.extent_mm[::2])) < 3
    assert middle.any()
    found = means[middle][:, :2].argmax(axis=1)
    assert (found == colour.index(1)).mean() > (0.5 if coloured else 0.99)


def test_pieces_that_are_joined_and_mended_can_be_sewn():
    options = PanelOptions(width_mm=90, islands="join", mend=True, colours="all")
    made = make("p", Silhouette.of(options), FromPicture(two_discs()), PALETTE, options)
    pattern = made.pattern
    assert verify(pattern.weave, pattern.thread, pattern.supplies).passes == made.thread.passes
    assert any("thickened by" in note for note in made.notes)
    assert not any("weak" in note for note in made.notes)


def test_a_sheet_that_bridges_make_whole_shows_the_picture_everywhere():
    alpha = np.full((100, 120), 255, np.uint8)
    alpha[:, 55:65] = 0
    picture = Picture("gap", np.full((100, 120, 3), 90, np.uint8), alpha)
    layout = Silhouette(across=3, islands="join", mend=True).lay_out(frame(), picture)
    (means,) = bead_means(picture, [(layout.weave, layout.full)], everywhere=True)
    assert np.isfinite(means).all()
