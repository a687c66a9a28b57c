"""A comparison of sizes in words and figures, of candidates made up so that every digit can be told."""

from types import SimpleNamespace

import numpy as np
import pytest

from convert.judging.size_candidates import READINGS, SAME_LOOPS, SAME_WIDTH
from convert.making.over_picture import onto_picture
from convert.picture.model import Picture
from convert.picture.part import WHOLE, Part
from convert.piece.materials import COSTS_EXPLAINED
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.spacing import model_spacing
from convert.writing import size_report
from convert.writing.size_report import HEADINGS, comparison_json, explained, size_sheet, table_rows

FACE = Part(0.25, 0.5, 0.5, 0.25)
KEPT = SimpleNamespace(edges=0.876543, ssim=0.543217, seen=6.543217)
NO_EDGES = SimpleNamespace(edges=None, ssim=0.987654, seen=0.123456)
SIZE = bead_size("11/0")


def candidate(**changes):
    known = {
        "name": "11/0",
        "reading": SAME_WIDTH,
        "finished": SimpleNamespace(
            width_mm=100.456,
            height_mm=70.444,
            width_range_mm=(95.456, 105.544),
            height_range_mm=(66.06, 74.84),
        ),
        "loops": 1234,
        "beads": 3803,
        "colours": 12,
        "grams": 35.67,
        "cost": 12.346,
        "cost_used": 3.216,
        "currency": "EUR",
        "thread_m": 45.678,
        "hours": 38.034,
        "lines_kept_mm": 7.456,
        "beads_wide": 12.987,
        "whole": KEPT,
        "part": KEPT,
        "survives": True,
        "marked": False,
        "result": SimpleNamespace(pattern="pattern", full=None),
    }
    return SimpleNamespace(**known | changes)


def comparison(*candidates, part=FACE, **changes):
    known = {
        "advice": "Choose 11/0.",
        "needs": 13.6956,
        "beads_per_hour": 100.0,
        "distance_m": 1.5,
        "notes": ("n",),
    }
    picture = Picture("heron", np.zeros((80, 120, 3), np.uint8))
    return SimpleNamespace(**known | changes, candidates=candidates, part=part, picture=picture)


def test_values_for_machines_have_the_digits_that_count():
    told = comparison_json(comparison(candidate()))
    assert told == {
        "advice": "Choose 11/0.",
        "detail": [0.25, 0.5, 0.5, 0.25],
        "beads_needed": 13.7,
        "candidates": [
            {
                "beads_size": "11/0",
                "reading": "same_width",
                "width_mm": 100.5,
                "height_mm": 70.4,
                "width_range_mm": [95.5, 105.5],
                "height_range_mm": [66.1, 74.8],
                "loops": 1234,
                "beads": 3803,
                "colours": 12,
                "grams": 35.7,
                "cost": 12.35,
                "cost_of_beads_used": 3.22,
                "currency": "EUR",
                "thread_m": 45.68,
                "hours": 38.03,
                "lines_kept_mm": 7.46,
                "detail_beads_wide": 13.0,
                "picture_kept": {"edges_kept": 0.8765, "ssim": 0.5432, "scielab": 6.543},
                "detail_kept": {"edges_kept": 0.8765, "ssim": 0.5432, "scielab": 6.543},
                "survives": True,
                "smallest": False,
            }
        ],
    }


def test_what_is_not_known_is_nothing_for_machines():
    told = comparison_json(
        comparison(candidate(cost=None, cost_used=None, part=None, whole=NO_EDGES), needs=None)
    )
    (one,) = told["candidates"]
    assert told["beads_needed"] is one["cost"] is one["cost_of_beads_used"] is one["detail_kept"] is None
    assert one["picture_kept"] == {"edges_kept": None, "ssim": 0.9877, "scielab": 0.123}


def test_a_row_has_a_cell_for_each_heading():
    rows = table_rows(
        comparison(
            candidate(marked=True),
            candidate(reading=SAME_LOOPS),
            candidate(name="8/0", cost=None, cost_used=None, part=None, hours=9.96),
            candidate(name="6/0", part=NO_EDGES, hours=10.0),
        ),
        SAME_WIDTH,
    )
    assert [len(row) for row in rows] == [len(HEADINGS)] * 3
    assert rows[0] == (
        "11/0 *", "100 x 70", "95 x 66", "106 x 75", "1,234", "3,803", "12", "36", "12.35 EUR",
        "3.22 EUR", "45.7", "38", "88%", "7.5", "0.54", "6.5",
    )  # fmt: skip
    assert rows[1][0] == "8/0"
    assert rows[1][8:10] == ("", "")
    assert rows[1][11:] == ("10.0", "outside", "7.5", "", "")
    assert rows[2][11:13] == ("10", "none there")


@pytest.mark.parametrize(("part", "whose"), [(WHOLE, "the picture's edges"), (FACE, "the detail's edges")])
def test_what_figures_mean_is_told(part, whose):
    words = explained(comparison(candidate(cost=None), part=part))
    assert whose in words[0]
    assert "seen from 1.5 m; 0 is none" in words[0]
    assert words[-1].startswith("Hours at 100 beads an hour")
    assert len(words) == 3
    assert explained(comparison(candidate(cost=None), candidate()))[2] == COSTS_EXPLAINED


def laid_out(monkeypatch, *candidates, part):
    """Return what is handed over for the sheet."""
    monkeypatch.setattr(size_report, "lay_out_sizes", lambda *given: given)
    full = sheet(np.ones((6, 8), bool), (SIZE, SIZE), model_spacing(SIZE, SIZE))
    for one in candidates:
        one.result = SimpleNamespace(pattern=f"piece in {one.name}", full=full)
    return size_sheet(comparison(*candidates, part=part)), full


def test_a_sheet_shows_every_piece_and_the_detail(monkeypatch):
    pieces = (candidate(marked=True), candidate(name="8/0", reading=SAME_LOOPS, survives=False, marked=True))
    (title, advice, readings, detail), full = laid_out(monkeypatch, *pieces, part=FACE)
    assert title == "heron: bead sizes"
    assert advice[:2] == ("Choose 11/0.", "n")
    assert [heading for heading, _ in readings] == list(READINGS.values())
    ((one,), (other,)) = (cells for _, cells in readings)
    assert (one.pattern, other.pattern) == ("piece in 11/0", "piece in 8/0")
    assert one.lines == (
        "100 x 70 mm",
        "woven tight 95 x 66, loose 106 x 75",
        "3,803 beads in 1,234 loops",
        "12 colours, 36 g",
        "45.7 m of thread, 38 hours",
        "cost of packs 12.35 EUR",
        "cost of beads 3.22 EUR",
        "keeps 88% of the detail's edges",
        "keeps lines 7.5 mm apart",
        "SSIM 0.54, S-CIELAB 6.5",
    )
    assert other.lines[-1] == "detail is lost"
    assert (one.mark, other.mark) == (
        "Fewest beads that keep the detail",
        "Smallest piece that keeps the detail",
    )
    assert detail.shape == (20, 60, 3)
    # What is drawn large is where the detail lies in the piece.
    scale, offset = onto_picture(Picture("heron", np.zeros((80, 120, 3), np.uint8)), full)
    left, top, right, bottom = one.close_up
    assert np.array([left, top]) * scale + offset == pytest.approx([30, 40])
    assert np.array([right, bottom]) * scale + offset == pytest.approx([90, 60])


def test_a_whole_picture_has_no_detail(monkeypatch):
    pieces = (
        candidate(colours=1, part=NO_EDGES),
        candidate(part=None, cost=None, cost_used=None, survives=False),
    )
    (_, _, readings, detail), _ = laid_out(monkeypatch, *pieces, part=WHOLE)
    assert detail is None
    one, other = readings[0][1]
    assert (one.close_up, other.close_up) == (None, None)
    assert one.lines[3] == "1 colour, 36 g"
    assert one.lines[7] == "no edges to keep"
    assert other.lines[5:] == ("the detail lies outside",)
    (_, _, readings, _), _ = laid_out(monkeypatch, candidate(), part=WHOLE)
    assert readings[0][1][0].lines[7] == "keeps 88% of edges"
    assert readings[0][1][0].mark == ""


def test_a_detail_that_lies_outside_is_not_drawn_large(monkeypatch):
    (_, _, readings, _), _ = laid_out(monkeypatch, candidate(part=None, survives=False), part=FACE)
    assert readings[0][1][0].close_up is None


def test_two_files_are_written(monkeypatch, tmp_path):
    monkeypatch.setattr(size_report, "size_sheet", lambda found: f"sheet of {found}")
    monkeypatch.setattr(size_report, "sheet_png", lambda sheet: f"{sheet} in pixels".encode())
    monkeypatch.setattr(size_report, "sheet_pdf", lambda sheet, title: f"{sheet}: {title}".encode())
    told = []
    size_report.write_comparison("sizes", tmp_path, told.append)
    assert told == ["Drawing the sheet", "Writing the sheet for print"]
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {
        "sizes.png": "sheet of sizes in pixels",
        "sizes.pdf": "sheet of sizes: Bead sizes side by side",
    }
