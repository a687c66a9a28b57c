"""The order of work as data, against the passes themselves, the proof, and the shapes of the piece."""

import itertools

import numpy as np
import pytest

from convert.instructions.entries import NO_BEAD, Ending, NewThread, Repeat, Stitch
from convert.instructions.order import OrderOfWork
from convert.piece.pattern import Pattern
from convert.thread.planner import plan_thread
from convert.thread.steps import TAIL_MM, Supplies
from convert.thread.stitches import LEFT, NO_LOOP, RIGHT
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.shapes import Flower
from convert.weave.spacing import model_spacing
from tests.instructions.pieces import LAKE, piece
from tests.thread.pieces import flower, silhouette

CASES = {
    "panel": lambda: piece(np.ones((6, 9))),
    "panel of one colour": lambda: piece(np.ones((9, 30)), colours=1),
    "rows running down": lambda: piece(np.ones((9, 6)), direction="along", colours=2),
    "flower with points": lambda: piece(
        flower(3), sizes=("11/0", "8/0"), edge="points", start="middle", supplies=Supplies(needleful_mm=900)
    ),
    "silhouette": lambda: piece(silhouette(1, (14, 18), 2.2, 0.4), colours=1),
    "thrifty": lambda: piece(silhouette(4, (14, 18), 2.2, 0.4), path="thrifty", colours=2),
    "many threads": lambda: piece(
        np.ones((8, 20)), sizes=("8/0", "15/0"), colours=1, supplies=Supplies(needleful_mm=700)
    ),
}


@pytest.fixture(scope="module", params=CASES)
def order(request):
    return OrderOfWork(CASES[request.param]())


def every_step(order):
    return [order.step(step) for step in range(order.told.steps)]


def runs_of(step):
    return (*step.picked_up, *step.passed, *step.sewn)


def test_some_pieces_are_sewn_through():
    """So that what is tested of beads sewn through is tested of some."""
    for name in ("panel", "flower with points", "silhouette"):
        assert any(step.sewn for step in every_step(OrderOfWork(CASES[name]())))


def rounds(centre=6, size=3):
    sizes = (bead_size("11/0"), bead_size("8/0"))
    shape = Flower(size, centre)
    weave = shape.build(sizes, model_spacing(*sizes))
    colour = np.zeros(weave.beads, np.int32)
    return OrderOfWork(Pattern("Water lily", shape, weave, LAKE, colour, plan_thread(weave), Supplies()))


def test_runs_are_the_passes_cut_up(order):
    passes, told = order.pattern.thread.passes, order.told
    at = 0
    for step in every_step(order):
        for run in runs_of(step):
            assert run.first == at
            part = slice(at, at + len(run.beads))
            assert list(run.beads) == passes[part].tolist()
            assert list(run.turns) == told.turn[part].tolist()
            assert set(told.loop[part].tolist()) == {run.loop}
            assert told.closes[part].tolist() == [NO_LOOP] * (len(run.beads) - 1) + [run.closes]
            at += len(run.beads)
        for one, other in (
            *itertools.pairwise(step.picked_up),
            *itertools.pairwise(step.passed),
            *itertools.pairwise(step.sewn),
        ):
            assert one.loop != other.loop or one.closes != NO_LOOP
    assert at == len(passes)


def test_beads_are_picked_up_once_and_first(order):
    strung = set()
    for step in every_step(order):
        new = [bead for run in step.picked_up for bead in run.beads]
        assert not strung & set(new)
        strung.update(new)
        for run in (*step.passed, *step.sewn):
            assert strung >= set(run.beads)
            for bead, again in zip(run.beads, run.again, strict=True):
                assert again == (new.index(bead) + 1 if bead in new else 0)
    assert strung == set(range(len(order.pattern.bead_colour)))


def test_the_thread_is_sewn_through_only_while_no_loop_is_open(order):
    is_open = 0
    told = order.told
    for step in every_step(order):
        for what, runs in (("picked up", step.picked_up), ("passed", step.passed), ("sewn", step.sewn)):
            for run in runs:
                for at in range(run.first, run.first + len(run.beads)):
                    before = is_open
                    is_open += int(told.begins[at] != NO_LOOP) - int(told.closes[at] != NO_LOOP)
                    if what == "sewn":
                        assert before == is_open == 0
        if step.passed:
            # The last pass before the thread travels works on a loop.
            last = step.passed[-1].first + len(step.passed[-1].beads) - 1
            assert told.closes[last] != NO_LOOP or told.open_loops[last] > 0


def test_beads_that_are_sewn_through_are_known_by_name_and_place(order):
    pattern, names = order.pattern, order.names
    weave = pattern.weave
    loops_of = [set() for _ in range(weave.beads)]
    for bead, loop in zip(weave.side_bead.tolist(), weave.side_loop.tolist(), strict=True):
        loops_of[bead].add(names.loops[loop])
    for step in every_step(order):
        for run in step.sewn:
            for bead in run.beads:
                code = LAKE.entries[pattern.bead_colour[bead]].code
                assert names.beads[bead].split(" ")[0] == code
                if len(loops_of[bead]) == 2:
                    assert set(names.place(bead).split("/")) == loops_of[bead]
                else:
                    assert names.place(bead).split(", ")[0] == f"edge of {min(loops_of[bead])}"


def test_stitches_and_steps_hang_together(order):
    """A stitch comes out of the bead in which the one before it ended, and so does a step."""
    ended, thread, step_number = NO_BEAD, 0, 0
    for number in range(1, len(order.groups) + 1):
        stitch = order.stitch(number)
        assert stitch.number == number
        for part, step in enumerate(stitch.steps):
            assert step == order.step(step_number)
            assert (step.step, step.stitch) == (step_number, number)
            assert (step.part, step.parts) == (part, len(stitch.steps))
            assert step.comes_from == ended
            if step.new_thread:
                assert part == 0
                assert step.new_thread == thread + 1
                thread += 1
            assert stitch.thread == thread
            ended = step.out_of
            assert ended == runs_of(step)[-1].beads[-1]
            step_number += 1
        assert stitch.comes_from == stitch.steps[0].comes_from
        assert (stitch.out_of, stitch.thread_left_mm) == (ended, stitch.steps[-1].thread_left_mm)
        assert stitch.tips == tuple(
            bead
            for step in stitch.steps
            for run in step.picked_up
            for bead in run.beads
            if bead >= order.pattern.weave.beads
        )
    assert step_number == order.told.steps
    assert thread == len(order.pattern.thread.new_threads)


def test_stitches_begin_every_loop_and_go_on_round_what_is_begun(order):
    begun, closed = [], set()
    for number in range(1, len(order.groups) + 1):
        stitch = order.stitch(number)
        if stitch.goes_on != NO_LOOP:
            assert stitch.goes_on in begun
        begun += stitch.loops
        closes = [run.closes for step in stitch.steps for run in runs_of(step) if run.closes != NO_LOOP]
        closed.update(closes)
        if stitch.nested:
            assert len(stitch.loops) > 1
    assert sorted(begun) == list(range(order.pattern.weave.loops))
    assert len(closed) == order.pattern.weave.loops


def test_thread_left_is_that_of_the_proof(order):
    """The proof reckons the threads for itself: two tails and what is sewn, needleful by needleful."""
    pattern = order.pattern
    report = verify(pattern.weave, pattern.thread, pattern.supplies)
    begins = pattern.thread.new_threads
    lengths = order.thread_left_mm[begins] + order.pass_mm[begins] + TAIL_MM
    assert lengths.sum() == pytest.approx(report.length_mm)
    assert lengths.max() == pytest.approx(report.longest_thread_mm)
    ends = np.append(begins[1:], len(pattern.thread.passes)) - 1
    assert order.thread_left_mm[ends] == pytest.approx(TAIL_MM)
    within = np.delete(np.arange(len(pattern.thread.passes)), begins)
    fell = order.thread_left_mm[within - 1] - order.thread_left_mm[within]
    assert fell == pytest.approx(order.pass_mm[within])
    last = order.stitch(len(order.groups))
    assert last.thread_left_mm == pytest.approx(TAIL_MM)


def test_a_bead_takes_as_much_thread_as_from_junction_to_junction():
    """One loop of six beads and its first again: seven sides of the loop."""
    pattern = piece(np.ones((1, 1)))
    order = OrderOfWork(pattern)
    side = np.linalg.norm(np.diff(pattern.weave.loop_corners[0][:2], axis=0))
    assert order.pass_mm == pytest.approx(np.full(7, side))
    assert order.thread_left_mm[0] == pytest.approx(TAIL_MM + 6 * side)


def test_a_tip_takes_the_length_of_its_bead():
    pattern = piece(np.ones((1, 1)), sizes=("8/0", "15/0"), edge="points")
    tips = pattern.thread.passes >= pattern.weave.beads
    assert tips.sum() == 6
    assert OrderOfWork(pattern).pass_mm[tips] == pytest.approx(np.full(6, bead_size("15/0").length_mm))


def test_entries_count_every_stitch_once(order):
    told, marks = [], []
    entries = [list(order.entries(section)) for section in order.sections]
    for section, parts in zip(order.sections, entries, strict=True):
        assert len(told) + 1 == section.first
        for before, entry in itertools.pairwise([None, *parts]):
            match entry:
                case Stitch():
                    told.append(entry.number)
                    if entry.steps[0].new_thread:
                        assert isinstance(before, NewThread)
                        assert (before.number, before.comes_from) == (
                            entry.steps[0].new_thread,
                            entry.comes_from,
                        )
                case Repeat():
                    period = entry.last - entry.first + 1
                    assert told[-period:] == list(range(entry.first, entry.last + 1))
                    assert entry.again_last - entry.again_first + 1 == period * entry.times
                    again = list(range(entry.again_first, entry.again_last + 1))
                    for number, other in zip(again, itertools.cycle(told[-period:]), strict=False):
                        assert order.groups[number - 1].kind == order.groups[other - 1].kind
                    told += again
                    last = order.stitch(entry.again_last)
                    assert (entry.out_of, entry.thread_left_mm) == (last.out_of, last.thread_left_mm)
                    stitches = [order.stitch(number) for number in again[-period:]]
                    assert entry.loops == tuple(loop for stitch in stitches for loop in stitch.loops)
                case NewThread():
                    assert (entry.threads, entry.tail_mm) == (len(order.pattern.thread.new_threads), TAIL_MM)
                    marks.append(entry.number)
        assert len(told) + 1 == section.end
    assert told == list(range(1, len(order.groups) + 1))
    assert marks == list(range(1, len(order.pattern.thread.new_threads) + 1))
    assert [entry for parts in entries for entry in parts if isinstance(entry, Ending)] == [entries[-1][-1]]
    assert entries[-1][-1].thread_ends == 2


def test_every_line_begins_in_one_section(order):
    lines = [line for section in order.sections for line in section.lines]
    assert sorted(lines) == list(range(int(order.pattern.weave.loop_row.max()) + 1))
    rows = order.pattern.weave.loop_row
    for section in order.sections:
        begun = {
            int(rows[loop])
            for number in range(section.first, section.end)
            for loop in order.stitch(number).loops
        }
        assert begun >= set(section.lines)
        assert list(section.lines) == sorted(section.lines)


def test_a_panel_is_worked_to_and_fro():
    """Four rows at a time, as the text has it: the first band to the right, the second back."""
    for direction, ways in (("across", ["right", "left"]), ("along", ["down", "up"])):
        sections = OrderOfWork(piece(np.ones((8, 12)), direction=direction)).sections
        assert [section.lines for section in sections] == [(0, 1, 2, 3), (4, 5, 6, 7)]
        assert [section.direction for section in sections] == ways


def test_a_short_way_has_no_direction():
    for shape, way in (
        ((1, 2), ""),
        ((1, 5), ""),
        ((1, 6), "right"),
        ((1, 7), "left"),
        ((6, 1), ""),
        ((4, 4), ""),
        ((5, 5), "right"),
    ):
        (section,) = OrderOfWork(piece(np.ones(shape))).sections
        assert section.direction == way
    sections = OrderOfWork(piece(np.ones((12, 8)))).sections
    assert [section.lines for section in sections] == [(0, 1, 2, 3), (4, 5, 6, 7), (8, 9, 10, 11)]
    assert [section.direction for section in sections] == ["right", "left", "right"]


def test_rounds_have_no_direction_and_begin_with_the_centre():
    sections = rounds().sections
    assert sections[0].lines[0] == 0
    assert {section.direction for section in sections} == {""}
    assert not any(section.tips for section in sections)


def test_tips_are_the_last_section():
    order = OrderOfWork(piece(flower(2), edge="points"))
    assert [section.tips for section in order.sections] == [False] * (len(order.sections) - 1) + [True]
    last = order.sections[-1]
    tips = [bead for number in range(last.first, last.end) for bead in order.stitch(number).tips]
    assert sorted(tips) == list(range(order.pattern.weave.beads, len(order.pattern.bead_colour)))
    assert all(map(order.is_tip, tips))
    assert not order.is_tip(order.pattern.weave.beads - 1)


def test_two_loops_in_full():
    """Followed by hand on the chart: the second loop shares the bead the first began with."""
    order = OrderOfWork(piece(np.ones((1, 2)), colours=1))
    one, other = order.stitch(1), order.stitch(2)
    (step,) = one.steps
    first, ring = step.picked_up
    # The shared bead, then five to the left round loop 1.1, then the shared bead again.
    shared = first.beads[0]
    assert order.names.place(shared) == "1.1/1.2"
    assert (first.loop, first.closes, one.comes_from, one.turn) == (NO_LOOP, NO_LOOP, NO_BEAD, LEFT)
    assert (ring.loop, len(ring.beads), set(ring.turns)) == (0, 5, {LEFT})
    assert [(run.beads, run.loop, run.closes, run.again) for run in step.passed] == [((shared,), 0, 0, (1,))]
    assert (one.loops, one.goes_on, one.nested, step.new_thread) == ((0,), NO_LOOP, False, 1)
    (step,) = other.steps
    assert [(run.loop, len(run.beads), set(run.turns)) for run in step.picked_up] == [(1, 5, {RIGHT})]
    assert [(run.beads, run.closes, run.again) for run in step.passed] == [((shared,), 1, (0,))]
    assert (other.comes_from, other.out_of, other.turn, step.new_thread) == (shared, shared, RIGHT, 0)


def test_arrays_number_threads_and_stitches_of_passes(order):
    begins = order.pattern.thread.new_threads
    assert order.thread_of[begins].tolist() == list(range(1, len(begins) + 1))
    assert order.thread_of[begins[1:] - 1].tolist() == list(range(1, len(begins)))
    for number, group in enumerate(order.groups, start=1):
        assert set(order.stitch_of[group.first : group.end].tolist()) == {number}
    with pytest.raises(ValueError, match="read-only"):
        order.thread_left_mm[0] = 0
