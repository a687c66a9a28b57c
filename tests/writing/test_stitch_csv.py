import csv
import dataclasses
import io
import itertools

import numpy as np
import pytest

from convert.instructions.order import OrderOfWork
from convert.instructions.telling import stitch_text
from convert.thread.steps import Supplies
from convert.thread.verifier import verify
from convert.writing.stitch_csv import HEADER, stitch_csv
from tests.instructions.pieces import piece
from tests.thread.pieces import flower


def rows_of(pattern):
    text = stitch_csv(OrderOfWork(pattern))
    return list(csv.DictReader(io.StringIO(text)))


@pytest.mark.parametrize(
    "choices",
    [{"woven": np.ones((5, 7))}, {"woven": flower(2), "sizes": ("11/0", "8/0"), "edge": "points"}],
    ids=["panel", "flower with points"],
)
def test_one_row_a_pass(choices):
    pattern = piece(**choices)
    rows, passes = rows_of(pattern), pattern.thread.passes.tolist()
    assert tuple(rows[0]) == HEADER
    assert [int(row["pass"]) for row in rows] == list(range(1, len(passes) + 1))
    assert [int(row["bead"]) for row in rows] == passes
    codes = [pattern.palette.entries[entry].code for entry in pattern.bead_colour]
    assert [row["code"] for row in rows] == [codes[bead] for bead in passes]
    assert [row["size"] for row in rows] == [
        pattern.weave.sizes[pattern.bead_size[bead]].name for bead in passes
    ]
    picked = [int(row["bead"]) for row in rows if row["action"] == "pick up"]
    assert sorted(picked) == list(range(len(pattern.bead_colour)))
    assert {row["action"] for row in rows} == {"pick up", "pass through"}


def test_every_loop_closes_once_with_its_name():
    pattern = piece(np.ones((4, 6)))
    closed = [row["closes"] for row in rows_of(pattern) if row["closes"]]
    assert sorted(closed) == sorted(f"{row}.{place}" for row in range(1, 5) for place in range(1, 7))


@pytest.mark.parametrize("sizes", [("11/0", "11/0"), ("11/0", "8/0")])
def test_every_turn_goes_round_the_loop_it_names(sizes):
    """From where the beads lie: the loop both lie in, and the side to which the next one lies."""
    pattern = piece(np.ones((4, 6)), sizes=sizes)
    weave, rows = pattern.weave, rows_of(pattern)
    loops_of = {bead: set() for bead in range(weave.beads)}
    for side, bead in zip(weave.side_loop.tolist(), weave.side_bead.tolist(), strict=True):
        loops_of[bead].add(f"{weave.loop_row[side] + 1}.{weave.loop_column[side] + 1}")
    assert (rows[0]["loop"], rows[0]["turn"], rows[0]["closes"]) == ("", "", "")
    for before, row in itertools.pairwise(rows):
        a, b = int(before["bead"]), int(row["bead"])
        assert {row["loop"]} == (loops_of[a] & loops_of[b] or {""})
        (junction,) = set(weave.bead_junctions[a].tolist()) & set(weave.bead_junctions[b].tolist())
        into, out = (
            weave.junction_xy[junction] - weave.bead_xy[a],
            weave.bead_xy[b] - weave.junction_xy[junction],
        )
        right = into[0] * out[1] - into[1] * out[0] > 0
        assert row["turn"] == ("right" if right else "left")
        assert row["closes"] in ("", row["loop"])


def test_threads_and_stitches_are_those_of_the_text():
    pattern = piece(np.ones((8, 12)), supplies=Supplies(needleful_mm=700))
    rows = rows_of(pattern)
    assert int(rows[-1]["thread"]) == len(pattern.thread.new_threads)
    for number, mark in enumerate(pattern.thread.new_threads.tolist(), start=1):
        assert int(rows[mark]["thread"]) == number
    text = stitch_text(OrderOfWork(pattern), verify(pattern.weave, pattern.thread, pattern.supplies))
    assert f"{rows[-1]['stitch']}. " in text
    assert f"{int(rows[-1]['stitch']) + 1}. " not in text.split("Thread 1 of")[1]


def test_formulas_are_taken_for_text():
    """CWE-1236: a cell that starts with = + - or @ runs in a spreadsheet."""
    pattern = piece(np.ones((1, 1)), colours=1)
    entries = pattern.palette.entries
    evil = dataclasses.replace(entries[0], code="=1+1")
    palette = dataclasses.replace(pattern.palette, entries=(evil, *entries[1:]))
    rows = rows_of(dataclasses.replace(pattern, palette=palette))
    assert {row["code"] for row in rows} == {"'=1+1"}
