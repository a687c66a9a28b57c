"""Words for finishing a piece: every bead by the name the chart and the stitch order give it."""

import re
from dataclasses import replace

import numpy as np
import pytest

from convert.instructions.finishing import finishing_lines, finishing_remarks, finishing_steps, needed
from convert.instructions.order import OrderOfWork
from convert.piece.finishing import FINISHES, finishing
from convert.thread.steps import Supplies
from tests.instructions.pieces import piece, told

STRIP = np.ones((5, 24), bool)


def made(kind, woven=STRIP, **choices):
    pattern = replace(piece(woven, **choices), finish=kind)
    return pattern, finishing(pattern), OrderOfWork(pattern).names


@pytest.mark.parametrize("kind", FINISHES[1:])
@pytest.mark.parametrize("woven", [STRIP, np.ones((4, 24), bool), np.ones((1, 1), bool)])
def test_every_bead_is_named(kind, woven):
    _, finish, names = made(kind, woven)
    steps = finishing_steps(finish, names)
    assert [step.fastening for step in steps] == list(finish.fastenings)
    for step in steps:
        beads = step.fastening.beads[:1] if kind == "cloth" else step.fastening.beads
        for bead in beads:
            assert names.bead(bead) in step.words
        assert f"{step.fastening.thread_mm / 10:.0f} cm" in step.words
        if kind != "cloth":
            assert re.search(rf"\b{step.fastening.passes} times through", step.words)
        assert step.words.endswith(".")
        assert "  " not in step.words and ",," not in step.words


def test_a_step_for_each_end():
    _, finish, names = made("clasp")
    assert [step.title for step in finishing_steps(finish, names)] == ["Left end", "Right end"]
    _, finish, names = made("clasp", STRIP.T.copy())
    assert [step.title for step in finishing_steps(finish, names)] == ["Top", "Bottom"]
    _, finish, names = made("sewn")
    assert [step.title for step in finishing_steps(finish, names)] == ["Both ends"]
    _, finish, names = made("cloth")
    assert [step.title for step in finishing_steps(finish, names)] == ["All round"]


def test_what_is_needed():
    _, finish, _ = made("button")
    assert (
        needed(finish) == f"a button of about 12 mm with a shank and {finish.thread_mm / 10:.0f} cm of thread"
    )
    _, finish, _ = made("sewn")
    assert needed(finish) == f"{finish.thread_mm / 10:.0f} cm of thread"


def test_a_long_seam_is_not_listed_to_its_end():
    _, finish, names = made("sewn", np.ones((20, 40), bool))
    (step,) = finishing_steps(finish, names)
    assert step.words.count(" to ") < 16
    assert step.words.endswith("; and so on.")


def test_tight_beads_are_named_with_what_to_do():
    _, finish, names = made("clasp", supplies=Supplies(thread_mm=0.35, needle_mm=0.45))
    _, tight = finishing_remarks(finish, names)
    for bead in finish.tight:
        assert names.bead(bead) in tight
    assert "never force it" in tight
    assert len(finishing_remarks(made("clasp")[1], names)) == 1


def test_it_stands_after_the_stitch_order_and_in_what_is_needed():
    pattern, finish, names = made("clasp")
    text = told(pattern)
    title = "Finishing: sew on a clasp"
    order = text.index("\n   1. ")
    assert text.index("To finish each piece: a clasp and") < order < text.index(title)
    assert finishing_lines(finish, names)[1:3] == [title, "-" * len(title)]
    assert "Finishing" not in told(piece(STRIP))
