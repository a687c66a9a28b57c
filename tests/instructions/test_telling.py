import re

import numpy as np
import pytest

from convert.piece.pattern import Pattern
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.shapes import Flower
from convert.weave.spacing import model_spacing
from tests.instructions.pieces import COLOURS, LAKE, piece, told
from tests.thread.pieces import flower, silhouette

NUMBERS = ("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def unfolded(items):
    """Names in their order from ``3 x WH, LB``."""
    names = []
    for item in items.split(", "):
        count, _, name = item.rpartition(" x ")
        names += [name] * int(count or 1)
    return names


def followed(text):
    """Follow the text as a reader does: what is picked up, step by step, and how many beads are passed."""
    paragraphs = re.sub(r"\n {8,}", " ", text).splitlines()
    stitches = {}
    for line in paragraphs:
        if match := re.match(r" *(\d+)\. ", line):
            number = int(match[1])
            stitches[number] = []
        elif match := re.match(
            r" +Repeat stitch(?:es)? (\d+)(?: (?:to|and) (\d+))? (.*) times?: ", line
        ) or re.match(r" +Repeat stitch(?:es)? (\d+)(?: (?:to|and) (\d+))? (once more): ", line):
            first, last = int(match[1]), int(match[2] or match[1])
            times = match[3].removesuffix(" more")
            times = (
                1
                if times.startswith("once")
                else NUMBERS.index(times) + 2
                if times in NUMBERS
                else int(times)
            )
            for turn in range(1, times + 1):
                for number in range(first, last + 1):
                    stitches[number + turn * (last - first + 1)] = stitches[number]
        elif re.match(r" {6}(Pick up|Pass through|Sew through)", line):
            stitches[number].append(followed_step(line.strip()))
    assert sorted(stitches) == list(range(1, len(stitches) + 1))
    return [step for number in sorted(stitches) for step in stitches[number]]


def followed_step(line):
    sentence = line.split(". ")[0].rstrip(".")
    picked, passed = [], 0
    for part in sentence.split("; "):
        verb, rest = re.match(r"(Pick up|[Pp]ass through|[Ss]ew through) (.*)", part).groups()
        rest = re.sub(r" \((closes|round|along) [^)]*\)", "", rest)
        counted, _, items = rest.rpartition(": ")
        if verb == "Pick up":
            picked = unfolded(items)
            assert not counted or int(counted) == len(picked)
        elif verb.endswith("ew through"):
            passed += int(re.match(r"\d+", rest)[0])
        else:
            beads = unfolded(re.sub(r"the \d+(st|nd|rd|th) of them again", "again", items))
            assert not counted or int(counted) == len(beads)
            passed += len(beads)
    return picked, passed


CASES = {
    "panel": {"woven": np.ones((6, 9))},
    "panel of one colour": {"woven": np.ones((9, 30)), "colours": 1},
    "rows running down": {"woven": np.ones((9, 6)), "direction": "along", "colours": 2},
    "flower of two sizes": {"woven": flower(3), "sizes": ("11/0", "8/0"), "start": "middle"},
    "silhouette": {"woven": silhouette(1, (14, 18), 2.2, 0.4), "colours": 1},
    "thrifty": {"woven": np.ones((7, 7)), "path": "thrifty", "colours": 1},
    "points": {"woven": flower(2), "edge": "points"},
    "many threads": {"woven": np.ones((8, 20)), "colours": 1, "supplies": Supplies(needleful_mm=700)},
}


@pytest.mark.parametrize("case", CASES)
def test_following_the_text_weaves_the_piece(case):
    pattern = piece(**CASES[case])
    steps = followed(told(pattern))
    passes = pattern.thread.passes
    strung = passes[np.sort(np.unique(passes, return_index=True)[1])]
    sizes = [size.name for size in pattern.weave.sizes]
    two = sizes[0] != sizes[1]
    codes = [
        COLOURS[colour][0] + (f" {sizes[size]}" if two else "")
        for colour, size in zip(pattern.bead_colour[strung], pattern.bead_size[strung], strict=True)
    ]
    assert [code for picked, _ in steps for code in picked] == codes
    assert sum(len(picked) + passed for picked, passed in steps) == len(passes)


def test_equal_stitches_are_folded():
    text = told(piece(np.ones((4, 200)), colours=1))
    assert re.search(r"Repeat stitches \d+ and \d+ \d+ more times", text)
    assert len(text.splitlines()) < 200


def test_stitches_of_other_colours_are_not_folded():
    assert "Repeat" not in told(piece(np.ones((4, 40)), colours=4))


def test_every_new_thread_is_marked_and_tails_are_counted():
    pattern = piece(np.ones((10, 20)), supplies=Supplies(needleful_mm=900))
    text = told(pattern)
    threads = len(pattern.thread.new_threads)
    assert threads > 4
    assert text.count("Start a new thread here") == threads - 1
    assert f"Thread 1 of {threads}" in text
    report = verify(pattern.weave, pattern.thread, pattern.supplies)
    assert f"{report.length_mm / 1000:.1f} m, as {threads} working threads" in text
    assert "two tails of 15 cm each counted in" in text


def test_lines_fit_a_page():
    for case in CASES.values():
        assert max(map(len, told(piece(**case)).splitlines())) <= 100


def test_rows_are_announced():
    text = told(piece(np.ones((8, 12)), colours=1))
    assert "Rows 1 to 4, to the right\n" in text
    assert re.search(r"Rows? \d to 8, to the left\n", text)


def test_two_loops_in_full():
    """Followed by hand on the chart: the second loop shares the bead the first began with."""
    text = told(piece(np.ones((1, 2)), colours=1))
    assert text.split("sew it in at the end.\n")[1].split("\n\n")[0].splitlines() == [
        "   1. Loop 1.1, beginning with WH (1.1/1.2), to the left:",
        "      Pick up 6 x WH; pass through the 1st of them again (closes 1.1). Out of WH (1.1/1.2).",
        "   2. Loop 1.2, from WH (1.1/1.2), to the right:",
        "      Pick up 5 x WH; pass through WH (closes 1.2). Out of WH (1.1/1.2).",
    ]


@pytest.mark.parametrize("centre", [3, 6, 7])
def test_flower_is_told_by_rounds_and_numbers(centre):
    sizes = (bead_size("11/0"), bead_size("8/0"))
    shape = Flower(4, centre)
    weave = shape.build(sizes, model_spacing(*sizes))
    bead_colour = weave.bead_size.astype(np.int32)
    pattern = Pattern("Water lily", shape, weave, LAKE, bead_colour, plan_thread(weave), Supplies())
    text = told(pattern)
    assert re.search(r"^(Centre and rounds 1 to [34]|Centre)$", text, re.MULTILINE)
    assert "as numbered" not in text
    steps = followed(text)
    assert sum(len(picked) + passed for picked, passed in steps) == len(pattern.thread.passes)
