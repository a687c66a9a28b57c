"""The words for entries written by hand, so that each turn of phrase is seen alone."""

from types import SimpleNamespace

import numpy as np
import pytest

from convert.instructions.entries import NO_BEAD, Ending, NewThread, Repeat, Run, Section, Step, Stitch
from convert.instructions.order import OrderOfWork
from convert.instructions.wording import Kind, caption, paragraphs, step_aside, step_title
from convert.thread.stitches import LEFT, NO_LOOP, RIGHT, STRAIGHT
from tests.instructions.pieces import piece

TIP = 90
NAMES = SimpleNamespace(
    line="row",
    loops=["1.1", "1.2", "2.1", "2.2"],
    beads={**dict.fromkeys(range(10), "WH"), **dict.fromkeys(range(10, 20), "RG"), TIP: "LB", TIP + 1: "LB"},
    place=lambda bead: f"tip of {bead}" if bead >= TIP else f"at {bead}",
    bead=lambda bead: f"<{bead}>",
)


def run(beads, loop=0, closes=NO_LOOP, again=None):
    return Run(0, tuple(beads), (LEFT,) * len(beads), loop, closes, tuple(again or [0] * len(beads)))


def make_step(picked_up=(), passed=(), sewn=(), **others):
    known = {"step": 0, "stitch": 1, "part": 0, "parts": 1, "new_thread": 0, "comes_from": 7}
    known |= {"out_of": 8, "thread_left_mm": 200.0}
    return Step(**known | others, picked_up=tuple(picked_up), passed=tuple(passed), sewn=tuple(sewn))


def make_stitch(*steps, **others):
    known = {"number": 3, "thread": 1, "comes_from": 7, "turn": LEFT, "goes_on": NO_LOOP, "loops": (0,)}
    known |= {"nested": False, "tips": (), "out_of": 8, "thread_left_mm": 200.0}
    return Stitch(**known | others, steps=steps or (make_step([run([1])]),))


def told(*entries, line="row", **section):
    known = {"first": 1, "end": 2, "lines": (0,), "direction": "", "tips": False, "folds": ()}
    names = SimpleNamespace(**vars(NAMES) | {"line": line})
    order = SimpleNamespace(
        names=names, sections=(Section(**known | section),), entries=lambda _: iter(entries)
    )
    return list(paragraphs(order))


def heading(**section):
    (paragraph,) = told(**section)
    assert paragraph.kind is Kind.HEADING
    return paragraph.lines[0]


def in_words(stitch):
    paragraph = told(stitch)[1]
    assert (paragraph.kind, paragraph.number) == (Kind.STITCH, stitch.number)
    return paragraph.lines


def step_words(*args, **others):
    return in_words(make_stitch(make_step(*args, **others)))[1].removesuffix(" Out of <8>.")


@pytest.mark.parametrize(
    ("section", "words"),
    [
        ({}, "Row 1"),
        ({"lines": (0, 1, 2, 3), "direction": "right"}, "Rows 1 to 4, to the right"),
        ({"lines": (4, 6), "direction": "left"}, "Rows 5 and 7, to the left"),
        ({"lines": (4,), "direction": "down"}, "Row 5, downwards"),
        ({"lines": (4,), "direction": "up"}, "Row 5, upwards"),
        ({"line": "round"}, "Centre"),
        ({"line": "round", "lines": (0, 1)}, "Centre and round 1"),
        ({"line": "round", "lines": (0, 1, 2)}, "Centre and rounds 1 to 2"),
        ({"line": "round", "lines": (2, 3)}, "Rounds 2 to 3"),
        ({"lines": (), "tips": True}, "Last round: a small bead on each tip"),
    ],
)
def test_headings(section, words):
    assert heading(**section) == words


@pytest.mark.parametrize(
    ("stitch", "words"),
    [
        ({}, "Loop 1.1, from <7>, to the left:"),
        ({"turn": RIGHT}, "Loop 1.1, from <7>, to the right:"),
        ({"turn": STRAIGHT}, "Loop 1.1, from <7>:"),
        ({"comes_from": NO_BEAD}, "Loop 1.1, beginning with <1>, to the left:"),
        ({"loops": (0, 1)}, "Loops 1.1 and 1.2, from <7>, to the left:"),
        (
            {"loops": (0, 1, 3), "nested": True},
            "Loop 1.1, with 1.2 and 2.2 inside it, from <7>, to the left:",
        ),
        ({"goes_on": 2}, "Go on round 2.1; then loop 1.1, from <7>, to the left:"),
        ({"goes_on": 2, "loops": ()}, "Go on round 2.1, from <7>, to the left:"),
        ({"loops": ()}, "Sew on, from <7>, to the left:"),
        (
            {"loops": (), "tips": (TIP, TIP + 1), "turn": STRAIGHT},
            "Tip of 90 and tip of 91, from <7>:",
        ),
    ],
)
def test_what_a_stitch_weaves_and_from_where(stitch, words):
    assert in_words(make_stitch(**stitch))[0] == words


def test_a_stitch_is_told_step_by_step_and_ends_in_its_bead():
    lines = in_words(make_stitch(make_step([run([1])]), make_step([], [run([2], 1)]), number=12))
    assert lines[1:] == ("Pick up WH.", "Pass through <2>. Out of <8>.")


@pytest.mark.parametrize(
    ("step", "words"),
    [
        (([run([1, 2, 3])],), "Pick up 3 x WH."),
        (([run([1, 11]), run([12, 2], 1, 3)],), "Pick up 4: WH, 2 x RG, WH (closes 2.2)."),
        (([run([1], 0, 0), run([2], 1, 1)],), "Pick up 2 x WH (closes 1.1 and 1.2)."),
        (([], [run([1], NO_LOOP)]), "Pass through <1>."),
        (
            ([], [run([1, 2], 0, 0), run([11], 1)]),
            "Pass through <1>; <2>, which closes 1.1; <11>.",
        ),
        (
            ([run([1])], [run([1], 0, 0, [1])]),
            "Pick up WH; pass through the 1st of them again, the same way, which closes 1.1.",
        ),
        (
            ([run([1, 2, 3])], [run([11, 3], 0, 0, [0, 3])]),
            "Pick up 3 x WH; pass through <11>, the 3rd of them again, the same way, which closes 1.1.",
        ),
        # Two of them in a row are told by their names.
        (
            ([run([1, 2, 3])], [run([2, 3], 0, 0, [2, 3])]),
            "Pick up 3 x WH; pass through <2>, <3>, which closes 1.1.",
        ),
        (([run([1])], [], [run([2])]), "Pick up WH; sew through <2>."),
        (
            ([], [], [run([2], 0), run([3], 1)]),
            "Sew through <2>, <3>.",
        ),
        (
            ([], [], [run([1], 0), run([2, 3], 1), run([4], NO_LOOP), run([5], 2)]),
            "Sew through <1>, <2>, <3>, <4>, <5>.",
        ),
    ],
)
def test_steps_in_full(step, words):
    assert step_words(*step) == words


@pytest.mark.parametrize(
    ("repeat", "words"),
    [
        (
            Repeat(4, 4, 1, 5, 5, (3,), 9, 0.0),
            "Repeat stitch 4 once more: stitch 5, the last time for loop 2.2. Out of <9>.",
        ),
        (
            Repeat(4, 4, 2, 5, 6, (), 9, 0.0),
            "Repeat stitch 4 two more times: stitches 5 and 6. Out of <9>.",
        ),
        (
            Repeat(2, 4, 13, 5, 43, (0, 1), 9, 0.0),
            "Repeat stitches 2 to 4 13 more times: stitches 5 to 43, the last time for loops 1.1 and 1.2."
            " Out of <9>.",
        ),
    ],
)
def test_repeats(repeat, words):
    paragraph = told(repeat)[1]
    assert (paragraph.kind, paragraph.lines) == (Kind.REPEAT, (words,))


def test_new_threads_and_the_ending():
    marks = (
        NewThread(1, 3, NO_BEAD, 150.0),
        NewThread(2, 3, 5, 120.0),
        NewThread(3, 3, 5, 120.0, (1, 2, 3, 4), (6, 7, 8, 5)),
        Ending(6),
        Ending(2, (1, 2, 3, 4), (6, 7)),
    )
    told_so = told(*marks, line="row")[1:]
    assert [one.kind for one in told_so] == [Kind.NEW_THREAD] * 3 + [Kind.ENDING] * 2
    first, left_open, later, (open_ending,), (ending,) = (one.lines for one in told_so)
    assert first == (
        "Thread 1 of 3. 15 cm from its end go twice through a spare bead, which keeps the beads on the thread"
        " and comes off at the end.",
    )
    assert left_open == (
        "New thread, 2 of 3, where the old one comes out of <5>.",
        "Leave a tail of 12 cm on both; the new one comes out as the old one did.",
    )
    assert later == (
        "New thread, 3 of 3, where the old one comes out of <5>.",
        "Sew in the old one through <1>, <2>, <3>, half hitch, <4>; cut it off close.",
        "Bring in the new one, with 12 cm to hold on to, through <6>, <7>, <8>, half hitch, <5>; it comes out"
        " as the old one did. Cut its end off close.",
    )
    assert open_ending.startswith("Finished. Sew each thread end on round two or three loops")
    assert ending.startswith("Finished. Sew in the thread through <1>, <2>, <3>, half hitch, <4>; cut")
    assert "sew in that end through <6>, <7>." in ending
    for one in (open_ending, ending):
        assert one.endswith("Turn your face away when you cut: ends fly.")


@pytest.mark.parametrize(
    ("step", "words"),
    [
        (make_step([run([1, 2])], [run([3], 0, 0)]), "Pick up 2 x WH. Pass through 1: loop 1.1 closed."),
        (
            make_step([run([1, 11], 0, 0), run([2], 1, 1)], [run([3, 4], 2)], [run([5]), run([6], 1)]),
            "Pick up 3: WH, RG, WH: loops 1.1 and 1.2 closed. Pass through 2. Sew through 2 to go on.",
        ),
        (
            make_step([run([1])], new_thread=1, comes_from=NO_BEAD),
            "Leave a tail. Pick up WH.",
        ),
        (make_step([run([1])], new_thread=2), "Join a new thread. Pick up WH."),
        (
            make_step([run([TIP], NO_LOOP)], [], [run([1]), run([2], NO_LOOP)]),
            "Pick up LB for the tip. Pass through 2 along the edge.",
        ),
    ],
)
def test_captions(step, words):
    order = SimpleNamespace(names=NAMES, is_tip=lambda bead: bead >= TIP)
    assert caption(order, step) == words


def test_titles_have_letters_where_a_stitch_has_several_steps():
    titles = [step_title(make_step(stitch=7, part=part, parts=30)) for part in (0, 1, 25, 26)]
    assert titles == ["7a", "7b", "7z", "7.27"]
    assert step_title(make_step(stitch=7)) == "7"


def test_what_stands_beside_a_title():
    assert step_aside(1, turns_back=False) == ""
    assert step_aside(1, turns_back=True) == "the thread turns back here"
    assert step_aside(2, turns_back=False) == "2 steps like this"
    assert step_aside(1200, turns_back=True) == "the thread turns back here · 1,200 steps like this"


def test_both_voices_tell_the_same_beads():
    """What the caption of a step counts is what the stitch order lists."""
    order = OrderOfWork(piece(np.ones((1, 2)), colours=1))
    stitch = order.stitch(1)
    assert caption(order, stitch.steps[0]) == "Leave a tail. Pick up 6 x WH. Pass through 1: loop 1.1 closed."
    assert next(one for one in paragraphs(order) if one.number == 1).lines[1].startswith("Pick up 6 x WH;")
