"""Pieces that repeat or are mirrored, each compared with itself by where its beads lie."""

import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.ndimage import uniform_filter
from scipy.spatial import cKDTree
from skimage.data import chelsea

from convert.errors import ConvertError, SizeError, StockError
from convert.front_door import ByRule, MotifOptions, PanelOptions, make_motif, make_panel
from convert.making.design import Measures, planned, proportions
from convert.making.frame import Frame
from convert.making.shapes.flower import Flower
from convert.making.shapes.rectangle import Rectangle
from convert.making.shapes.strip import Strip
from convert.palette.model import BeadColour, Palette
from convert.palette.palette_file import read_palette
from convert.palette.resources import DEFAULT_PALETTE, palette_path
from convert.picture.model import Picture
from convert.piece.pattern_file import parse_pattern, pattern_json
from convert.settings.design import DesignSettings
from convert.weave.beads import bead_size

CAT = Picture("cat", np.ascontiguousarray(chelsea()[::3, ::3]))
RANGE, _ = read_palette(palette_path(DEFAULT_PALETTE))


def silhouette():
    """A cat in an oval that is cut off on one side, on nothing."""
    rows, columns = np.mgrid[: CAT.pixels.shape[0], : CAT.pixels.shape[1]]
    oval = ((rows - 50) / 48) ** 2 + ((columns - 70) / 66) ** 2 < 1
    return Picture("oval", CAT.pixels, (255 * oval).astype(np.uint8))


def moved_to(pattern, xy):
    """The bead that lies at each place, -1 where there is none."""
    distance, found = cKDTree(pattern.weave.bead_xy).query(xy)
    return np.where(distance < 1e-6, found, -1)


def assert_mirrored(pattern, turn):
    """Every bead has a bead of its size and its colour where a turn about the middle brings it."""
    xy = pattern.weave.bead_xy
    centre = (xy.min(axis=0) + xy.max(axis=0)) / 2
    image = moved_to(pattern, (xy - centre) * turn + centre)
    assert (image >= 0).all()
    assert (pattern.bead_size[image] == pattern.bead_size[: pattern.weave.beads]).all()
    assert (pattern.bead_colour[image] == pattern.bead_colour[: pattern.weave.beads]).all()
    assert (image != np.arange(len(image))).mean() > 0.8


def assert_repeated(pattern, move):
    """Wherever a move brings a bead to a bead, the two have one colour."""
    image = moved_to(pattern, pattern.weave.bead_xy + move)
    met = image >= 0
    assert met.mean() > 0.3
    assert (pattern.bead_colour[image[met]] == pattern.bead_colour[: pattern.weave.beads][met]).all()


TURNS = {"across": [(-1, 1)], "down": [(1, -1)], "both": [(-1, 1), (1, -1)]}
WAYS = [
    {},
    {"colours": "all"},
    {"colours": 5},
    {"colours": "all", "dither": 0.6},
    {"colours": 9, "dither": 0.6, "dither_kind": "threshold"},
    {"colours": 9, "dither": 0.6, "dither_kind": "search"},
    {"colours": 9, "smoothing": 0.6},
]


@pytest.mark.parametrize("way", WAYS, ids=str)
@pytest.mark.parametrize("mirror", TURNS)
def test_mirrored_panels_are_bead_for_bead_symmetric_however_beads_are_chosen(mirror, way):
    connectors = "15/0" if mirror == "both" else None
    options = PanelOptions(width_mm=40, mirror=mirror, connectors=connectors, edge="points", **way)
    pattern = make_panel(CAT, RANGE, options).pattern
    for turn in TURNS[mirror]:
        assert_mirrored(pattern, turn)
    assert len(pattern.used) > 3
    assert pattern.symmetry.mirror_words == mirror


@pytest.mark.parametrize("connectors", [None, "15/0", "8/0"])
@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("mirror", TURNS)
def test_silhouettes_come_out_symmetric(mirror, direction, connectors):
    options = PanelOptions(width_mm=60, mirror=mirror, direction=direction, connectors=connectors)
    pattern = make_panel(silhouette(), RANGE, options).pattern
    assert not pattern.shape.woven.all()
    for turn in TURNS[mirror]:
        assert_mirrored(pattern, turn)


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("connectors", [None, "15/0"])
@pytest.mark.parametrize("mirror", TURNS)
def test_mirrored_sheets_come_as_near_to_their_size_as_others(mirror, connectors, direction):
    for width in (37, 39, 41, 43):
        options = PanelOptions(
            width_mm=width, height_mm=30, mirror=mirror, connectors=connectors, direction=direction
        )
        weave = make_panel(CAT, RANGE, options).pattern.weave
        left, top, right, bottom = weave.extent_mm
        # Half a loop along a row, and across the rows one row: their number is odd.
        step = weave.spacing.pitch_mm / 2, weave.spacing.pitch_mm * math.sqrt(3) / 2
        off = abs(right - left - width), abs(bottom - top - 30)
        off = off if direction == "across" else off[::-1]
        # Which beads stand at the ends is not reckoned with: small ones or large ones.
        assert off[0] <= step[0] + 0.3
        assert off[1] <= step[1] + 0.1


def test_the_half_that_decides_is_the_one_asked_for():
    left = np.zeros((40, 60, 3), np.uint8)
    left[:20, 30:] = 255  # the right is light above
    two = Palette(
        "two",
        tuple(
            BeadColour(c, c, None, h, lab)
            for c, h, lab in (("D", "#000000", (0.0, 0.0, 0.0)), ("L", "#FFFFFF", (100.0, 0.0, 0.0)))
        ),
    )
    shares = {}
    for half, mirror in (
        ("left", "across"),
        ("right", "across"),
        ("top", "down"),
        ("bottom", "down"),
        ("right", "both"),
    ):
        options = PanelOptions(width_mm=50, mirror=mirror, mirror_from=half, colours="all")
        pattern = make_panel(Picture("halves", left), two, options).pattern
        shares[half, mirror] = (pattern.bead_colour == 1).mean()
        assert pattern.adjustments[-1].endswith(f"the {half} half decides") or mirror == "both"
    assert shares["left", "across"] == 0
    assert shares["right", "across"] == pytest.approx(0.5, abs=0.06)
    assert shares["top", "down"] == pytest.approx(0.5, abs=0.06)
    assert shares["bottom", "down"] == 0
    assert shares["right", "both"] == 1


@pytest.mark.parametrize("way", WAYS, ids=str)
@pytest.mark.parametrize("connectors", [None, "15/0"])
def test_repeats_are_bead_for_bead_equal_however_beads_are_chosen(connectors, way):
    shape = Rectangle(width_mm=70, height_mm=50, repeat=3, repeat_down=2)
    made = make_motif(shape, RANGE, MotifOptions(connectors=connectors, **way), picture=CAT)
    pattern = made.pattern
    pitch = pattern.weave.spacing.pitch_mm
    loops, rows = pattern.shape.woven.shape[1] // 3, pattern.shape.woven.shape[0] // 2
    assert (pattern.symmetry.repeat_loops, pattern.symmetry.repeat_rows) == (loops, rows)
    assert_repeated(pattern, (loops * pitch, 0))
    assert_repeated(pattern, (0, rows * pitch * math.sqrt(3) / 2))
    # The last column joins the first, as the last row does.
    assert (moved_to(pattern, pattern.weave.bead_xy + np.array([3 * loops * pitch, 0])) >= 0).any()
    assert pattern.repeats == pattern.symmetry
    assert len(pattern.used) > 3


@pytest.mark.parametrize("direction", ["across", "along"])
def test_a_repeat_shows_the_whole_picture_once(direction):
    # Each repeat is sampled by hand: the picture drawn over one translation of the weave, wrapped round.
    options = PanelOptions(width_mm=90, repeat=2, repeat_down=2, direction=direction, colours="all")
    pattern = make_panel(CAT, RANGE, options).pattern
    pitch = pattern.weave.spacing.pitch_mm
    size = np.array(
        [pattern.symmetry.repeat_loops * pitch, pattern.symmetry.repeat_rows * pitch * 3**0.5 / 2]
    )
    begin = np.array([-pitch / 2, -pitch * 3**0.5 / 4])
    if direction == "along":
        size, begin = size[::-1], begin[::-1]
    height, width = CAT.pixels.shape[:2]
    place = (pattern.weave.bead_xy - begin) / size * (width, height)
    column, row = (np.floor(place).astype(int) % (width, height)).T
    # The mean over a square as large as a bead's cell, wrapped round.
    pixels = uniform_filter(CAT.pixels[..., 1].astype(float), round(pitch / size[0] * width / 2), mode="wrap")
    wanted = pattern.wanted[:, 1] / 257
    assert np.corrcoef(pixels[row, column], wanted)[0, 1] > 0.97
    assert np.corrcoef(pixels[row, (column + 4) % width], wanted)[0, 1] < 0.95


@pytest.mark.parametrize("connectors", [None, "15/0"])
def test_a_mirrored_repeat_shows_the_middle_of_the_picture_at_its_line(connectors):
    options = PanelOptions(width_mm=110, repeat=2, mirror="across", connectors=connectors, colours="all")
    pattern = make_panel(CAT, RANGE, options).pattern
    pitch = pattern.weave.spacing.pitch_mm
    line = pattern.symmetry.mirror_half_loops * pitch / 2
    width = pattern.symmetry.repeat_loops * pitch
    # The left half of the picture, column by column, against the mean of the beads above each other.
    from_line = (pattern.weave.bead_xy[:, 0] - line) / width
    wanted = pattern.wanted[:, 1] / 257
    here = (from_line > -0.5) & (from_line < 0)
    column = np.floor((from_line[here] + 0.5) * CAT.pixels.shape[1]).astype(int)
    columns = uniform_filter(CAT.pixels[..., 1].astype(float), (1, round(75 * pitch / width)))
    shown = columns.mean(axis=0)[column]
    bins = np.round(from_line[here] * 2 * width / pitch).astype(int)
    means = [(wanted[here][bins == one].mean(), shown[bins == one].mean()) for one in np.unique(bins)]
    assert np.corrcoef(np.array(means).T)[0, 1] > 0.9


@pytest.mark.parametrize("mirror", [None, "across", "both"])
@pytest.mark.parametrize("connectors", [None, "15/0"])
@pytest.mark.parametrize("picture", [CAT, silhouette()], ids=["whole", "oval"])
def test_repeats_may_be_mirrored_and_take_an_outline(connectors, mirror, picture):
    options = PanelOptions(width_mm=110, repeat=2, mirror=mirror, connectors=connectors, colours=6)
    if picture.alpha is not None:
        # A bridge from oval to oval.
        bridge = 255 * (np.abs(np.arange(100) - 50) < 15)[:, None]
        picture = Picture("linked", picture.pixels, np.maximum(picture.alpha, bridge).astype(np.uint8))
    pattern = make_panel(picture, RANGE, options).pattern
    pitch = pattern.weave.spacing.pitch_mm
    assert_repeated(pattern, (pattern.symmetry.repeat_loops * pitch, 0))
    if mirror:
        line = pattern.symmetry.mirror_half_loops * pitch / 2
        xy = pattern.weave.bead_xy
        image = moved_to(pattern, xy * (-1, 1) + (2 * line, 0))
        assert (image >= 0).mean() > 0.3
        met = image >= 0
        assert (pattern.bead_colour[image[met]] == pattern.bead_colour[met]).all()


def shelf(counts):
    """Greys of which so many are on hand, for any size."""
    greys = np.linspace(0, 255, len(counts)).round().astype(int)
    return Palette(
        "shelf",
        tuple(
            BeadColour(
                f"G{n}",
                f"grey {n}",
                None,
                f"#{grey:02X}{grey:02X}{grey:02X}",
                (100 * n / len(counts), 0.0, 0.0),
                on_hand=count,
            )
            for n, (grey, count) in enumerate(zip(greys.tolist(), counts, strict=True))
        ),
    )


@pytest.mark.parametrize(
    ("chosen", "copies"),
    [
        ({"mirror": "across"}, 1),
        ({"mirror": "both"}, 2),
        ({"repeat": 3}, 1),
        ({"repeat": 2, "repeat_down": 2, "mirror": "both"}, 1),
    ],
    ids=str,
)
@pytest.mark.parametrize("dither", [0.0, 0.7])
def test_no_more_beads_than_are_on_hand(chosen, copies, dither):
    shape = Rectangle(width_mm=40, height_mm=30, **chosen)
    plain = make_motif(shape, RANGE, MotifOptions(colours="all"), picture=CAT).pattern
    beads = plain.weave.beads * copies
    # Odd numbers, hardly more than it takes.
    counts = [2 * int(beads * share / 2) + 1 for share in (0.22, 0.22, 0.22, 0.22, 0.2)]
    how = {"dither": dither, "dither_kind": "search"} if dither else {}
    options = MotifOptions(stock=True, copies=copies, colours="all", **how)
    pattern = make_motif(shape, shelf(counts), options, picture=CAT).pattern
    used = pattern.counts.sum(axis=1) * copies
    assert (used <= counts).all()
    assert used.sum() == beads
    if "mirror" in chosen and "repeat" not in chosen:
        for turn in TURNS[chosen["mirror"]]:
            assert_mirrored(pattern, turn)


def test_a_mirrored_piece_takes_the_very_last_bead():
    shape = Rectangle(width_mm=24, height_mm=20, mirror="across")
    beads = make_motif(shape, RANGE, MotifOptions(colours="all"), picture=CAT).pattern.weave.beads
    options = MotifOptions(stock=True, colours="all")
    pattern = make_motif(shape, shelf([beads - 40, 40]), options, picture=CAT).pattern
    assert pattern.counts.sum(axis=1).tolist() == [beads - 40, 40]
    with pytest.raises(StockError, match="1 of 11/0 are missing"):
        make_motif(shape, shelf([beads - 41, 40]), options, picture=CAT)


@settings(deadline=None, max_examples=60, derandomize=True)
@given(
    st.floats(60, 240),
    st.integers(1, 6),
    st.one_of(st.none(), st.integers(1, 4)),
    st.floats(0.4, 2.5),
    st.booleans(),
    st.sampled_from(["across", "along"]),
)
def test_whole_repeats_come_near_to_the_size_and_keep_the_proportions(
    width, across, down, aspect, two, direction
):
    frame = Frame((bead_size("11/0"), bead_size("15/0" if two else "11/0")))
    design = DesignSettings(repeat=across, repeat_down=down)

    def loops(whole):
        return frame.loops(whole, width_mm=width, direction=direction)

    try:
        found, notes = planned(frame, design, aspect, loops, Measures(width), direction)
    except SizeError as error:
        assert "do not fit" in str(error)
        return
    step = 3 if two else 1
    assert found.loops is None or found.loops % step == 0
    assert found.repeat_rows is None or found.repeat_rows % 2 == 0
    ratio = aspect if direction == "across" else 1 / aspect
    # Of the side that follows it is off by half a step: loops along a row, two rows across them.
    free = (found.repeat_rows or found.rows + 1, 1.0 if found.repeat_rows else 0.5)
    if direction == "along":
        free = (found.loops or found.places + 1, step / 2 if found.loops else 0.5)
    if free[0] > free[1] + 2:
        assert abs(math.log(proportions(found) / ratio)) <= math.log(free[0] / (free[0] - free[1])) + 1e-9
    assert notes[0].startswith("the picture repeats ")
    assert all(note.startswith("whole repeats make the width ") for note in notes[1:])


def test_a_size_that_whole_repeats_miss_is_told_with_the_next():
    options = PanelOptions(width_mm=110, repeat=3, connectors="15/0")
    made = make_panel(CAT, RANGE, options)
    pitch = made.pattern.weave.spacing.pitch_mm
    assert made.pattern.shape.woven.shape[1] == 27
    told = [note for note in made.notes if note.startswith("whole repeats")]
    ours, asked, other = (int(number) for number in re.findall(r"\d+", told[0]))
    assert abs(asked - 110) < pitch
    assert ours == pytest.approx(27.5 * pitch + 2.1, abs=1.5)
    assert other == pytest.approx(36.5 * pitch + 2.1, abs=1.5)
    assert not any(
        "whole repeats" in note for note in make_panel(CAT, RANGE, PanelOptions(width_mm=110)).notes
    )


def test_a_plain_ring_takes_the_nearest_multiple_of_three_in_two_sizes():
    shape = Rectangle(width_mm=40, height_mm=20, join="ends")
    # The way round is whole loops, with nothing that sticks out at an end.
    pitch = Frame((bead_size("11/0"),) * 2).spacing.pitch_mm
    one = make_motif(shape, RANGE).pattern
    assert one.shape.woven.shape[1] == round(40 / pitch) == 10
    made = make_motif(shape, RANGE, MotifOptions(connectors="15/0"))
    pitch = made.pattern.weave.spacing.pitch_mm
    loops = made.pattern.shape.woven.shape[1]
    assert loops % 3 == 0
    assert abs(loops * pitch - 40) <= 2 * pitch
    told = [note for note in made.notes if note.startswith("whole repeats make the width")]
    assert bool(told) == (loops != round(40 / pitch))


def test_loops_across_are_those_of_the_ring():
    options = PanelOptions(across=12, height_mm=20, join="ends", connectors="15/0", repeat=2)
    pattern = make_panel(CAT, RANGE, options).pattern
    assert pattern.shape.woven.shape[1] == 12
    assert pattern.symmetry.repeat_loops == 6


def test_a_strip_finds_how_often_a_picture_fits():
    # A square motif on a strip 20 mm high: about as many as it is long in heights.
    square = Picture("square", CAT.pixels[:100, :100])
    made = make_motif(Strip(wrist_mm=170, repeat="auto"), RANGE, picture=square)
    times = made.pattern.shape.woven.shape[1] // made.pattern.symmetry.repeat_loops
    assert times == 8
    told = next(note for note in made.notes if note.startswith("the picture repeats"))
    assert told.startswith("the picture repeats 8 times across, 6 loops each")
    wide = make_motif(Strip(wrist_mm=170, repeat="auto"), RANGE, picture=CAT)
    assert wide.pattern.shape.woven.shape[1] // wide.pattern.symmetry.repeat_loops == 6
    given_times = make_motif(Strip(wrist_mm=170, repeat=4), RANGE, picture=CAT)
    assert given_times.pattern.shape.woven.shape[1] == 4 * given_times.pattern.symmetry.repeat_loops


def test_a_strip_tells_what_other_numbers_of_repeats_come_to():
    # Eleven repeats of three loops or six: far from what the wrist takes, where ten and twelve come nearer.
    made = make_motif(Strip(wrist_mm=170, repeat=11), RANGE, MotifOptions(connectors="15/0"), picture=CAT)
    pitch = made.pattern.weave.spacing.pitch_mm
    loops = made.pattern.shape.woven.shape[1]
    assert loops in (33, 66)
    (told,) = [note for note in made.notes if "repeats come to" in note]
    lengths = {int(times): int(mm) for times, mm in re.findall(r"(\d+) repeats come to (\d+) mm", told)}
    assert lengths
    for times, length in lengths.items():
        assert times in (10, 12)
        assert abs(length - 184) < abs(loops * pitch + 2 - 184)
    exact = make_motif(Strip(wrist_mm=170, repeat=4), RANGE, MotifOptions(connectors="15/0"), picture=CAT)
    places = exact.pattern.shape.woven.shape[1]
    missed = abs(places * exact.pattern.weave.spacing.pitch_mm + 2 - 184) > 5.5
    assert any(" mm off; " in note for note in exact.notes) == missed


def test_the_pattern_file_keeps_symmetry_and_rings():
    shape = Strip(wrist_mm=120, join="ends", repeat=2, mirror="both", height_mm=12)
    pattern = make_motif(shape, RANGE, picture=CAT).pattern
    again = parse_pattern(pattern_json(pattern), "again")
    assert again.symmetry == pattern.symmetry
    assert again.shape.joined
    assert (again.weave.side_bead == pattern.weave.side_bead).all()
    assert pattern_json(again) == pattern_json(pattern)
    plain = pattern_json(make_motif(Strip(wrist_mm=120), RANGE).pattern)
    assert '"symmetry"' not in plain
    assert '"joined"' not in plain


def test_a_bead_changed_by_hand_ends_the_repeat():
    pattern = make_motif(Rectangle(width_mm=30, height_mm=20, repeat=2), RANGE, picture=CAT).pattern
    assert pattern.repeats is not None
    text = pattern_json(pattern)
    codes = [entry.code for entry in pattern.palette.entries]
    first = codes[pattern.bead_colour[0]]
    other = next(code for code in codes if code != first)
    changed = text.replace(f'"bead_rows": [\n  ["{first}"', f'"bead_rows": [\n  ["{other}"', 1)
    assert changed != text
    assert parse_pattern(changed, "changed").repeats is None


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: Strip(wrist_mm=170, repeat=0), "--repeat is a whole number, 1 or more or auto, not 0"),
        (lambda: Strip(wrist_mm=170, repeat=2.5), "not 2.5"),
        (lambda: Strip(wrist_mm=170, repeat="2.5"), "not 2.5"),
        (lambda: Strip(wrist_mm=170, repeat="often"), "not often"),
        (lambda: Strip(wrist_mm=170, repeat=float("nan")), "not nan"),
        (lambda: Strip(wrist_mm=170, repeat_down=-1), "--repeat-down is a whole number, 1 or more, not -1"),
        (lambda: Rectangle(mirror_from="left"), "says which half"),
        (lambda: Rectangle(mirror="across", mirror_from="top"), "mirrored across it has no top half"),
        (lambda: Rectangle(mirror="down", mirror_from="right"), "mirrored down it has no right half"),
        (lambda: Rectangle(mirror="sideways"), "across or down or both"),
        (lambda: Rectangle(join="sides"), "--join is ends, not 'sides'"),
    ],
)
def test_choices_that_cannot_be_are_refused(make, told):
    with pytest.raises(ConvertError, match=told):
        make()


@pytest.mark.parametrize(
    ("shape", "chosen", "told"),
    [
        (Strip(wrist_mm=170, repeat=200), {}, "200 repeats do not fit along 184 mm"),
        (Strip(wrist_mm=170, repeat_down=4), {}, "4 repeats do not fit: the piece is 5 rows long"),
        (Rectangle(width_mm=30, repeat=9), {"connectors": "15/0"}, "three loops in two sizes"),
        (Rectangle(width_mm=7, height_mm=40, join="ends"), {}, "2 loops in a row cannot be joined"),
        (Strip(wrist_mm=170, join="ends", clasp_mm=20), {}, "has no clasp of 20 mm"),
        (Flower(rounds=2, centre=5, mirror="across"), {}, "no mirror images"),
        (Rectangle(width_mm=4, height_mm=30, mirror="across"), {}, "a single loop in a row"),
    ],
    ids=str,
)
def test_pieces_that_cannot_be_are_refused(shape, chosen, told):
    with pytest.raises(SizeError, match=told) as refused:
        make_motif(shape, RANGE, MotifOptions(**chosen), picture=CAT)
    assert refused.value.hint


@pytest.mark.parametrize("connectors", [None, "15/0"])
@pytest.mark.parametrize("outline", ["circle", "heart", "drop"])
def test_outlines_are_mirrored_with_the_picture_in_them(outline, connectors):
    options = PanelOptions(outline=outline, width_mm=50, mirror="across", connectors=connectors)
    assert_mirrored(make_panel(CAT, RANGE, options).pattern, (-1, 1))


def test_what_does_not_go_with_an_outline_or_a_loop_to_hang_by_is_refused():
    with pytest.raises(SizeError, match="no repeats and no ends"):
        make_panel(CAT, RANGE, PanelOptions(outline="circle", width_mm=50, repeat=2))
    with pytest.raises(SizeError, match="no mirror images of each other"):
        make_panel(CAT, RANGE, PanelOptions(outline="heart", width_mm=50, mirror="down"))
    for chosen in ({"repeat": 2}, {"join": "ends"}):
        shape = Rectangle(width_mm=40, height_mm=30, hanging_loop=10, **chosen)
        with pytest.raises(SizeError, match="has no top to hang it by"):
            make_motif(shape, RANGE, picture=CAT)
    hung = Rectangle(width_mm=40, height_mm=30, hanging_loop=10, mirror="across")
    pattern = make_motif(hung, RANGE, picture=CAT).pattern
    assert pattern.weave.hanging == 10
    assert_mirrored(pattern, (-1, 1))


def test_a_rule_is_repeated_and_mirrored_like_a_picture():
    rule = ByRule(rule="random RU3 1 GE3 1", seed=3)
    pattern = make_motif(Rectangle(width_mm=50, height_mm=20, mirror="across"), RANGE, colours=rule).pattern
    assert_mirrored(pattern, (-1, 1))
    shape = Rectangle(width_mm=60, height_mm=20, repeat=3)
    pattern = make_motif(shape, RANGE, colours=rule).pattern
    assert_repeated(pattern, (pattern.symmetry.repeat_loops * pattern.weave.spacing.pitch_mm, 0))
    assert len(pattern.used) == 2


def test_a_number_of_repeats_cannot_follow_a_picture_that_is_not_there():
    with pytest.raises(SizeError, match="follows a picture's proportions"):
        make_motif(Strip(wrist_mm=170, repeat="auto"), RANGE)
