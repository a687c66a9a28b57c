import csv
import io
import json
import re
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image

from convert.drawing.sheet import DOTS_PER_INCH
from convert.units import MM_PER_INCH, MM_PER_POINT, PAPERS

HERON = Path(__file__).parents[2] / "sample_images" / "heron.png"
SMALL = HERON, "--across", 18


@pytest.fixture
def told(combweave):
    run = combweave("colours", *SMALL, "--json", "--currency", "EUR")
    assert run.code == 0, run.err
    return json.loads(run.out)


def test_few_and_many_colours_stand_side_by_side_and_one_is_marked(told):
    numbers = [one["colours"] for one in told["candidates"]]
    assert numbers == sorted(numbers)
    assert {6, 8, 12, 16, 24, 32} <= set(numbers)
    assert [one["is_all"] for one in told["candidates"]] == [False] * (len(numbers) - 1) + [True]
    (marked,) = (one for one in told["candidates"] if one["recommended"])
    assert told["advice"].startswith(f"{marked['colours']} colours: from 1 m ")
    assert f"with all {numbers[-1]}, and " in told["advice"]


def test_each_is_what_panel_makes_of_as_many_colours(combweave, told):
    for one in told["candidates"]:
        asked = "auto" if one["recommended"] else "all" if one["is_all"] else one["colours"]
        if asked in ("auto", "all", 12):
            run = combweave("panel", *SMALL, "--colours", asked, "--json", "--force")
            made = json.loads(run.out)
            assert made["colours"] == one["colours"]
            assert made["cost"] == one["cost"]
            assert sum(row["packs"] for row in made["materials"]) == one["packs"]
            assert made["judgement"]["seen"] == pytest.approx(one["look"], abs=2e-4)
            assert made["judgement"]["lone_beads"] == one["lone_beads"]


def test_table_and_csv_tell_the_same(combweave, told, tmp_path):
    rows = list(csv.DictReader(io.StringIO((tmp_path / "heron-colours" / "colours.csv").read_text("utf-8"))))
    assert len(rows) == len(told["candidates"])
    for row, one in zip(rows, told["candidates"], strict=True):
        assert row["currency"] == one["currency"] == "EUR"
        assert [int(row[name]) for name in ("is_all", "recommended")] == [one["is_all"], one["recommended"]]
        for name in ("colours", "packs", "cost", "look", "lone_beads"):
            assert float(row[name]) == one[name]
    run = combweave("colours", *SMALL, "--currency", "EUR", "--force")
    for one in told["candidates"]:
        line = next(line for line in run.out.splitlines() if f"{one['cost']:.2f} EUR" in line)
        assert ("*" in line, "all" in line) == (one["recommended"], one["is_all"])
        assert f"{one['look']:.2f}" in line
    assert "CIELAB" not in run.out


@pytest.mark.parametrize("paper", PAPERS)
def test_the_sheet_has_the_size_of_the_paper_and_tells_all_figures(combweave, tmp_path, paper):
    told = json.loads(combweave("colours", *SMALL, "--paper", paper, "--json").out)
    folder = tmp_path / "heron-colours"
    width, height = (PAPERS[paper].width_mm, PAPERS[paper].height_mm)
    with Image.open(folder / "colours.png") as image:
        dots = DOTS_PER_INCH / MM_PER_INCH
        assert image.size == pytest.approx((width * dots, height * dots), abs=1)
    with pypdfium2.PdfDocument(folder / "colours.pdf") as document:
        (page,) = document
        size_mm = [span * MM_PER_POINT for span in page.get_size()]
        words = " ".join(page.get_textpage().get_text_range().split())
    assert size_mm == pytest.approx([width, height], abs=0.1)
    for one in told["candidates"]:
        assert f"{one['colours']} colours" in words
        assert f"{one['packs']} packs to buy" in words
        assert f"cost {one['cost']:.2f}" in words
        assert f"look {one['look']:.2f}" in words
    assert words.count("to choose") == 1
    assert "0 is as the picture's own colours" in words
    assert "CIELAB" not in words


def test_a_number_asked_for_is_shown_besides(combweave):
    told = json.loads(combweave("colours", *SMALL, "--colours", 10, "--keep", "GE3", "--json").out)
    assert 10 in [one["colours"] for one in told["candidates"]]


def test_few_colours_to_choose_from_are_all_recommended(combweave, small_picture):
    told = json.loads(combweave("colours", small_picture, "--across", 8, "--json").out)
    assert told["advice"] is None
    (only,) = told["candidates"]
    assert only["recommended"] and only["is_all"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--colours", 0], "1 or more"),
        (["--colours", "many"], "a number, auto or all, not 'many'"),
        (["--currency", "E" * 200], "is no currency"),
        (["--view-distance", 0], "0.01 to 1,000 m, not 0"),
        (["--avoid", "NOPE"], "NOPE"),
    ],
)
def test_one_line_for_what_cannot_be(combweave, tmp_path, arguments, says):
    run = combweave("colours", *SMALL, *arguments)
    assert run.code == 1
    assert says in run.err
    assert not (tmp_path / "heron-colours").exists()


def test_the_table_is_followed_by_what_to_choose_and_numbers_are_plain(combweave, monkeypatch):
    run = combweave("colours", *SMALL)
    lines = [line for line in run.out.splitlines() if line.strip()]
    assert "* the number to choose" in lines
    advice = json.loads(combweave("colours", *SMALL, "--json", "--force").out)["advice"]
    assert " ".join(advice.split()) in " ".join(run.out.split())
    # Figures stand at the right of their columns.
    rows = lines[: lines.index("* the number to choose")]
    head = rows[0].rstrip()
    assert all(len(row.rstrip()) == len(head) for row in rows[2:])
    for name, value in {"FORCE_COLOR": "1", "TERM": "xterm-256color"}.items():
        monkeypatch.setenv(name, value)
    monkeypatch.delenv("NO_COLOR")
    assert not re.search(r"\x1b\[[0-9;]*3[2-6]m", combweave("colours", *SMALL, "--force").out)


def test_quiet_says_nothing(combweave, small_picture):
    run = combweave("colours", small_picture, "--across", 5, "--quiet")
    assert (run.code, run.out, run.err) == (0, "", "")
