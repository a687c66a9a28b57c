import io
import re

import numpy as np
import pytest
from PIL import Image
from shapely.geometry import LineString, Point, Polygon

from convert.drawing import style
from convert.drawing.piece import draw_piece
from convert.drawing.step_choice import FIRST_LOOPS, MOST_PICTURES, choose_steps
from convert.drawing.step_drawing import StepArtist
from convert.drawing.step_pictures import captioned_steps, step_sheet, write_steps_png
from convert.instructions.order import OrderOfWork
from convert.palette.model import BeadColour, Palette
from convert.piece.pattern import Pattern
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.stitches import NO_LOOP, stitches
from convert.weave.beads import bead_size
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import model_spacing
from convert.weave.tips import tips_of

HOLE = np.ones((6, 7), bool)
HOLE[2:4, 3] = False
PIECES = {
    "flower": (Flower(2), ("11/0", "8/0"), "points", "steady"),
    "cup": (Flower(2, 3), ("11/0", "15/0"), "points", "steady"),
    "ruffle": (Flower(3, 7), ("11/0", "11/0"), "plain", "steady"),
    "ruffle of cylinders": (Flower(2, 8), ("11/0-cylinder", "11/0-cylinder"), "points", "thrifty"),
    "loop": (Sheet(np.ones((1, 1), bool)), ("11/0", "11/0"), "plain", "steady"),
    "bands": (Sheet(np.ones((12, 30), bool)), ("11/0", "11/0"), "plain", "steady"),
    "sheet": (Sheet(np.ones((9, 8), bool)), ("11/0", "11/0"), "plain", "steady"),
    "strip down": (Sheet(np.ones((3, 20), bool), "along"), ("8/0", "15/0"), "points", "steady"),
    "hole": (Sheet(HOLE), ("11/0", "15/0"), "points", "thrifty"),
}


def make(name):
    shape, sizes, edge, path = PIECES[name]
    pair = tuple(map(bead_size, sizes))
    weave = shape.build(pair, model_spacing(*pair))
    plan = plan_thread(weave, path=path, edge=edge)
    palette = Palette(
        "test",
        (
            BeadColour("RED", "red", None, "#C02020", (42.0, 62.0, 45.0)),
            BeadColour("SKY", "sky", None, "#60A0E0", (64.0, -2.0, -39.0)),
        ),
    )
    beads = weave.beads + len(tips_of(weave)) * (edge == "points")
    colour = (np.arange(beads) % 2).astype(np.int32)
    return Pattern(name, shape, weave, palette, colour, plan, Supplies())


@pytest.fixture(scope="module", params=PIECES)
def pattern(request):
    return make(request.param)


def choose(pattern, told, **options):
    return choose_steps(pattern.weave, told, in_rows=isinstance(pattern.shape, Sheet), **options)


def artist_of(pattern):
    order = OrderOfWork(pattern)
    return StepArtist(pattern, draw_piece(pattern), order.told, order.names.loops), order.told


def test_thread_runs_through_the_holes_of_its_beads_in_order(pattern):
    """Seen by shapely: which beads the drawn line lies in, one after the other, are those of the path."""
    artist, told = artist_of(pattern)
    piece = artist.piece
    passes = pattern.thread.passes
    shrunk = [
        Polygon(piece.outlines[outline].polygon() * 0.75 + xy)
        for outline, xy in zip(piece.bead_outline, piece.bead_xy, strict=True)
    ]
    for step in range(0, told.steps, max(1, told.steps // 40)):
        start, end = told.step_start[step : step + 2]
        first = max(start - 1, 0)
        line = artist.thread(step)
        assert len(line) == end - first
        for bead, curve in zip(passes[first:end], line, strict=True):
            assert LineString(curve).intersects(shrunk[bead])
        crossed = []
        for curve in line:
            dense = LineString(curve)
            for share in np.linspace(0, 1, 60):
                point = dense.interpolate(share, normalized=True)
                inside = [bead for bead in set(passes[first:end].tolist()) if shrunk[bead].contains(point)]
                if inside and (not crossed or crossed[-1] != inside):
                    crossed.append(inside)
        assert [bead for (bead,) in crossed] == passes[first:end].tolist()


def test_thread_leaves_each_bead_at_the_end_where_it_meets_the_next(pattern):
    artist, told = artist_of(pattern)
    weave, piece = pattern.weave, artist.piece
    for step in range(told.steps):
        start, end = told.step_start[step : step + 2].tolist()
        first = max(start - 1, 0)
        for at, curve in zip(range(first, end), artist.thread(step), strict=True):
            bead = pattern.thread.passes[at]
            if bead >= weave.beads:
                continue
            leaves = weave.junction_xy[told.leaves_at[at]]
            enters = weave.bead_junctions[bead]
            enters = weave.junction_xy[enters[enters != told.leaves_at[at]][0]]
            distance = [np.linalg.norm(curve[-1] - junction) for junction in (leaves, enters)]
            assert distance[0] < distance[1]
            # Inside the outline, beside the middle of the hole by less than a third of the bead.
            off = Point(curve[-1]).distance(LineString([leaves, enters]))
            assert off < 0.45 * piece.outlines[piece.bead_outline[bead]].size.diameter_mm


def test_first_loops_and_every_kind_have_a_picture(pattern):
    told = stitches(pattern.weave, pattern.thread)
    chosen, left_out = choose(pattern, told)
    steps = [one.step for one in chosen]
    assert steps == sorted(set(steps))
    assert len(steps) <= MOST_PICTURES
    closed = np.flatnonzero(told.closes != NO_LOOP)
    last = closed[min(FIRST_LOOPS, len(closed)) - 1]

    def kind(step):
        part = slice(*told.step_start[step : step + 2])
        return (
            told.picked_up[part].tolist(),
            told.turn[part].tolist(),
            (told.closes[part] != NO_LOOP).tolist(),
        )

    kinds = [kind(step) for step in range(told.steps)]
    for step in range(told.steps):
        if told.step_start[step] <= last:
            assert kinds[step] in [kinds[other] for other in steps]
    distinct = len({str(one) for one in kinds})
    assert left_out == distinct - len({str(kinds[step]) for step in steps})
    assert left_out == 0 or len(steps) == MOST_PICTURES
    for one in chosen:
        assert one.times == kinds.count(kinds[one.step])
        assert one.turn or kinds.index(kinds[one.step]) == one.step


def test_few_pictures_are_the_first_and_the_turns():
    pattern = make("bands")
    told = stitches(pattern.weave, pattern.thread)
    few, left_out = choose(pattern, told, most=9)
    assert len(few) == 9
    assert left_out > 0
    assert few[0].step == 0
    # Twelve rows of thirty are woven as three bands, which turn at the ends of the rows.
    turning = [one.step for one in few if one.turn]
    assert turning
    for step in turning:
        begun = told.begins[told.step_start[step] : told.step_start[step + 1]]
        places = pattern.weave.loop_column[begun[begun != NO_LOOP]]
        assert ((places < 4) | (places > 25)).all()


def test_work_in_rounds_does_not_turn_back():
    for name in ("flower", "ruffle"):
        pattern = make(name)
        chosen, _ = choose(pattern, stitches(pattern.weave, pattern.thread))
        assert not any(one.turn for one in chosen)


def test_what_is_drawn_is_inside_and_what_is_not_strung_is_not_drawn(pattern):
    artist, told = artist_of(pattern)
    for step in range(0, told.steps, max(1, told.steps // 10)):
        picture = artist.draw(step, 58.0, 48.0)
        for stroke in picture.strokes:
            x, y = np.array(stroke.points).T
            assert x.min() > -0.5
            assert x.max() < 58.5
            assert y.min() > -0.5
            assert y.max() < 48.5
        for label in picture.labels:
            left, top, right, bottom = label.box
            assert 0 <= left < right <= 58
            assert 0 <= top < bottom <= 48
        start, end = told.step_start[step : step + 2]
        numbers = [
            label.text for label in picture.labels if label.colour in (style.WHITE, (0, 0, 0), style.INK)
        ]
        assert numbers[-int(told.picked_up[start:end].sum()) :] == [
            str(n + 1) for n in range(told.picked_up[start:end].sum())
        ]
        strung = len(set(pattern.thread.passes[:end].tolist()))
        beads = sum(stroke.width_mm == 0 and len(stroke.points) > 3 for stroke in picture.strokes) / 2
        assert beads <= strung
        assert beads >= len(set(pattern.thread.passes[max(start - 1, 0) : end].tolist()))


def test_captions_count_what_happens(pattern):
    order = OrderOfWork(pattern)
    told = order.told
    steps, _ = captioned_steps(order, draw_piece(pattern), 58.0, 48.0)
    chosen, _ = choose(pattern, told)
    assert len({step.title for step in steps}) == len(steps)
    for one, step in zip(chosen, steps, strict=True):
        start, end = told.step_start[one.step : one.step + 2]
        words = step.words
        for number in order.names.loops:
            words = re.sub(rf"(loops?|,|and) {re.escape(number)}\b", "", words)
        picked = re.search(r"Pick up (?:(\d+):|(\d+) x)?", words)
        count = 0 if picked is None else int(picked[1] or picked[2] or 1)
        passed = sum(int(number) for number in re.findall(r"(?:Pass|Sew) through (\d+)", words))
        assert (count, passed) == (told.picked_up[start:end].sum(), (~told.picked_up[start:end]).sum())
        assert ("closed" in words) == (told.closes[start:end] != NO_LOOP).any()
        assert ("tip" in words) == (pattern.thread.passes[start] >= pattern.weave.beads)
    assert steps[0].words.startswith("Leave a tail")


def test_sheet_shows_new_beads_in_colour_and_the_thread():
    order = OrderOfWork(make("sheet"))
    sheet = step_sheet(order)
    data = write_steps_png(sheet)
    assert data == write_steps_png(step_sheet(order))
    image = Image.open(io.BytesIO(data))
    assert image.size[0] == round(sheet.width_mm / 25.4 * 200)
    pixels = np.asarray(image.convert("RGB")).reshape(-1, 3)
    for colour in ((192, 32, 32), (96, 160, 224), style.ACCENT):
        assert (pixels == colour).all(axis=1).sum() > 2000


def test_tail_ends_clear_of_the_beads(pattern):
    artist, _ = artist_of(pattern)
    strokes = artist.draw(0, 58.0, 48.0).strokes
    beads = [Polygon(stroke.points) for stroke in strokes if stroke.width_mm == 0 and len(stroke.points) > 3]
    middle = np.mean(strokes[-1].points, axis=0)
    assert Point(middle).distance(beads[0]) > 1
    assert min(Point(middle).distance(bead) for bead in beads) > 0.5
    assert (middle > 0).all() and (middle < (58.0, 48.0)).all()


def test_numbers_of_kinds_are_not_told_twice():
    """The summary counts kinds of step in its own way; the sheet names no number that differs from it."""
    words = " ".join(label.text for label in step_sheet(OrderOfWork(make("hole"))).labels)
    assert "rarer kinds" not in words
    assert "times in all" not in words
    assert "the tail ends here" in words


@pytest.mark.parametrize("name", ["flower", "strip down"])
def test_words_stay_on_the_page(name):
    sheet = step_sheet(OrderOfWork(make(name)))
    for label in sheet.labels:
        left, top, right, bottom = label.box
        assert left >= style.MARGIN_MM - 0.5
        assert right <= sheet.width_mm - style.MARGIN_MM / 2
        assert 0 < top < bottom < sheet.height_mm


@pytest.mark.parametrize("edge", ["plain", "points"])
@pytest.mark.parametrize("start", ["corner", "middle"])
@pytest.mark.parametrize(("rows", "places"), [(1, 40), (2, 40), (2, 101), (20, 22)])
def test_a_piece_whose_first_step_turns_back_gets_its_pictures(rows, places, start, edge):
    sizes = (bead_size("11/0"), bead_size("8/0"))
    weave = Sheet(np.ones((rows, places), bool)).build(sizes, model_spacing(*sizes))
    told = stitches(weave, plan_thread(weave, path="thrifty", start=start, edge=edge))
    chosen, _ = choose_steps(weave, told, in_rows=True)
    assert {one.step for one in chosen} <= set(range(told.steps))
