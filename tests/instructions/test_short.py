"""The stitch order, followed bead by bead by a reader that knows only words and chart (see `reader`)."""

import re

import numpy as np
import pytest

from convert.instructions.kinds import SELDOM
from convert.instructions.order import OrderOfWork
from convert.instructions.phrases import GLUE, glued
from convert.instructions.short import FIRST_IN_FULL, kind_words, short_paragraphs
from convert.instructions.telling import stitch_lines, stitch_text
from convert.instructions.wording import Kind
from convert.piece.pattern import Pattern
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.shapes import Flower
from convert.weave.spacing import model_spacing
from tests.instructions.pieces import LAKE, piece
from tests.instructions.reader import Honeycomb, Reader, kinds_of
from tests.thread.pieces import silhouette

RAGGED = silhouette(5, (22, 20), 1.6, 0.45)[2:]
CASES = {
    "one loop": {"woven": np.ones((1, 1), bool)},
    "panel": {"woven": np.ones((6, 9), bool)},
    "one colour": {"woven": np.ones((9, 30), bool), "colours": 1},
    "rows down": {"woven": np.ones((9, 6), bool), "direction": "along", "colours": 2},
    "two sizes": {"woven": np.ones((8, 12), bool), "sizes": ("11/0", "15/0")},
    "silhouette": {"woven": silhouette(1, (14, 18), 2.2, 0.4)},
    "ragged in two sizes": {"woven": RAGGED, "sizes": ("11/0", "15/0"), "colours": 2},
    "thrifty": {"woven": np.ones((7, 7), bool), "path": "thrifty"},
    "middle": {"woven": np.ones((9, 9), bool), "start": "middle"},
    "held by its loop": {"woven": np.ones((5, 9), bool), "begin": "loop"},
    "many threads": {"woven": np.ones((8, 20), bool), "supplies": Supplies(needleful_mm=700)},
}


def text_of(pattern, words="short"):
    report = verify(pattern.weave, pattern.thread, pattern.supplies)
    return stitch_text(OrderOfWork(pattern), report, words)


def read(pattern, text, along=False):
    """The places of the beads in the order in which the words lead the thread, and the reader."""
    comb = Honeycomb(pattern.shape.woven.tolist(), along)
    names = OrderOfWork(pattern).names
    # What the chart shows: the colour, and the size where it tells codes apart, in each place.
    chart = {names.place(bead): names.beads[bead] for bead in range(pattern.weave.beads)}
    assert set(chart) == set(map(comb.place, comb.beads))
    reader = Reader(text, comb, chart)
    return [comb.place(bead) for bead in reader.weaver.passes], reader


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("words", ["short", "full"])
def test_words_and_chart_alone_weave_the_piece(case, words):
    pattern = piece(**CASES[case])
    places, reader = read(pattern, text_of(pattern, words), CASES[case].get("direction") == "along")
    names = OrderOfWork(pattern).names
    assert places == [names.place(bead) for bead in pattern.thread.passes.tolist()]
    # One mark for each new thread, and the ending.
    assert len(reader.tails) == len(pattern.thread.new_threads)
    if pattern.weave.loops > 4:
        for one in (end for mark in reader.tails for end in mark):
            assert len(one) >= 8
    if words == "full":
        assert reader.in_short == 0 and not reader.kinds


@pytest.mark.parametrize("centre", [3, 5, 6, 7])
@pytest.mark.parametrize("words", ["short", "full"])
def test_flowers_are_woven_by_words_and_chart(centre, words):
    sizes = (bead_size("11/0"), bead_size("8/0"))
    shape = Flower(3, centre)
    weave = shape.build(sizes, model_spacing(*sizes))
    colour = np.random.default_rng(centre).integers(0, 4, weave.beads).astype(np.int32)
    pattern = Pattern("Water lily", shape, weave, LAKE, colour, plan_thread(weave), Supplies())
    names = OrderOfWork(pattern).names
    lengths = np.diff(weave.loop_start).tolist()
    corners = [row[:length].tolist() for row, length in zip(weave.loop_corners, lengths, strict=True)]
    comb = Honeycomb.drawn(zip(names.loops, weave.loop_xy.tolist(), corners, strict=True))
    chart = {names.place(bead): names.beads[bead] for bead in range(weave.beads)}
    reader = Reader(text_of(pattern, words), comb, chart)
    assert [comb.place(bead) for bead in reader.weaver.passes] == [
        names.place(bead) for bead in pattern.thread.passes.tolist()
    ]


def test_few_words_a_bead():
    pattern = piece(np.ones((20, 30), bool))
    told = [line for one in short_paragraphs(OrderOfWork(pattern)) for line in one.lines]
    assert sum(len(line.split()) for line in told) / pattern.weave.beads < 3


def test_letters_go_by_frequency_and_only_to_what_comes_again():
    kinds = OrderOfWork(piece(RAGGED)).kinds
    times = [kind.times for kind in kinds.kinds]
    assert times == sorted(times, reverse=True) == np.bincount(kinds.of_loop).tolist()
    assert [kind.letter for kind in kinds.lettered][:3] == ["A", "B", "C"]
    assert len({kind.letter for kind in kinds.lettered}) == len(kinds.lettered)
    for kind in kinds.kinds:
        assert bool(kind.letter) == (kind.times >= SELDOM)
        assert sum(beads for _, beads in kind.runs) == 6
        assert kind.runs[-1][0] is False


def test_the_first_stitches_and_each_new_kind_are_told_in_full():
    order = OrderOfWork(piece(np.ones((12, 30), bool)))
    told = [one for one in short_paragraphs(order) if one.kind in (Kind.STITCH, Kind.SHORT)]
    known = set()
    for one in told:
        own = {order.kinds.letter(loop) for loop in order.stitch(one.number).loops}
        full = one.number <= FIRST_IN_FULL or "" in own or not own <= known
        known |= own
        assert (one.kind is Kind.STITCH) == full
    assert sum(one.kind is Kind.SHORT for one in told) > len(told) / 2


def test_a_stitch_in_short_is_one_line():
    order = OrderOfWork(piece(np.ones((12, 30), bool)))
    lines = stitch_lines(order)
    for one in short_paragraphs(order):
        if one.kind is Kind.SHORT:
            (line,) = one.lines
            assert f"{one.number:4}. {line}" in lines


def test_lines_never_break_within_a_name_nor_begin_with_a_number():
    text = text_of(piece(RAGGED, sizes=("11/0", "15/0")), "full")
    work = text[text.index("[ ] ") :].splitlines()
    broken = [line for line in work if re.match(r" {8}\S", line)]
    assert broken
    assert not any(re.match(r" *\d", line) for line in broken)
    for line in work:
        assert line.count("(") == line.count(")")
        assert len(line) <= 100


def test_kinds_in_words():
    (only,) = OrderOfWork(piece(np.ones((1, 1), bool))).kinds.kinds
    assert kind_words(only) == "left: pick up 5, through 1"
    assert kinds_of("  A   12 loops  right: pick up 4, through 1\n") == {
        "A": ("right", [("pick up", 4), ("through", 1)])
    }


def test_glue_keeps_what_belongs_together():
    line = "      A: Pick up 3: 2 x GE3, BT3; sew through BT3 (edge of 4.4, top left), BT3 (4.4/4.5)."
    parts = [part.replace(GLUE, "_") for part in glued(line).split(" ")]
    assert "BT3_(edge_of_4.4,_top_left)," in parts
    assert not any(re.match(r"\d", part) for part in parts)


def test_the_first_loop_is_passed_twice_where_it_is_to_hold_by_itself():
    plain, held = (piece(np.ones((5, 9), bool), begin=begin) for begin in ("stop-bead", "loop"))
    assert len(held.thread.passes) == len(plain.thread.passes) + 6
    assert "go twice through a spare bead" in text_of(plain)
    text = " ".join(text_of(held).split())
    assert "the first loop is passed twice, so that it holds" in text
    assert "go twice through a spare bead" not in text
